"""The answer to a pair as JSON, written without making its model: for services that are asked very much.

Owns: the same bytes that the model of the answer gives, several times quicker. Does not own: the shape of answers
(`schemas/answers/answers.py`), how rows are reported (`kb/report/answers/evidence.py`) or words
(`kb/report/sentences/findings.py`). What follows from rows alone is reported by those, once, and kept as text; nothing
is kept that anybody states. A test holds both to the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from functools import partial
from json.encoder import encode_basestring
from operator import attrgetter
from typing import NamedTuple, TypeAlias

from pydantic import BaseModel
from pydantic_core import to_json

from kb.compatibility.joints.joint import Joint
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Fact, Finding, LimitCheck, Missing, Node, Number, Rival, RuleHit, Settled
from kb.report.answers.evidence import (
    cautions_of,
    in_report_order,
    report_caution,
    report_dispute,
    report_fact,
    report_limit,
    report_rule,
    report_source,
    sources_of,
)
from kb.report.sentences.findings import finding_remedy, finding_sentence
from kb.store.cache import BoundedCache
from kb.store.snapshot import MOST_REPORTED, Snapshot
from schemas.tables.cautions import Caution
from schemas.tables.quantities import Quantity
from schemas.tables.sources import Source
from schemas.verdict import Verdict

MOST_SETTLED = 10_000  # findings that follow from rows alone; each takes about 1 kB
_LEAST_PLAIN, _MOST_PLAIN = 1e-3, 1e15  # between them, all writers of shortest decimals write the same

RowKey: TypeAlias = tuple[Hashable, ...]
_source_id = attrgetter("source_id")
_quoted: Callable[[str], str] = encode_basestring  # escapes what JSON demands and nothing else


class PairHead(NamedTuple):
    """What an answer says of the pair as a whole.

    Attributes:
        a: id of one part.
        b: id of the other part.
        verdict: the verdict.
        summary: the answer in a line.
        remedy_parts: parts that would make it right.
    """

    a: str
    b: str
    verdict: Verdict
    summary: str
    remedy_parts: tuple[str, ...]


class _Reason(NamedTuple):
    """A finding as text, open at its place and at its remedies.

    Attributes:
        before_place: up to its place.
        before_remedy: from behind its place up to its remedy, in pieces that many findings share.
        remedy: its remedy.
        remedy_parts: its remedy parts.
        after_remedies: from behind its remedies to its end.
        cautions: ids of its cautions.
        sources: ids of its sources, and of those that speak against it.
    """

    before_place: str
    before_remedy: tuple[str, ...]
    remedy: str
    remedy_parts: str
    after_remedies: str
    cautions: Iterable[str]
    sources: Iterable[str]


class _Frame(NamedTuple):
    """What is alike in all findings that hold a number of a quantity against the same limits with the same outcome.

    Attributes:
        before_place: up to the place.
        limits: from behind the quantities up to the facts.
        remedy: the remedy.
        cautions_text: from behind the remedies up to the sources.
        cautions: ids of the cautions.
        limit_sources: ids of the sources of the limits.
    """

    before_place: str
    limits: str
    remedy: str
    cautions_text: str
    cautions: tuple[str, ...]
    limit_sources: frozenset[str]


class _FactTexts(dict[Fact | Number, str]):
    """Facts as text, by fact: made when first asked for, and kept if they stand in a row."""

    def __missing__(self, fact: Fact | Number) -> str:
        if isinstance(fact, Number):
            raise _NestedNumberError
        text = _text(report_fact(fact))
        if fact.source_id and len(self) < MOST_REPORTED:
            self[fact] = text
        return text


class _NestedNumberError(LookupError):
    """A number cites another one: its own facts are reported."""


class _RowTexts(dict[str, str]):
    """Rows as text, by id: made when first asked for. There are never more than the tables have rows."""

    def __init__(self, report_row: Callable[[str], BaseModel]) -> None:
        super().__init__()
        self._report_row = report_row

    def __missing__(self, row_id: str) -> str:
        text = self[row_id] = _text(self._report_row(row_id))
        return text


class PairWriter:
    """Writes answers over one snapshot; threads may share it."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot
        self._start = f'{{"kb_version":{_quoted(snapshot.version)},"verdict":'
        self._facts = _FactTexts()
        self._limits = BoundedCache[RowKey, str](MOST_REPORTED)
        self._cautions = _RowTexts(lambda row_id: report_caution(snapshot.get(Caution, row_id)))
        self._sources = _RowTexts(lambda row_id: report_source(snapshot.get(Source, row_id)))
        self._quantities = BoundedCache[str, tuple[str, str]](MOST_REPORTED)
        self._frames = BoundedCache[RowKey, _Frame](MOST_REPORTED)
        self._reasons = BoundedCache[RowKey, _Reason](MOST_REPORTED)
        self._settled = BoundedCache[int, tuple[Sequence[Node], _Reason]](MOST_SETTLED)

    def write(self, head: PairHead, joint: Joint, others: Iterable[Joint]) -> bytes:
        """Return the answer to a pair as JSON.

        Args:
            head: what it says as a whole.
            joint: the way of joining that the verdict speaks of.
            others: the other ways.
        """
        findings = in_report_order(joint.findings)
        reasons = [self._reason(finding) for finding in findings]
        cautions = sorted(set().union(*[reason.cautions for reason in reasons]))
        sources = sorted(set().union(*[reason.sources for reason in reasons]))
        if head.remedy_parts:
            reasons[0] = reasons[0]._replace(remedy_parts=_ids(head.remedy_parts))
        hopeless = head.verdict is Verdict.INCOMPATIBLE
        pieces = [f'{self._start}"{head.verdict}","summary":{_quoted(head.summary)},"findings":[']
        for finding, reason in zip(findings, reasons, strict=True):
            before_place, before_remedy, remedy, remedy_parts, after_remedies, _, _ = reason
            if hopeless and finding.verdict is not Verdict.INCOMPATIBLE:
                remedy = "null"  # fixing lesser faults would fix nothing
            pieces += (before_place, _quoted(finding.place), *before_remedy)
            pieces += (remedy, ',"remedy_parts":', remedy_parts, after_remedies, ",")
        pieces[-1] = '],"cautions":['
        ways = [f'{{"place":{_quoted(way.place)},"verdict":"{way.verdict}"}}' for way in others]
        pieces += (
            ",".join(map(self._cautions.__getitem__, cautions)),
            '],"sources":[',
            ",".join(map(self._sources.__getitem__, sources)),
            f'],"a":{_quoted(head.a)},"b":{_quoted(head.b)},"joint":{_quoted(joint.place)},"others":[{",".join(ways)}]}}',
        )
        return "".join(pieces).encode()

    def _reason(self, finding: Finding) -> _Reason:
        if type(finding.evidence) is not Settled or finding.remedies:
            return self._reason_text(finding)
        key = id(finding.evidence)  # nothing else can have it as long as the evidence is kept here
        kept = self._settled.find(key) or self._settled.get(key, lambda: (finding.evidence, self._reason_text(finding)))
        return kept[1]

    def _reason_text(self, finding: Finding) -> _Reason:
        first = finding.evidence[0]
        if type(first) is Number:
            return self._judged_number(finding, first)
        if type(first) is Missing and len(finding.evidence) == 1:
            return self._gap(finding, first)
        key = _rule_key(finding)
        if key is None:
            return self._report_row(finding)
        return self._reasons.find(key) or self._reasons.get(key, partial(self._report_row, finding))

    def _gap(self, finding: Finding, gap: Missing) -> _Reason:
        """Write a finding that says what is missing and nothing else."""
        remedy = finding_remedy(finding)
        return _Reason(
            _before_place(finding),
            (
                f',"sentence":{_quoted(finding_sentence(self._snapshot, finding))},"quantities":[],"limits":[],'
                f'"rules":[],"facts":[],"missing":[{_gap_text(gap)}],"rivals":[],"disputes":[],"remedy":',
            ),
            "null" if remedy is None else _quoted(remedy),
            _ids(finding.remedies),
            ',"cautions":[],"sources":[],"section":null}',
            (),
            (),
        )

    def _judged_number(self, finding: Finding, number: Number) -> _Reason:
        """Write a finding that holds a number against limits."""
        key: list[Hashable] = [finding.code, finding.verdict, number.quantity_id]
        beside = []
        for node in finding.evidence[1:]:
            if type(node) is LimitCheck:
                key += (node.limit.id, node.holds)
            elif type(node) is Missing or type(node) is RuleHit:
                return self._report_row(finding)
            else:
                beside.append(node)
        frame = self._frames.find(tuple(key)) or self._frames.get(tuple(key), partial(self._frame, finding))
        sources = set(frame.limit_sources)
        pieces = [',"sentence":', _quoted(finding_sentence(self._snapshot, finding)), ',"quantities":[']
        self._number(number, pieces, sources)
        facts = [node for node in beside if type(node) is Fact]
        rivals = ""
        if beside:
            rivals = self._beside(beside, pieces, sources)
        pieces.append(frame.limits)
        if facts:
            pieces += _listed([self._facts[fact] for fact in facts])
            sources.update(map(_source_id, facts))
        pieces += ('],"missing":[],"rivals":[', rivals, '],"disputes":[],"remedy":')
        sources.discard("")  # of what the asker stated
        return _Reason(
            frame.before_place,
            tuple(pieces),
            frame.remedy,
            _ids(finding.remedies),
            f'{frame.cautions_text}{_ids(sorted(sources))},"section":null}}',
            frame.cautions,
            sources,
        )

    def _frame(self, finding: Finding) -> _Frame:
        checks = [node for node in finding.evidence if isinstance(node, LimitCheck)]
        cautions, remedy = tuple(dict.fromkeys(cautions_of(finding))), finding_remedy(finding)
        limits = ",".join(map(self._limit, checks))
        return _Frame(
            _before_place(finding),
            f'],"limits":[{limits}],"rules":[],"facts":[',
            "null" if remedy is None else _quoted(remedy),
            f',"cautions":{_ids(cautions)},"sources":',
            cautions,
            frozenset(check.limit.source_id for check in checks),
        )

    def _beside(self, beside: Iterable[Node], pieces: list[str], sources: set[str]) -> str:
        """Write more quantities that stand beside a number to its pieces; return the rivals that do."""
        rivals = list[str]()
        for node in beside:
            if isinstance(node, Number):
                pieces.append(",")
                self._number(node, pieces, sources)
            elif isinstance(node, Rival):
                rivals += node.others
        return ",".join(map(_quoted, dict.fromkeys(rivals)))

    def _report_row(self, finding: Finding) -> _Reason:
        quantities, limits, rules, facts, missing, rivals = [], [], [], [], [], list[str]()
        disputes, against, sources = [], [], set[str]()
        for node in finding.evidence:
            if isinstance(node, Number):
                number = list[str]()
                self._number(node, number, sources)
                quantities.append("".join(number))
            elif isinstance(node, LimitCheck):
                limits.append(self._limit(node))
                sources.add(node.limit.source_id)
            elif isinstance(node, RuleHit):
                rules.append(_text(report_rule(node)))
                sources.update(sources_of((node,)))
                rows = self._snapshot.disputes(node.rule.id) if finding.code != RULE_NOT_MET else ()
                disputes += [_text(report_dispute(row)) for row in rows]
                against += [row.source_id for row in rows]
            elif isinstance(node, Fact):
                facts.append(self._facts[node])
                sources.update(sources_of((node,)))
            elif isinstance(node, Missing):
                missing.append(_gap_text(node))
            else:
                rivals += node.others
        sources.discard("")  # of what the asker stated
        cautions = tuple(dict.fromkeys(cautions_of(finding)))
        sentence, remedy = finding_sentence(self._snapshot, finding), finding_remedy(finding)
        return _Reason(
            before_place=_before_place(finding),
            before_remedy=(
                f',"sentence":{_quoted(sentence)},"quantities":[{",".join(quantities)}],'
                f'"limits":[{",".join(limits)}],"rules":[{",".join(rules)}],"facts":[{",".join(facts)}],'
                f'"missing":[{",".join(missing)}],"rivals":{_ids(dict.fromkeys(rivals))},'
                f'"disputes":[{",".join(disputes)}],"remedy":',
            ),
            remedy="null" if remedy is None else _quoted(remedy),
            remedy_parts=_ids(finding.remedies),
            after_remedies=f',"cautions":{_ids(cautions)},"sources":{_ids(sorted(sources))},"section":null}}',
            cautions=cautions,
            sources=(*sources, *against),
        )

    def _number(self, number: Number, pieces: list[str], sources: set[str]) -> None:
        """Write a number to pieces, and add the sources it cites to others; an empty one for what was stated."""
        key = number.quantity_id
        around = self._quantities.find(key) or self._quantities.get(key, partial(self._around_number, number))
        facts, texts = number.inputs, self._facts
        try:
            inputs = [texts[fact] for fact in dict.fromkeys(facts)]
        except _NestedNumberError:
            facts = tuple(_facts_of(number))
            inputs = [texts[fact] for fact in dict.fromkeys(facts)]
        sources.update(map(_source_id, facts))
        pieces += (around[0], _number_text(number.value), around[1])
        pieces += _listed(inputs)
        pieces.append("]}")

    def _limit(self, check: LimitCheck) -> str:
        key = (check.limit.id, check.holds)
        return self._limits.find(key) or self._limits.get(key, partial(_limit_text, check))

    def _around_number(self, number: Number) -> tuple[str, str]:
        quantity = self._snapshot.get(Quantity, number.quantity_id)
        return (
            f'{{"name":{_quoted(quantity.id)},"title":{_quoted(quantity.title)},"value":',
            f',"unit":{_quoted(quantity.unit)},"formula":{_quoted(quantity.formula_id)},"inputs":[',
        )


