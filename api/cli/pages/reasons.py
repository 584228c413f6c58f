"""Reasons, cautions and sources as text: what pair, loop and mix answers have in common.

Owns: the look of a finding. Does not own: its sentence (`kb/report/sentences/findings.py`) or what it cites
(`grounds.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.evidence import conditions_words, grounds, is_taken_as_usual, limit_words, other_sources
from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section, sign
from api.cli.pages.names import Names
from kb.evidence.rules import RULE_NOT_MET
from kb.report.sentences.findings import number_text
from schemas.answers.answers import CitedCaution, CitedRequirement, CitedRule, CitedSource, Finding, MixAnswer, Reasoned
from schemas.columns.provenance import HowSeen
from schemas.level import Judgement, RequirementState
from schemas.tables.rules import RuleTopic
from schemas.verdict import Verdict

_NOTHING = (Text(), Text())
_OF_THE_WHOLE = frozenset({RuleTopic.CONTACT, RuleTopic.GALVANIC, RuleTopic.MIXING})
_UNDATED = "undated"
_HOW_SEEN = {
    HowSeen.ORIGINAL: "seen in the original",
    HowSeen.ABSTRACT: "abstract seen",
    HowSeen.SECOND_HAND: "secondary source",
    HowSeen.COMPUTED: "own computation",
    HowSeen.NOT_SEEN: "no document seen",
}


def deciding(findings: Sequence[Finding], verdict: Verdict) -> tuple[Finding, ...]:
    """Return the findings that make the verdict what it is; none if all is well."""
    if verdict is Verdict.COMPATIBLE:
        return ()
    return _pair_first(one for one in findings if one.verdict is verdict and one.code != RULE_NOT_MET)


def lesser(findings: Sequence[Finding], verdict: Verdict) -> tuple[Finding, ...]:
    """Return the findings that are not well, but do not decide."""
    return _pair_first(
        one for one in findings if one.verdict not in (verdict, Verdict.COMPATIBLE) and one.code != RULE_NOT_MET
    )


def fitting(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings that are well."""
    return _pair_first(
        one for one in findings if one.verdict is Verdict.COMPATIBLE and one.code != RULE_NOT_MET and not _is_note(one)
    )


