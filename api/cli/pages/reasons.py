"""Reasons, cautions and sources as text: what pair and loop answers have in common.

Owns: the look of a finding. Does not own: its sentence (`kb/wording.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.pages.layout import QUIET, STRONG, bullets, columns, section, sign, spoken_column
from kb.rules import RULE_NOT_MET
from kb.wording import number_text
from schemas.answers import CautionTold, FactTold, FindingTold, LimitTold, Reasoned, SourceTold
from schemas.tables.column_words import column_words
from schemas.verdict import Verdict

_COMPARISONS = {"at-least": "at least", "at-most": "at most"}
_NOTHING = (Text(), Text())
_TOLERANCES = ("tolerance/", "thread-tolerance/")
_HOW_SEEN = {
    "original": "seen in the original",
    "second-hand": "seen second-hand",
    "computed": "own computation",
    "not-seen": "no document seen",
}


def deciding(findings: Sequence[FindingTold], verdict: Verdict) -> tuple[FindingTold, ...]:
    """Return the findings that make the verdict what it is; none if all is well."""
    if verdict is Verdict.COMPATIBLE:
        return ()
    return tuple(one for one in findings if one.verdict is verdict and one.code != RULE_NOT_MET)


def milder(findings: Sequence[FindingTold], verdict: Verdict) -> tuple[FindingTold, ...]:
    """Return the findings that are not well, but do not decide."""
    return tuple(
        one for one in findings if one.verdict not in (verdict, Verdict.COMPATIBLE) and one.code != RULE_NOT_MET
    )


def fitting(findings: Sequence[FindingTold]) -> tuple[FindingTold, ...]:
    """Return the findings that are well."""
    return tuple(one for one in findings if one.verdict is Verdict.COMPATIBLE and one.code != RULE_NOT_MET)


def elsewhere(findings: Sequence[FindingTold]) -> tuple[FindingTold, ...]:
    """Return what rules would say under other circumstances."""
    return tuple(one for one in findings if one.code == RULE_NOT_MET)


def in_full(findings: Iterable[FindingTold], shown: set[str]) -> Table:
    """Return findings with what they stand on.

    Args:
        findings: what to show.
        shown: inputs shown before, which are not shown again; those shown now are added.
    """
    items: list[tuple[Text, RenderableType]] = []
    for one in findings:
        items += [_NOTHING] if items else []
        items.append((sign(one.verdict), Group(Text(one.sentence), *_grounds(one, shown))))
    return bullets(items)


def by_place(findings: Iterable[FindingTold], runs: Mapping[str, str]) -> Table:
    """Return findings under the places they speak of, each with what would mend it.

    Args:
        findings: what to show, the most severe first.
        runs: place -> names of the runs it lies in.
    """
    places: dict[str, list[FindingTold]] = {}
    for one in findings:
        places.setdefault(one.place, []).append(one)
    items: list[tuple[Text, RenderableType]] = []
    for place, here in places.items():
        items += [_NOTHING] if items else []
        run = f"  {runs[place]}" if place in runs else ""
        items.append((Text(), Text.assemble((place, STRONG), (run, QUIET))))
        items += _at_one_place(here)
    return bullets(items)


def _at_one_place(findings: Sequence[FindingTold]) -> Iterator[tuple[Text, RenderableType]]:
    shown: set[str] = set()
    for one in findings:
        lines = [Text(one.sentence)]
        if one.mend and one.mend not in shown:
            lines.append(Text(f"Mend: {one.mend}"))
            shown.add(one.mend)
        if one.mend_parts:
            lines.append(Text(f"Would suit: {', '.join(one.mend_parts)}"))
        yield sign(one.verdict), Group(*lines, *_grounds(one, shown))


def in_brief(findings: Sequence[FindingTold]) -> Iterator[RenderableType]:
    """Yield findings that are well: numbers as a table, then sentences."""
    numbers = columns("", "", "")
    for one in findings:
        if one.quantities and one.limits:
            value = one.quantities[0]
            allowed = " and ".join(map(_limit_words, one.limits))
            number = Text(number_text(value.value, value.unit), justify="right")
            title = Text("  ").append_text(sign(one.verdict)).append(f" {_upper_first(value.title)}")
            numbers.add_row(title, number, Text(allowed, style=QUIET))
    if numbers.row_count:
        yield numbers
    sentences = [one for one in findings if not (one.quantities and one.limits)]
    if sentences:
        yield bullets((sign(one.verdict), Text(one.sentence)) for one in sentences)


def mends(findings: Iterable[FindingTold]) -> Iterator[RenderableType]:
    """Yield what would make findings right, each way once."""
    ways = dict.fromkeys(one.mend for one in findings if one.mend)
    if ways:
        yield section("What would mend it", bullets((Text("-"), Text(way)) for way in ways))


def suggestions(findings: Iterable[FindingTold]) -> Iterator[RenderableType]:
    """Yield the parts that would make findings right."""
    parts = dict.fromkeys(part for one in findings for part in one.mend_parts)
    if parts:
        yield section("Parts that would suit", bullets((Text("-"), Text(part)) for part in parts))


def cautions_and_sources(answer: Reasoned) -> Iterator[RenderableType]:
    """Yield the cautions in full, then the list of sources."""
    if answer.cautions:
        yield section("Take care", bullets(map(_caution, answer.cautions)))
    if answer.sources:
        yield section("Sources", bullets((Text("-", style=QUIET), _source(one)) for one in answer.sources))


def source_words(source: SourceTold) -> str:
    """Return a source in one line, and how it was really seen."""
    parts = (source.title, source.publisher, source.edition)
    return f"{', '.join(part for part in parts if part)} ({_HOW_SEEN[source.how_seen]})"


def _grounds(finding: FindingTold, shown: set[str]) -> Iterator[Text]:
    """Yield what a finding stands on: inputs, limits, rules; inputs shown before are not shown again."""
    facts = dict.fromkeys([fact for number in finding.quantities for fact in number.inputs] + list(finding.facts))
    inputs = f"From {'; '.join(_facts_by_row(facts))}"
    if facts and inputs not in shown:
        shown.add(inputs)
        yield Text(inputs, style=QUIET)
    for limit in finding.limits:
        lead = f"{limit.id}: {_limit_words(limit)}"
        yield _ground(lead, limit.confidence, limit.source, limit.locator)
    for rule in finding.rules:
        yield _ground(rule.id, rule.confidence, rule.source, rule.locator)


def _ground(lead: str, confidence: str, source: str, locator: str | None) -> Text:
    where = f", {locator}" if locator else ""
    return Text(f"{lead} (confidence {confidence}; {source}{where})", style=QUIET)


def _facts_by_row(facts: Iterable[FactTold]) -> Iterator[str]:
    by_row: dict[str, list[FactTold]] = {}
    tolerances: dict[str, None] = {}
    for fact in facts:
        if fact.row.startswith(_TOLERANCES):
            tolerances[fact.row] = None
        else:
            by_row.setdefault(f"{fact.row} (as you gave it)" if fact.given else fact.row, []).append(fact)
    for row, values in by_row.items():
        yield f"{row}: {', '.join(map(_fact_words, values))}"
    if tolerances:
        yield f"with {', '.join(tolerances)}"


def _fact_words(fact: FactTold) -> str:
    words, unit = column_words(fact.column)
    value = f"{fact.value:g}" if isinstance(fact.value, float) else str(fact.value)
    return f"{spoken_column(words)} {value} {unit}".rstrip()


def _limit_words(limit: LimitTold) -> str:
    return f"{_COMPARISONS[limit.comparison]} {number_text(limit.value, limit.unit)}"


def _caution(caution: CautionTold) -> tuple[Text, Text]:
    return Text("!", style=f"{STRONG} yellow"), Text.assemble(
        (f"{_upper_first(caution.title)}. ", STRONG), caution.text
    )


def _source(source: SourceTold) -> Text:
    return Text.assemble(source.id, (f"  {source_words(source)}", QUIET))


def _upper_first(words: str) -> str:
    return words[:1].upper() + words[1:]
