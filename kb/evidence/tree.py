"""The tree of typed facts that the engine keeps while it decides.

Owns: what a reason is made of. Does not own: words (`kb/report/sentences/findings.py`) or how reasons are found
(`kb/compatibility/joints/`). Everything here is a light immutable tuple: a fit makes some dozens of them and must stay
below 100 microseconds.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Limit
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.verdict import Verdict


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
    """

    condition: RuleCondition
    value: float | None
    origin: Assumption | FluidProperty | None
    holds: bool | None


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


class Finding(NamedTuple):
    """One reason: a stable code, a verdict, where it applies and the evidence.

    Attributes:
        code: the quantity or rule topic judged, or a structural code of `kb/report/sentences/findings.py`.
        verdict: what this reason alone says.
        place: the joint or part it speaks of.
        evidence: the tree of typed facts.
        remedies: ids of parts that would make it right.
    """

    code: str
    verdict: Verdict
    place: str
    evidence: tuple[Node, ...]
    remedies: tuple[str, ...] = ()


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
