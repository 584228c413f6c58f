"""What is answered: the one shape that in-process callers, the command line and the HTTP service share.

Owns: the form of answers. Does not own: deciding or wording (`kb/`).
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field

from schemas.verdict import Verdict


class AnswerModel(BaseModel):
    """Base of everything we answer."""

    model_config = ConfigDict(frozen=True)


class CitedFact(AnswerModel):
    """One value and where it stands."""

    row: str = Field(
        description="Row the value stands in, or the place of the asker's part.", examples=["tube/soft-10x16"]
    )
    column: str = Field(description="Column, with its unit in the name.", examples=["od_mm"])
    value: float | str
    given: bool = Field(description="Whether the asker gave the value.")
    source: str | None = Field(default=None, description="Row of the sources table; none for given values.")
    locator: str | None = None


class QuantityValue(AnswerModel):
    """One computed number."""

    name: str = Field(description="Row of the quantities table.", examples=["quantity/o-ring-compression-min"])
    title: str
    value: float
    unit: str
    formula: str = Field(
        description="Row of the formulas table: equation, symbols, validity, source.",
        examples=["formula/o-ring-compression"],
    )
    inputs: tuple[CitedFact, ...] = ()


class CitedLimit(AnswerModel):
    """One limit a number was held against."""

    id: str
    comparison: str = Field(description="at-least or at-most.")
    value: float
    unit: str
    holds: bool
    source: str
    locator: str | None
    basis: str
    confidence: str


class CitedCondition(AnswerModel):
    """One condition of a rule."""

    id: str
    quantity: str
    operator: str
    value: float
    unit: str
    actual: float | None = Field(description="The value compared; none if nobody knows it.")
    origin: str | None = Field(default=None, description="Row the actual value comes from; none if stated or unknown.")
    holds: bool | None


class CitedRule(AnswerModel):
    """One rule that speaks of the pair."""

    id: str
    topic: str
    subject: str
    object: str
    verdict: Verdict
    reason: str
    conditions: tuple[CitedCondition, ...] = ()
    applies: bool = Field(description="False if the rule would speak only under other circumstances.")
    source: str
    locator: str | None
    basis: str
    confidence: str
    note: str | None = None


class MissingValue(AnswerModel):
    """Something that had to be known and is not."""

    subject: str
    what: str
    column: str | None = Field(default=None, description="Column or field that would fill the gap.")


class CitedDispute(AnswerModel):
    """What another source says against a rule."""

    id: str
    rule: str
    verdict: Verdict
    reason: str
    source: str
    locator: str | None
    confidence: str


class Finding(AnswerModel):
    """One reason."""

    code: str = Field(description="Stable code.", examples=["o-ring-compression-min"])
    verdict: Verdict
    place: str = Field(description="The joint or part it speaks of.")
    sentence: str
    quantities: tuple[QuantityValue, ...] = ()
    limits: tuple[CitedLimit, ...] = ()
    rules: tuple[CitedRule, ...] = ()
    facts: tuple[CitedFact, ...] = ()
    missing: tuple[MissingValue, ...] = ()
    rivals: tuple[str, ...] = Field(
        default=(),
        description="Rows of other sources for the same dimension, not used because another source has a better rank.",
    )
    disputes: tuple[CitedDispute, ...] = Field(default=(), description="What other sources say against the rule.")
    remedy: str | None = Field(default=None, description="What would make it right, in words.")
    remedy_parts: tuple[str, ...] = Field(default=(), description="Parts that would make it right.")
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = Field(default=(), description="Every source the finding cites.")
    section: str | None = Field(default=None, description="Of a loop: the section it belongs to.", examples=["heat"])


class CitedSource(AnswerModel):
    """One source, with how it was really seen."""

    id: str
    kind: str
    title: str
    publisher: str | None
    edition: str | None
    how_seen: str
    note: str | None


class CitedCaution(AnswerModel):
    """One caution."""

    id: str
    title: str
    text: str


class Answer(AnswerModel):
    """What every answer carries."""

    kb_version: str = Field(description="Calendar version and digest of the tables that gave the answer.")


class Reasoned(Answer):
    """An answer with a verdict and reasons."""

    verdict: Verdict
    summary: str
    findings: tuple[Finding, ...]
    cautions: tuple[CitedCaution, ...]
    sources: tuple[CitedSource, ...]


class JointVerdict(AnswerModel):
    """One way of joining the two parts that was looked at."""

    place: str
    verdict: Verdict


class PairAnswer(Reasoned):
    """How two parts get on."""

    a: str
    b: str
    joint: str = Field(description="The way of joining that the verdict speaks of.")
    others: tuple[JointVerdict, ...] = Field(
        default=(), description="Other ways of joining these two, with their verdicts."
    )


class Partner(AnswerModel):
    """One part that may fit."""

    part: str
    title: str
    verdict: Verdict
    joint: str
    reason: str


class PartnersAnswer(Answer):
    """Parts that fit a part, best first."""

    part: str
    kind: str
    partners: tuple[Partner, ...]
    judged: int = Field(description="How many candidates were judged.")
    more: bool = Field(description="Whether further candidates were left out because of the limit.")
    reason: str | None = Field(default=None, description="Why there is none, if there is none.")


class FittingChain(AnswerModel):
    """One way to lead from one part to the other."""

    parts: tuple[str, ...] = Field(description="Fittings in order, from a to b.")
    verdict: Verdict
    joints: tuple[JointVerdict, ...]
    reason: str


class BetweenAnswer(Answer):
    """What goes between two parts, best first."""

    a: str
    b: str
    direct: Verdict = Field(description="Verdict of joining the two without anything between.")
    chains: tuple[FittingChain, ...]
    reason: str | None = None


class FoundPart(AnswerModel):
    """One archetype that the words can mean."""

    part: str
    kind: str
    title: str
    score: float
    reason: str


class FindAnswer(Answer):
    """Archetypes that spec-sheet words can mean, likeliest first."""

    words: str
    readings: tuple[str, ...]
    candidates: tuple[FoundPart, ...]
    nearest: tuple[str, ...] = ()


class RankedSubstance(AnswerModel):
    """One fluid or material and how compatible it is."""

    id: str
    title: str
    verdict: Verdict
    reason: str
    faults: int = Field(description="How many reasons are worse than compatible.")


class SuitableAnswer(Answer):
    """Fluids for materials, or materials for a fluid, best first."""

    asked: tuple[str, ...]
    suitable: tuple[RankedSubstance, ...]
    more: bool


class MatrixCell(AnswerModel):
    """One cell of a matrix."""

    row: str
    column: str
    verdict: Verdict
    decided_by: tuple[str, ...] = Field(description="Rules and limits that decide; empty if nothing is known.")


class MatrixAnswer(Answer):
    """All members of two families against one another."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[MatrixCell, ...]


