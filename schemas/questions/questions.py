"""What may be asked: questions and inline parts, validated.

Owns: the form of questions. Does not own: the loop question (`schemas/questions/loop.py`), finding the parts meant
(`kb/parts/resolver.py`) or answering.
Lengths are given in millimetres under `..._mm`, or as text with a unit under the bare name (`"od": "3/8 in"`). What a
number may be is said by the row of its quantity (`schemas/columns/figures.py`).
"""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ModelWrapValidatorHandler,
    ValidationError,
    ValidationInfo,
    model_validator,
)
from pydantic_core import PydanticCustomError

from schemas.columns.figures import PLAIN, Figure
from schemas.columns.sizes import SizeError, parse_length
from schemas.questions.choices import LONGEST_ID, PartnerKind
from schemas.questions.patience import Patience
from schemas.tables.fitting_ends import EndKind
from schemas.tables.threads import SealsOn, ThreadGender
from schemas.tables.wetted_materials import WettedRole
from schemas.verdict import Verdict

MOST_PARTS = 200
MOST_RUNS = 400
MOST_RESULTS = 200


def as_millimetres(value: Any) -> Any:
    """Turn a text with a unit into millimetres; leave numbers alone."""
    if not isinstance(value, str):
        return value
    try:
        length = parse_length(value)
    except SizeError as error:
        raise ValueError(str(error)) from None
    if not length.unit:
        raise ValueError(f"{value!r} has no unit; write for example 12.7 mm or 1/2 in")
    return length.mm


Millimetres = Annotated[float, PLAIN, Figure("dimension"), BeforeValidator(as_millimetres)]
Deviation = Annotated[float, PLAIN, Figure("dimension-tolerance")]
FlankAngle = Annotated[float, PLAIN, Figure("thread-form-angle")]
ThreadsPerInch = Annotated[float, PLAIN, Figure("threads-per-inch")]
Taper = Annotated[float, PLAIN, Figure("thread-taper")]
PartId = Annotated[str, Field(min_length=1, max_length=LONGEST_ID, examples=["thread/g-1-4"])]
WORD_FORM = r"^[^\x00-\x1f\x7f]+$"
END_FORM = r"^[a-f]$"
Word = Annotated[str, Field(min_length=1, max_length=LONGEST_ID, pattern=WORD_FORM)]


Conditions = dict[
    Annotated[str, Field(max_length=LONGEST_ID, examples=["coolant-temperature"])],
    Annotated[float, Field(allow_inf_nan=False, strict=True)],
]
MOST_MET = 100
Met = Annotated[
    tuple[Annotated[str, Field(min_length=1, max_length=LONGEST_ID)], ...],
    Field(
        default=(),
        max_length=MOST_MET,
        description="Requirements that you state to be met; the prefix requirement/ may be left out.",
        examples=[["requirement/hose-clamp"]],
    ),
]
Materials = dict[WettedRole, PartId | None]


