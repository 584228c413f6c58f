"""What is answered: the one shape that in-process callers, the command line and the HTTP service share.

Owns: the form of answers. Does not own: deciding or wording (`kb/`).
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field

from schemas.verdict import Verdict


class Told(BaseModel):
    """Base of everything we answer."""

    model_config = ConfigDict(frozen=True)


class FactTold(Told):
    """One value and where it stands."""

    row: str = Field(
        description="Row the value stands in, or the place of the asker's part.", examples=["tube/soft-10x16"]
    )
    column: str = Field(description="Column, with its unit in the name.", examples=["od_mm"])
    value: float | str
    given: bool = Field(description="Whether the asker gave the value.")
    source: str | None = Field(default=None, description="Row of the sources table; none for given values.")
    locator: str | None = None


class QuantityTold(Told):
    """One computed number."""

    name: str = Field(description="Row of the quantities table.", examples=["quantity/ring-squeeze-min"])
    title: str
    value: float
    unit: str
    formula: str = Field(
        description="Row of the formulas table: equation, symbols, validity, source.",
        examples=["formula/o-ring-compression"],
    )
    inputs: tuple[FactTold, ...] = ()


class LimitTold(Told):
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


class ConditionTold(Told):
    """One condition of a rule."""

    id: str
    quantity: str
    operator: str
    value: float
    unit: str
    actual: float | None = Field(description="The value compared; none if nobody knows it.")
    origin: str | None = Field(default=None, description="Row the actual value comes from; none if stated or unknown.")
    holds: bool | None


class RuleTold(Told):
    """One rule that speaks of the pair."""

    id: str
    topic: str
    subject: str
    object: str
    verdict: Verdict
    reason: str
    conditions: tuple[ConditionTold, ...] = ()
    applies: bool = Field(description="False if the rule would speak only under other circumstances.")
    source: str
    locator: str | None
    basis: str
    confidence: str
    note: str | None = None


class MissingTold(Told):
    """Something that had to be known and is not."""

    subject: str
    what: str
    column: str | None = Field(default=None, description="Column or field that would fill the gap.")


class DisputeTold(Told):
    """What another source says against a rule."""

    id: str
    rule: str
    verdict: Verdict
    reason: str
    source: str
    locator: str | None
    confidence: str


class FindingTold(Told):
    """One reason."""

    code: str = Field(description="Stable code.", examples=["ring-squeeze-min"])
    verdict: Verdict
    place: str = Field(description="The joint or part it speaks of.")
    sentence: str
    quantities: tuple[QuantityTold, ...] = ()
    limits: tuple[LimitTold, ...] = ()
    rules: tuple[RuleTold, ...] = ()
    facts: tuple[FactTold, ...] = ()
    missing: tuple[MissingTold, ...] = ()
    rivals: tuple[str, ...] = Field(
        default=(), description="Rows of other sources for the same dimension, set aside for a source of better rank."
    )
    disputes: tuple[DisputeTold, ...] = Field(default=(), description="What other sources say against the rule.")
    mend: str | None = Field(default=None, description="What would make it right, in words.")
    mend_parts: tuple[str, ...] = Field(default=(), description="Parts that would make it right.")
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = Field(default=(), description="Every source the finding stands on.")
    section: str | None = Field(default=None, description="Of a loop: the section it belongs to.", examples=["heat"])


class SourceTold(Told):
    """One source, with how it was really seen."""

    id: str
    kind: str
    title: str
    publisher: str | None
    edition: str | None
    how_seen: str
    note: str | None


class CautionTold(Told):
    """One caution."""

    id: str
    title: str
    text: str


class Answer(Told):
    """What every answer carries."""

    kb_version: str = Field(description="Calendar version and digest of the tables that gave the answer.")


class Reasoned(Answer):
    """An answer with a verdict and reasons."""

    verdict: Verdict
    summary: str
    findings: tuple[FindingTold, ...]
    cautions: tuple[CautionTold, ...]
    sources: tuple[SourceTold, ...]


class JointTold(Told):
    """One way of joining the two parts that was looked at."""

    place: str
    verdict: Verdict


class PairAnswer(Reasoned):
    """How two parts get on."""

    a: str
    b: str
    joint: str = Field(description="The way of joining that the verdict speaks of.")
    others: tuple[JointTold, ...] = Field(
        default=(), description="Other ways of joining these two, with their verdicts."
    )


class PartnerTold(Told):
    """One part that may suit."""

    part: str
    title: str
    verdict: Verdict
    joint: str
    reason: str


class PartnersAnswer(Answer):
    """Parts that suit a part, best first."""

    part: str
    kind: str
    partners: tuple[PartnerTold, ...]
    judged: int = Field(description="How many candidates were judged.")
    more: bool = Field(description="Whether further candidates were left out because of the limit.")
    reason: str | None = Field(default=None, description="Why there is none, if there is none.")


class ChainTold(Told):
    """One way to lead from one part to the other."""

    parts: tuple[str, ...] = Field(description="Fittings in order, from a to b.")
    verdict: Verdict
    joints: tuple[JointTold, ...]
    reason: str


class BetweenAnswer(Answer):
    """What goes between two parts, best first."""

    a: str
    b: str
    direct: Verdict = Field(description="Verdict of joining the two without anything between.")
    chains: tuple[ChainTold, ...]
    reason: str | None = None


class CandidateTold(Told):
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
    candidates: tuple[CandidateTold, ...]
    nearest: tuple[str, ...] = ()


class SuitableTold(Told):
    """One fluid or material and how it suits."""

    id: str
    title: str
    verdict: Verdict
    reason: str
    faults: int = Field(description="How many reasons are worse than compatible.")


class SuitableAnswer(Answer):
    """Fluids for materials, or materials for a fluid, best first."""

    asked: tuple[str, ...]
    suitable: tuple[SuitableTold, ...]
    more: bool


class CellTold(Told):
    """One cell of a matrix."""

    row: str
    column: str
    verdict: Verdict
    decided_by: tuple[str, ...] = Field(description="Rules and limits that decide; empty if nothing is known.")


class MatrixAnswer(Answer):
    """All members of two families against one another."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[CellTold, ...]


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
    findings: tuple[FindingTold, ...]
    cautions: tuple[CautionTold, ...]
    sources: tuple[SourceTold, ...]


Cell = str | float | int | bool | tuple[str, ...] | None


class RecordTold(Told):
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

    record: RecordTold
    source: SourceTold | None
    ends: tuple[RecordTold, ...] = ()


class RecordsAnswer(Answer):
    """A page of rows, sorted by id."""

    table: str
    total: int
    records: tuple[RecordTold, ...]
    next: str | None = Field(description="Pass as `after` to get the next page; none on the last one.")


class TableTold(Told):
    """One table in numbers."""

    table: str
    rows: int
    description: str


class VersionAnswer(Answer):
    """What is loaded."""

    version: str
    digest: str
    tables: tuple[TableTold, ...]
