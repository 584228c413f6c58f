"""The tree of typed facts that the engine keeps while it decides.

Owns: what a reason is made of. Does not own: words (`kb/report/sentences/findings.py`) or how reasons are found
(`kb/compatibility/joints/`). Everything here is a light immutable tuple: a fit makes some dozens of them and must stay
below 100 microseconds.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias

from schemas.level import Judgement, RequirementState
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Limit
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.verdict import Verdict, worst


class Computed(float):
    """A value among those that the asker stated, which the loop computes instead."""


class Fact(NamedTuple):
    """One cell of one row, or one value the asker gave (`source_id` empty).

    Attributes:
        row_id: id of the row, or the place of the asker's part.
        column: column name, with its unit in the name.
        value: the value.
        source_id: source row, empty if the asker gave the value.
        locator: place in the source.
    """

    row_id: str
    column: str
    value: float | str
    source_id: str
    locator: str


class Number(NamedTuple):
    """One computed quantity.

    Attributes:
        quantity_id: row of quantities.csv; it says the unit of the value and the formula that gives it.
        value: the number.
        inputs: what went in.
    """

    quantity_id: str
    value: float
    inputs: tuple[Fact | Number, ...]


class LimitCheck(NamedTuple):
    """A number held against a limit row."""

    limit: Limit
    value: float
    holds: bool


class ConditionCheck(NamedTuple):
    """A condition of a rule, held against what was asked or assumed.

    Attributes:
        condition: the condition row.
        value: the value compared, `None` if nobody knows it.
        origin: the row the value came from, `None` if the asker gave it or nobody knows it.
        holds: whether it holds; `None` if the value is unknown.
        is_computed: whether the loop computes the value.
    """

    condition: RuleCondition
    value: float | None
    origin: Assumption | FluidProperty | None
    holds: bool | None
    is_computed: bool = False


class RuleHit(NamedTuple):
    """A rule that decides a pair, with its conditions."""

    rule: Rule
    subject_id: str
    object_id: str
    conditions: tuple[ConditionCheck, ...]


class Missing(NamedTuple):
    """Something that had to be known and is not.

    Attributes:
        subject: the part, end or quantity it belongs to.
        what: the dimension, row or statement that is missing.
        column: the column or question field to fill, empty if none.
    """

    subject: str
    what: str
    column: str


class Rival(NamedTuple):
    """Rows of other sources for a dimension, not used because another source has a better rank.

    Attributes:
        used: the row that was used.
        others: the rows that were not.
    """

    used: str
    others: tuple[str, ...]


Node: TypeAlias = Fact | Number | LimitCheck | RuleHit | Missing | Rival


class RequirementCheck(NamedTuple):
    """The requirement that a warning names, and how it stands.

    Attributes:
        id: row of requirements.csv.
        state: open as long as nobody and nothing says more.
        because: the facts that imply or contradict it, as the row writes them.
    """

    id: str
    state: RequirementState = RequirementState.OPEN
    because: str = ""


class Finding(NamedTuple):
    """One reason: a stable code, what it says, where it applies and the evidence.

    Attributes:
        code: the quantity or rule topic judged, or a structural code of `kb/report/sentences/findings.py`.
        judgement: its level, pass or gap.
        place: the joint or part it speaks of.
        evidence: the tree of typed facts.
        remedies: ids of parts that would make it right.
        requirement: of a warning: what it asks for; `None` if it stands on a number alone.
        decides: of a gap: whether what is not known could turn out an error.
    """

    code: str
    judgement: Judgement
    place: str
    evidence: tuple[Node, ...]
    remedies: tuple[str, ...] = ()
    requirement: RequirementCheck | None = None
    decides: bool = True

    @property
    def verdict(self) -> Verdict:
        """What this reason alone says: a requirement that is met and a gap that does not decide say nothing."""
        if self.requirement is not None and self.requirement.state in SETTLED_STATES:
            return Verdict.COMPATIBLE
        return self.judgement.verdict if self.decides else Verdict.COMPATIBLE

    @property
    def is_open(self) -> bool:
        """Whether it is a warning whose requirement nobody and nothing meets."""
        return self.judgement is Judgement.WARNING and self.verdict is Verdict.CONDITIONAL

    @property
    def weight(self) -> int:
        """Larger is reported first; among reasons of one verdict a note comes before a pass [-]."""
        return _WEIGHTS[self.verdict, self.judgement]


SETTLED_STATES = frozenset({RequirementState.MET, RequirementState.IMPLIED})
_WEIGHTS = {
    (verdict, judgement): verdict.severity * len(Judgement) + judgement.severity
    for verdict in Verdict
    for judgement in Judgement
}


def verdict_of(findings: Iterable[Finding]) -> Verdict:
    """Return the verdict of a set of findings, worst first.

    Any error is `incompatible`; else any gap that decides `unknown`; else any open warning `conditional`; else
    `compatible`. The verdict of a union is that of all findings together, so neither order nor grouping matters.

    Args:
        findings: reasons; none at all means that nothing is known.
    """
    return worst(finding.verdict for finding in findings)


def cited_rows(findings: tuple[Finding, ...]) -> frozenset[str]:
    """Return the ids of every row the findings cite: facts, tolerances, limits, rules, conditions, assumptions."""
    cited: set[str] = set()
    for finding in findings:
        for node in finding.evidence:
            _collect(node, cited)
    return frozenset(cited)


def _collect(node: Node, cited: set[str]) -> None:
    if isinstance(node, Fact):
        if node.source_id:
            cited.add(node.row_id)
    elif isinstance(node, Number):
        for part in node.inputs:
            _collect(part, cited)
    elif isinstance(node, LimitCheck):
        cited.add(node.limit.id)
    elif isinstance(node, RuleHit) and not any(check.holds is False for check in node.conditions):
        cited.add(node.rule.id)
        for check in node.conditions:
            cited.add(check.condition.id)
            if check.origin is not None:
                cited.add(check.origin.id)
