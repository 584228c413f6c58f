"""What is answered: the one shape that in-process callers, the command line and the HTTP service share.

Owns: the form of answers. Does not own: deciding or wording (`kb/`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from schemas.answers.base import AnswerModel, Described
from schemas.level import Judgement, RequirementState
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedFact(AnswerModel):
    """One value and where it stands."""

    row: Annotated[
        str,
        Described("Row the value stands in, or the place of the asker's part.", examples=["tube/soft-10x16"]),
    ]
    column: Annotated[str, Described("Column, with its unit in the name.", examples=["od_mm"])]
    value: float | str
    given: Annotated[bool, Described("Whether the asker gave the value.")]
    source: Annotated[str | None, Described("Row of the sources table; none for given values.")] = None
    locator: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityValue(AnswerModel):
    """One computed number."""

    name: Annotated[str, Described("Row of the quantities table.", examples=["quantity/o-ring-compression-min"])]
    title: str
    value: float
    unit: str
    formula: Annotated[
        str,
        Described(
            "Row of the formulas table: equation, symbols, validity, source.",
            examples=["formula/o-ring-compression"],
        ),
    ]
    inputs: tuple[CitedFact, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedLimit(AnswerModel):
    """One limit a number was held against."""

    id: str
    comparison: Annotated[str, Described("at-least or at-most.")]
    value: float
    unit: str
    holds: bool
    source: str
    locator: str | None
    basis: str
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedCondition(AnswerModel):
    """One condition of a rule."""

    id: str
    quantity: str
    operator: str
    value: float
    unit: str
    actual: Annotated[float | None, Described("The value compared; none if nobody knows it.")]
    origin: Annotated[
        str | None, Described("Row the actual value comes from; none if stated, computed or unknown.")
    ] = None
    holds: bool | None
    computed: Annotated[bool, Described("Whether the loop computes the actual value.")] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedRule(AnswerModel):
    """One rule that speaks of the pair."""

    id: str
    topic: str
    subject: str
    object: str
    level: Judgement
    scope: Annotated[str, Described("couple, fluid or circumstance.")]
    reason: str
    conditions: tuple[CitedCondition, ...] = ()
    applies: Annotated[bool, Described("False if the rule would speak only under other circumstances.")]
    source: str
    locator: str | None
    basis: str
    confidence: str
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingValue(AnswerModel):
    """Something that had to be known and is not."""

    subject: str
    what: str
    column: Annotated[str | None, Described("Column or field that would fill the gap.")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedDispute(AnswerModel):
    """What another source says against a rule."""

    id: str
    rule: str
    verdict: Verdict
    reason: str
    source: str
    locator: str | None
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding(AnswerModel):
    """One reason."""

    code: Annotated[str, Described("Stable code.", examples=["o-ring-compression-min"])]
    verdict: Annotated[Verdict, Described("What this reason alone says; a requirement that is met says nothing.")]
    judgement: Annotated[Judgement, Described("Its level (error, warning, note), pass or gap.")]
    requirement: Annotated[str | None, Described("Of a warning: what must be met so that it is settled.")] = None
    state: Annotated[RequirementState | None, Described("How that requirement stands.")] = None
    decides: Annotated[bool, Described("Of a gap: whether what is not known could be an error.")] = False
    place: Annotated[str, Described("The joint or part it speaks of.")]
    sentence: str
    quantities: tuple[QuantityValue, ...] = ()
    limits: tuple[CitedLimit, ...] = ()
    rules: tuple[CitedRule, ...] = ()
    facts: tuple[CitedFact, ...] = ()
    missing: tuple[MissingValue, ...] = ()
    rivals: Annotated[
        tuple[str, ...],
        Described("Rows of other sources for the same dimension, not used because another source has a better rank."),
    ] = ()
    disputes: Annotated[tuple[CitedDispute, ...], Described("What other sources say against the rule.")] = ()
    remedy: Annotated[str | None, Described("What would make it right, in words.")] = None
    remedy_parts: Annotated[tuple[str, ...], Described("Parts that would make it right.")] = ()
    cautions: tuple[str, ...] = ()
    sources: Annotated[tuple[str, ...], Described("Every source the finding cites.")] = ()
    section: Annotated[str | None, Described("Of a loop: the section it belongs to.", examples=["heat"])] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedSource(AnswerModel):
    """One source, with how it was really seen."""

    id: str
    kind: str
    title: str
    authors: str | None
    publisher: str | None
    year: str | None
    edition: str | None
    address_kind: Annotated[str | None, Described("Standard-number, doi, isbn or url.")]
    address: Annotated[
        str | None,
        Described(
            "Where to find it; none if it was not found again.", examples=["https://doi.org/10.4271/2006-01-2161"]
        ),
    ]
    how_seen: str
    carriers: Annotated[int, Described("How many independent documents were seen to print its values.")]
    note: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedCaution(AnswerModel):
    """One caution."""

    id: str
    title: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(AnswerModel):
    """What every answer carries."""

    kb_version: Annotated[str, Described("Calendar version and digest of the tables that gave the answer.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class CitedRequirement(AnswerModel):
    """Something that must be so, and how it stands."""

    id: str
    state: Annotated[RequirementState, Described("open, implied, met, contradicted, or idle if nothing asks for it.")]
    priority: Annotated[int, Described("1 harm or a leak soon, 2 shorter life, 3 comfort.")]
    sentence: str
    how_it_is_met: str
    how_it_is_checked: str
    because: Annotated[str | None, Described("The facts that imply or contradict it.")] = None
    rows: Annotated[tuple[str, ...], Described("Rules and limits that name it.")] = ()
    can_be_stated: Annotated[bool, Described("Whether the asker may state it as met; what is computed may not.")] = True
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength(AnswerModel):
    """How far the evidence carries that decides; it never changes the verdict."""

    level: Literal["high", "medium", "low"]
    why: str
    rows: Annotated[tuple[str, ...], Described("The weakest rows among those that decide.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reasoned(Answer):
    """An answer with a verdict and reasons."""

    verdict: Verdict
    summary: str
    findings: tuple[Finding, ...]
    requirements: Annotated[
        tuple[CitedRequirement, ...], Described("What must be so: what is left to do first, by priority.")
    ] = ()
    strength: Strength
    unused: Annotated[tuple[str, ...], Described("Conditions that were given and that nothing asks for.")] = ()
    cautions: tuple[CitedCaution, ...]
    sources: tuple[CitedSource, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointVerdict(AnswerModel):
    """One way of joining the two parts that was looked at."""

    place: str
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class PairAnswer(Reasoned):
    """How two parts get on."""

    a: str
    b: str
    joint: Annotated[str, Described("The way of joining that the verdict speaks of.")]
    others: Annotated[tuple[JointVerdict, ...], Described("Other ways of joining these two, with their verdicts.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Partner(AnswerModel):
    """One part that may fit."""

    part: str
    title: str
    verdict: Verdict
    joint: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartnersAnswer(Answer):
    """Parts that fit a part, best first."""

    part: str
    kind: str
    partners: tuple[Partner, ...]
    judged: Annotated[int, Described("How many candidates were judged.")]
    more: Annotated[bool, Described("Whether further candidates were left out because of the limit.")]
    reason: Annotated[str | None, Described("Why there is none, if there is none.")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FittingChain(AnswerModel):
    """One way to lead from one part to the other."""

    parts: Annotated[tuple[str, ...], Described("Fittings in order, from a to b.")]
    verdict: Verdict
    joints: tuple[JointVerdict, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BetweenAnswer(Answer):
    """What goes between two parts, best first."""

    a: str
    b: str
    direct: Annotated[Verdict, Described("Verdict of joining the two without anything between.")]
    chains: tuple[FittingChain, ...]
    reason: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPart(AnswerModel):
    """One archetype that the words can mean."""

    part: str
    kind: str
    title: str
    score: float
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FindAnswer(Answer):
    """Archetypes that spec-sheet words can mean, likeliest first."""

    words: str
    readings: tuple[str, ...]
    candidates: tuple[FoundPart, ...]
    nearest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedSubstance(AnswerModel):
    """One fluid or material and how compatible it is."""

    id: str
    title: str
    verdict: Verdict
    reason: str
    faults: Annotated[int, Described("How many reasons are worse than compatible.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class SuitableAnswer(Answer):
    """Fluids for materials, or materials for a fluid, best first."""

    asked: tuple[str, ...]
    suitable: tuple[RankedSubstance, ...]
    more: bool
    unused: Annotated[tuple[str, ...], Described("Conditions that were given and that nothing asks for.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MatrixCell(AnswerModel):
    """One cell of a matrix."""

    row: str
    column: str
    verdict: Verdict
    decided_by: Annotated[tuple[str, ...], Described("Rules and limits that decide; empty if nothing is known.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class MatrixAnswer(Answer):
    """All members of two families against one another."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[MatrixCell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MixAnswer(Answer):
    """A mixture of glycol and water."""

    glycol: str
    glycol_percent_volume: float
    glycol_percent_mass: float
    freezing_point_c: Annotated[
        float | None,
        Described("Of pure glycol and water; printed tables of strong ethylene glycol lie up to 3 K higher."),
    ]
    density_kg_per_m3: float | None
    dynamic_viscosity_mpa_s: float | None
    heat_capacity_j_per_kg_k: float | None
    thermal_conductivity_w_per_m_k: float | None
    temperature_c: float
    library: Annotated[str, Described("Where the properties come from.")]
    findings: tuple[Finding, ...]
    cautions: tuple[CitedCaution, ...]
    sources: tuple[CitedSource, ...]