def notes(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Return the findings that are only to be known: notes, and gaps that cannot decide."""
    return _pair_first(one for one in findings if one.code != RULE_NOT_MET and _is_note(one))


def _is_note(finding: Finding) -> bool:
    is_idle_gap = finding.judgement is Judgement.GAP and not finding.decides
    return finding.judgement is Judgement.NOTE or is_idle_gap


def noted(findings: Iterable[Finding], names: Names, with_places: bool = False) -> Iterator[RenderableType]:
    """Yield notes, one line each, with what other sources say.

    Args:
        findings: what to show.
        names: words for ids.
        with_places: whether to say what each of them speaks of.
    """
    items: dict[str, tuple[Text, RenderableType]] = {}
    for one in findings:
        place = f"{names.pair(one.place)}: " if with_places and names.pair(one.place) else ""
        words = Group(Text(f"{place}{names.within(one.sentence)}"), *other_sources(one))
        items.setdefault(one.sentence, (Text("-", style=QUIET), words))
    if items:
        yield section("Notes", bullets(items.values()))


def left_to_do(requirements: Sequence[CitedRequirement]) -> Iterator[RenderableType]:
    """Yield what is left to do, most important first, with how to meet and how to check it."""
    left = [one for one in requirements if one.state in (RequirementState.OPEN, RequirementState.CONTRADICTED)]
    if left:
        yield section("To do before filling", bullets(_to_do(number, one) for number, one in enumerate(left, 1)))


def _to_do(number: int, one: CitedRequirement) -> tuple[Text, Group]:
    lines = [Text(one.sentence, style=STRONG), Text(f"How: {one.how_it_is_met}")]
    lines.append(Text(f"Check: {one.how_it_is_checked}"))
    if one.state is RequirementState.CONTRADICTED:
        lines.append(Text(f"The question says otherwise: {one.because}", style=QUIET))
    if one.can_be_stated:
        lines.append(Text(f"Done? Ask again with --met {one.id.removeprefix('requirement/')}", style=QUIET))
    return Text(f"{number}."), Group(*lines)


def settled(requirements: Sequence[CitedRequirement]) -> Iterator[RenderableType]:
    """Yield what is met or implied and by what, and what was stated in vain."""
    done = [one for one in requirements if one.state in _SETTLED]
    if done:
        yield section("Met or implied", bullets((Text("-"), _done(one)) for one in done))


_SETTLED = {
    RequirementState.MET: "stated by you",
    RequirementState.IMPLIED: "implied:",
    RequirementState.IDLE: "stated by you; nothing here asks for it",
}


def _done(one: CitedRequirement) -> Text:
    because = f" {one.because}" if one.state is RequirementState.IMPLIED else ""
    return Text.assemble(one.sentence, (f" ({_SETTLED[one.state]}{because})", QUIET))


def in_vain(unused: Sequence[str]) -> Iterator[RenderableType]:
    """Yield the conditions that were given and that nothing asks for."""
    if unused:
        names = ", ".join(one.removeprefix("quantity/") for one in unused)
        yield Text()
        yield Text(f"Given and used nowhere: {names}", style=QUIET)


def strength(answer: Reasoned) -> Text:
    """Return how far the evidence carries."""
    return Text(f"Strength of evidence: {answer.strength.level}. {answer.strength.why}", style=QUIET)


def elsewhere(findings: Sequence[Finding], verdict: Verdict) -> tuple[Finding, ...]:
    """Return what rules would say under other circumstances, worst first; if all is well, only what would be worse."""
    unmet = [one for one in findings if one.code == RULE_NOT_MET]
    if verdict is Verdict.COMPATIBLE:
        unmet = [one for one in unmet if _unmet(one).level.verdict is not Verdict.COMPATIBLE]
    return tuple(sorted(unmet, key=lambda one: -_unmet(one).level.severity))


def in_full(findings: Iterable[Finding], names: Names, shown: set[str], with_places: bool = False) -> Table:
    """Return findings with what they cite; one reason of several places is reported once.

    Args:
        findings: what to show.
        names: words for ids.
        shown: inputs shown before, which are not shown again; those shown now are added.
        with_places: whether to say what each of them speaks of.
    """
    items: list[tuple[Text, RenderableType]] = []
    for same in _by_reason(findings):
        places = "; ".join(dict.fromkeys(names.pair(one.place) for one in same))
        lead = [Text(places, style=STRONG)] if with_places else []
        items += [_NOTHING] if items else []
        first = same[0]
        items.append((sign(first.verdict), Group(*lead, _sentence(first, names), *grounds(first, names, shown))))
    return bullets(items)


def in_circumstances(findings: Iterable[Finding], names: Names) -> Table:
    """Return what rules would say under other circumstances, with what is the case now."""
    reported = dict.fromkeys(
        (rule.level.verdict, _if_words(rule, names), rule.reason) for rule in map(_unmet, findings)
    )
    return bullets((sign(verdict), Text.assemble(words, (why, QUIET))) for verdict, words, why in reported)


def usual_values(findings: Iterable[Finding], how: str) -> Iterator[RenderableType]:
    """Yield how to state what was taken as usual or assumed, if findings use such values.

    Args:
        findings: what is shown.
        how: how to state a value.
    """
    if any(map(is_taken_as_usual, findings)):
        yield Text()
        yield Text(f"The values called usual or assumed were not specified; to state yours: {how}", style=QUIET)


def by_place(findings: Iterable[Finding], names: Names, heading: Callable[[str], Text]) -> Table:
    """Return findings under the places they speak of, each with how to fix it.

    Args:
        findings: what to show, the most severe first.
        names: words for ids.
        heading: place -> the line over its findings.
    """
    places: dict[str, list[Finding]] = {}
    for one in findings:
        places.setdefault(one.place, []).append(one)
    items: list[tuple[Text, RenderableType]] = []
    for place, here in places.items():
        items += [_NOTHING] if items else []
        items.append((Text(), heading(place)))
        shown: set[str] = set()
        items += [(sign(one.verdict), with_remedy(one, _sentence(one, names), names, shown)) for one in here]
    return bullets(items)


def with_remedy(finding: Finding, lead: RenderableType, names: Names, shown: set[str]) -> Group:
    """Return words about a finding, then how to fix it and what it cites.

    Args:
        finding: any finding.
        lead: what to say first.
        names: words for ids.
        shown: lines shown before, which are not shown again; those shown now are added.
    """
    lines: list[RenderableType] = [lead]
    if finding.remedy and finding.remedy not in shown:
        lines.append(Text(f"Fix: {finding.remedy}"))
        shown.add(finding.remedy)
    if finding.remedy_parts:
        lines.append(Text(f"Compatible parts: {', '.join(finding.remedy_parts)}"))
    return Group(*lines, *grounds(finding, names, shown))


def in_brief(findings: Sequence[Finding], names: Names, with_places: bool = False) -> Iterator[RenderableType]:
    """Yield findings that are well: numbers as a table, then one line a topic.

    Args:
        findings: what to show.
        names: words for ids.
        with_places: whether to say what each of them speaks of.
    """
    numbers, sentences = columns("", "", ""), columns("", "")
    for one in findings:
        place = f"{names.pair(one.place)}: " if with_places else ""
        mark = Text("  ").append_text(sign(one.verdict))
        if one.quantities and one.limits:
            value = one.quantities[0]
            number = Text(number_text(value.value, value.unit), justify="right")
            title = mark.append(f" {place or _upper_first(value.title)}{value.title if place else ''}")
            numbers.add_row(title, number, Text(" and ".join(map(limit_words, one.limits)), style=QUIET))
        else:
            topic = one.rules[0].topic.replace("-", " ") if one.rules else ""
            reported = Group(Text(f"{place}{names.within(one.sentence)}"), *other_sources(one))
            sentences.add_row(mark.append(f" {topic}", style=QUIET), reported)
    for table in (numbers, sentences):
        if table.row_count:
            yield table


def remedies(findings: Iterable[Finding]) -> Iterator[RenderableType]:
    """Yield what would make findings right, each way once."""
    ways = dict.fromkeys(one.remedy for one in findings if one.remedy)
    if ways:
        yield section("How to fix it", bullets((Text("-"), Text(way)) for way in ways))


def suggestions(findings: Iterable[Finding]) -> Iterator[RenderableType]:
    """Yield the parts that would make findings right."""
    parts = dict.fromkeys(part for one in findings for part in one.remedy_parts)
    if parts:
        yield section("Compatible parts", bullets((Text("-"), Text(part)) for part in parts))


def cautions_and_sources(answer: Reasoned | MixAnswer, shown: Iterable[Finding]) -> Iterator[RenderableType]:
    """Yield the cautions in full, then the list of sources of the findings that are shown."""
    if answer.cautions:
        yield section("Safety", bullets(map(_caution, answer.cautions)))
    cited = {source for one in shown for source in (*one.sources, *(dispute.source for dispute in one.disputes))}
    sources = [one for one in answer.sources if one.id in cited]
    if sources:
        yield section("Sources", bullets((Text("-", style=QUIET), _source(one)) for one in sources))


def source_words(source: CitedSource) -> str:
    """Return a source in one line: what it is, how it was really seen, and where a reader finds it."""
    year = source.year if source.year != _UNDATED else None
    parts = (source.authors, source.title, source.publisher, source.edition, year)
    seen = f"{', '.join(part for part in parts if part)} ({_HOW_SEEN[HowSeen(source.how_seen)]})"
    return f"{seen} {source.address}" if source.address else seen


def _pair_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Put what is said of a pair as a whole before what is said of single circumstances."""
    return tuple(sorted(findings, key=lambda one: not any(rule.topic in _OF_THE_WHOLE for rule in one.rules)))


def _by_reason(findings: Iterable[Finding]) -> Iterable[list[Finding]]:
    groups: dict[tuple[str, tuple[CitedRule, ...]], list[Finding]] = {}
    for one in findings:
        groups.setdefault((one.sentence, one.rules), []).append(one)
    return groups.values()


def _sentence(finding: Finding, names: Names) -> Text:
    return Text(names.within(finding.sentence))


def _unmet(finding: Finding) -> CitedRule:
    return finding.rules[0]


def _if_words(rule: CitedRule, names: Names) -> str:
    return f"{rule.level.verdict.value} if {conditions_words(rule.conditions, names)}: "


def _caution(caution: CitedCaution) -> tuple[Text, Text]:
    return Text("!", style=f"{STRONG} yellow"), Text.assemble(
        (f"{_upper_first(caution.title)}. ", STRONG), caution.text
    )


def _source(source: CitedSource) -> Text:
    return Text.assemble(source.id, (f"  {source_words(source)}", QUIET))


def _upper_first(words: str) -> str:
    return words[:1].upper() + words[1:]