class MixAnswer(Answer):
    """A mixture of glycol and water."""

    glycol: str
    glycol_percent_volume: float
    glycol_percent_mass: float
    freezing_point_c: float | None = Field(
        description="Of pure glycol and water; printed tables of strong ethylene glycol lie up to 3 K higher."
    )
    density_kg_per_m3: float | None
    dynamic_viscosity_mpa_s: float | None
    heat_capacity_j_per_kg_k: float | None
    thermal_conductivity_w_per_m_k: float | None
    temperature_c: float
    library: str = Field(description="Where the properties come from.")
    findings: tuple[Finding, ...]
    cautions: tuple[CitedCaution, ...]
    sources: tuple[CitedSource, ...]


Cell = str | float | int | bool | tuple[str, ...] | None


class Record(AnswerModel):
    """One row of a table."""

    id: str
    table: str
    title: str = Field(description="Title or designation; the id if the row has neither.")
    families: tuple[str, ...] = Field(default=(), description="Families the row belongs to, nearest first.")
    values: dict[str, Cell] = Field(description="Every cell by column; none means unknown.")
    units: dict[str, str] = Field(default_factory=dict, description="Unit by column, where a column has one.")
    withdrawn: bool = Field(default=False, description="Whether the row no longer counts.")


class RecordAnswer(Answer):
    """One row, its source, and the ends of a fitting."""

    record: Record
    source: CitedSource | None
    ends: tuple[Record, ...] = ()


class RecordsAnswer(Answer):
    """A page of rows, sorted by id."""

    table: str
    total: int
    records: tuple[Record, ...]
    next: str | None = Field(description="Pass as `after` to get the next page; none on the last one.")


class TableSummary(AnswerModel):
    """One table in numbers."""

    table: str
    rows: int
    description: str


class VersionAnswer(Answer):
    """What is loaded."""

    version: str
    digest: str
    tables: tuple[TableSummary, ...]