class Asked(BaseModel):
    """Base of everything an asker writes: unknown fields are refused, never dropped."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @model_validator(mode="wrap")
    @classmethod
    def _while_patient(cls, data: Any, validate: ModelWrapValidatorHandler[Self], info: ValidationInfo) -> Self:
        """Count faults; once enough are found nothing more is looked at, for the question is refused already."""
        patience = info.context
        if not isinstance(patience, Patience):
            return validate(data)
        if patience.is_spent:
            raise PydanticCustomError("not_looked_at", "was not looked at: too much is wrong before it")
        before = patience.found
        try:
            return validate(data)
        except ValidationError as error:
            patience.found = before + error.error_count()
            raise


class InlinePart(Asked):
    """A part described by the asker: an archetype with overrides, or dimensions alone."""

    lengths: ClassVar[tuple[str, ...]] = ()

    is_: PartId | None = Field(
        default=None, alias="is", description="Archetype the part is like; its values fill gaps."
    )

    @model_validator(mode="before")
    @classmethod
    def _bare_lengths(cls, data: Any) -> Any:
        """Accept `od` with a unit in place of `od_mm`; both at once are refused."""
        if not isinstance(data, dict):
            return data
        data = dict(data)
        for name in cls.lengths:
            if name in data:
                if f"{name}_mm" in data:
                    raise ValueError(f"{name} and {name}_mm are both given; keep one")
                if not isinstance(data[name], str):
                    raise ValueError(f"{name} is text with a unit, such as 3/8 in; numbers go into {name}_mm")
                data[f"{name}_mm"] = data.pop(name)
        return data


class InlineTube(InlinePart):
    """A tube by its spec sheet."""

    lengths = ("id", "od", "wall")

    kind: Literal["tube"] = "tube"
    family: PartId | None = Field(default=None, examples=["family/tube-soft"], description="What sort of tube it is.")
    id_mm: Millimetres | None = Field(default=None, examples=[9.8])
    od_mm: Millimetres | None = Field(default=None, examples=[15.9])
    wall_mm: Millimetres | None = Field(default=None, examples=[3.05])
    id_tolerance_mm: Deviation | None = Field(default=None, description="Plus or minus on the inside diameter.")
    od_tolerance_mm: Deviation | None = Field(default=None, description="Plus or minus on the outside diameter.")
    material: PartId | None = Field(default=None, examples=["plastic/pmma"], description="What the tube is made of.")


class InlineThread(InlinePart):
    """A screw thread by its numbers, or an archetype on a known side."""

    lengths = ("major", "pitch", "pitch_diameter", "minor", "gauge_length")

    kind: Literal["thread"] = "thread"
    gender: ThreadGender | None = Field(default=None, description="external, internal or either.")
    form_angle_deg: FlankAngle | None = Field(default=None, examples=[55])
    threads_per_inch: ThreadsPerInch | None = Field(default=None, examples=[19])
    pitch_mm: Millimetres | None = None
    major_mm: Millimetres | None = None
    pitch_diameter_mm: Millimetres | None = None
    minor_mm: Millimetres | None = None
    taper_on_diameter: Taper | None = None
    gauge_length_mm: Millimetres | None = Field(default=None, description="Tip to gauge plane of a taper thread.")
    seals_on: SealsOn | None = None


class InlinePort(InlinePart):
    """A threaded opening by its spec sheet."""

    lengths = ("thread_depth_min", "spotface_diameter_min", "spotface_depth_max")

    kind: Literal["port"] = "port"
    thread: PartId | None = Field(default=None, examples=["thread/g-1-4"])
    seals_on: SealsOn | None = None
    thread_depth_min_mm: Millimetres | None = None
    spotface_diameter_min_mm: Millimetres | None = None
    spotface_depth_max_mm: Millimetres | None = None


class InlineEnd(Asked):
    """One end of a fitting by its spec sheet."""

    kind: EndKind
    thread: PartId | None = None
    seals_on: SealsOn | None = None
    seal: PartId | None = Field(default=None, examples=["seal/o-ring-12x2"])
    thread_length_mm: Millimetres | None = None
    collar_diameter_mm: Millimetres | None = None
    bore_mm: Millimetres | None = None
    barb_od_mm: Millimetres | None = None
    collar_bore_mm: Millimetres | None = None
    socket_bore_mm: Millimetres | None = None
    groove_diameter_mm: Millimetres | None = None
    insertion_depth_mm: Millimetres | None = None
    coupling_pattern: Word | None = None


class InlineFitting(InlinePart):
    """A fitting by its spec sheet: an archetype with some ends described anew, or ends alone."""

    kind: Literal["fitting"] = "fitting"
    family: PartId | None = Field(default=None, examples=["family/fitting-barb"])
    ends: dict[Annotated[str, Field(pattern=END_FORM)], InlineEnd] = Field(default_factory=dict)
    materials: Materials = Field(default_factory=dict, examples=[{"body": "metal/brass-yellow"}])


class InlineSeal(InlinePart):
    """An O-ring by its spec sheet."""

    lengths = ("o_ring_id", "section")

    kind: Literal["seal"] = "seal"
    o_ring_id_mm: Millimetres | None = None
    o_ring_id_tolerance_mm: Deviation | None = None
    section_mm: Millimetres | None = None
    section_tolerance_mm: Deviation | None = None


class InlineFluid(InlinePart):
    """A coolant by its label: an archetype with what differs, and what was added to it."""

    kind: Literal["fluid"] = "fluid"
    properties: Conditions = Field(
        default_factory=dict,
        description="What the fluid is, by quantity, in the quantity's unit.",
        examples=[{"ph": 7.5, "chloride": 20}],
    )
    additives: tuple[PartId, ...] = Field(default=(), max_length=20, examples=[["additive/benzotriazole"]])


INLINE_KINDS: dict[str, type[InlinePart]] = {
    "tube": InlineTube,
    "thread": InlineThread,
    "port": InlinePort,
    "fitting": InlineFitting,
    "seal": InlineSeal,
    "fluid": InlineFluid,
}
AnyInlinePart = InlineTube | InlineThread | InlinePort | InlineFitting | InlineSeal | InlineFluid


def _choose_inline(value: Any, info: ValidationInfo) -> Any:
    """Read the kind of an inline part from `kind`, or from the id under `is`."""
    if isinstance(value, str):
        return value
    if not isinstance(value, dict):
        if isinstance(value, InlinePart):
            return value
        raise PydanticCustomError("part_type", "a part is text or an object")
    base = value.get("is")
    kind = value.get("kind") or (base.split("/", 1)[0] if isinstance(base, str) else None)
    if not isinstance(kind, str) or kind not in INLINE_KINDS:
        raise ValueError("say what it is: kind is one of " + ", ".join(INLINE_KINDS) + ", or is names an archetype")
    return INLINE_KINDS[kind].model_validate(value, context=info.context)


PartRef = Annotated[PartId | AnyInlinePart, BeforeValidator(_choose_inline)]


class PairQuestion(Asked):
    """Are these two parts compatible?"""

    a: PartRef
    b: PartRef
    conditions: Conditions = Field(
        default_factory=dict,
        description="Circumstances that rules ask for, by quantity, in the quantity's unit.",
        examples=[{"coolant-temperature": 45}],
    )
    met: Met = ()


class PartnersQuestion(Asked):
    """Which archetypes of a kind fit this part?"""

    part: PartRef
    kind: PartnerKind = "fitting"
    verdicts: tuple[Verdict, ...] = Field(default=(Verdict.COMPATIBLE, Verdict.CONDITIONAL), max_length=len(Verdict))
    limit: int = Field(default=20, ge=1, le=MOST_RESULTS, strict=True)


class BetweenQuestion(Asked):
    """What goes between these two parts (a port and a tube, two threads, two tubes)?"""

    a: PartRef
    b: PartRef
    limit: int = Field(default=10, ge=1, le=MOST_RESULTS, strict=True)


FindableKind = Literal[
    "fitting",
    "tube",
    "port",
    "thread",
    "seal",
    "material",
    "fluid",
    "additive",
    "block",
    "pump",
    "radiator",
    "fan",
    "reservoir",
]


class FindQuestion(Asked):
    """Which archetypes can these spec-sheet words mean?"""

    words: Word
    kind: FindableKind | None = None
    limit: int = Field(default=10, ge=1, le=MOST_RESULTS, strict=True)


class SuitableFluidsQuestion(Asked):
    """Which fluids are compatible with these materials or parts, best first?"""

    parts: Annotated[tuple[PartRef, ...], Field(min_length=1, max_length=MOST_PARTS)]
    additives: tuple[PartId, ...] = Field(default=(), max_length=20)
    conditions: Conditions = Field(default_factory=dict)
    limit: int = Field(default=20, ge=1, le=MOST_RESULTS, strict=True)


class SuitableMaterialsQuestion(Asked):
    """Which materials are compatible with this fluid, best first?"""

    fluid: PartRef
    family: PartId | None = Field(default=None, examples=["family/plastic"])
    conditions: Conditions = Field(default_factory=dict)
    limit: int = Field(default=100, ge=1, le=MOST_RESULTS, strict=True)


class MatrixQuestion(Asked):
    """How do all members of two families get on?"""

    rows: PartId = Field(examples=["family/plastic"])
    columns: PartId = Field(examples=["family/glycol-coolant"])
    conditions: Conditions = Field(default_factory=dict)


Glycol = Literal["propylene-glycol", "ethylene-glycol"]


class MixQuestion(Asked):
    """What comes of mixing a glycol concentrate with water?"""

    glycol: Glycol
    concentrate_parts: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False, strict=True)] = Field(examples=[1])
    water_parts: Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False, strict=True)] = Field(examples=[3])
    concentrate_glycol_percent: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False, strict=True)] = Field(
        default=100, description="Share of glycol in the concentrate, by volume; the rest is taken as water."
    )
    temperature_c: Annotated[float, Field(ge=-40, le=100, allow_inf_nan=False, strict=True)] = 25.0