Cell = str | float | int | bool | tuple[str, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Record(AnswerModel):
    """One row of a table."""

    id: str
    table: str
    title: Annotated[str, Described("Title or designation; the id if the row has neither.")]
    families: Annotated[tuple[str, ...], Described("Families the row belongs to, nearest first.")] = ()
    values: Annotated[dict[str, Cell], Described("Every cell by column; none means unknown.")]
    units: Annotated[dict[str, str], Described("Unit by column, where a column has one.")] = field(default_factory=dict)
    withdrawn: Annotated[bool, Described("Whether the row no longer counts.")] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordAnswer(Answer):
    """One row, its source, and the ends of a fitting."""

    record: Record
    source: CitedSource | None
    ends: tuple[Record, ...] = ()
    resting: Annotated[tuple[str, ...], Described("Of a source: the active rows that rest on it.")] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordsAnswer(Answer):
    """A page of rows, sorted by id."""

    table: str
    total: int
    records: tuple[Record, ...]
    next: Annotated[str | None, Described("Pass as `after` to get the next page; none on the last one.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSummary(AnswerModel):
    """One table in numbers."""

    table: str
    rows: int
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VersionAnswer(Answer):
    """What is loaded."""

    version: str
    digest: str
    tables: tuple[TableSummary, ...]