def _listed(texts: Sequence[str]) -> list[str]:
    """Return texts with commas between them."""
    listed = [","] * (2 * len(texts) - 1)
    listed[::2] = texts
    return listed


def _rule_key(finding: Finding) -> RowKey | None:
    """Return a key for a finding that follows, but for its place, from rows alone; `None` for any other."""
    first = finding.evidence[0]
    if not isinstance(first, RuleHit) or len(finding.evidence) > 1 or finding.remedies:
        return None
    key: list[Hashable] = [finding.code, finding.verdict, first.rule.id, first.subject_id, first.object_id]
    for check in first.conditions:
        if check.origin is None and check.value is not None:
            return None  # somebody stated it
        key.append(None if check.origin is None else check.origin.id)
    return tuple(key)


def _facts_of(number: Number) -> Iterator[Fact]:
    for node in number.inputs:
        if isinstance(node, Fact):
            yield node
        else:
            yield from _facts_of(node)


def _before_place(finding: Finding) -> str:
    return f'{{"code":{_quoted(finding.code)},"verdict":"{finding.verdict}","place":'


def _gap_text(gap: Missing) -> str:
    column = _quoted(gap.column) if gap.column else "null"
    return f'{{"subject":{_quoted(gap.subject)},"what":{_quoted(gap.what)},"column":{column}}}'


def _limit_text(check: LimitCheck) -> str:
    return _text(report_limit(check))


def _number_text(value: float) -> str:
    plain = type(value) is float and (_LEAST_PLAIN <= abs(value) < _MOST_PLAIN or value == 0)
    return repr(value) if plain else to_json(float(value)).decode()


def _text(reported: BaseModel) -> str:
    return to_json(reported).decode()


def _ids(ids: Iterable[str]) -> str:
    return f"[{','.join(map(_quoted, ids))}]" if ids else "[]"
