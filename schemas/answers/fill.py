"""What is answered about filling a loop and keeping it: volumes, mix, expansion space, steps, what to look for and
when.

Owns: the form of that part of the loop answer. Does not own: working it out (`kb/loops/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from schemas.answers.answers import CitedCaution, CitedSource
from schemas.answers.assumed import AssumedValue
from schemas.answers.base import AnswerModel, Described
from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.verdict import Verdict

HowKnown = Literal["stated", "row", "computed", "assumed", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartVolume(AnswerModel):
    """What one part or tube holds."""

    place: Annotated[str, Described("A part or a tube.", examples=["radiator"])]
    volume_ml: Annotated[UncertaintyRange | None, Described("None if nobody knows it; it is then left out of the sum.")]
    how_known: Annotated[
        HowKnown,
        Described("Stated, a row of the tables, computed from dimensions, with an assumed length, or unknown."),
    ]
    row: Annotated[str | None, Described("Row of the tables it comes from.")] = None
    tubes_ml: Annotated[
        float | None,
        Described("Of a radiator: what its flat tubes hold by geometry; the rest is in the tanks."),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantMix(AnswerModel):
    """What to buy and pour together."""

    fluid: str
    title: str
    ready_to_use: Annotated[bool, Described("Whether it is poured in as bought.")]
    concentrate_ml: Annotated[
        float, Described("Concentrate in the loop; 0 if the fluid is ready to use or plain water.")
    ]
    water_ml: Annotated[float, Described("Water in the loop that is poured beside the concentrate, or alone.")]
    premix_ml: Annotated[float, Described("Fluid in the loop that is poured in as bought; 0 if it is mixed.")]
    glycol_percent_volume: float | None
    glycol_percent_mass: float | None
    freezing_point_c: Annotated[
        float | None, Described("Of pure glycol and water; none if it is unknown or nothing to speak of.")
    ]
    buy_ml: Annotated[float, Described("Fluid to buy, or to mix, at least: the loop at its largest, and a reserve.")]
    reserve_percent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AdditiveDose(AnswerModel):
    """One additive the question names, for this loop."""

    id: str
    title: str
    role: str
    dose_low_mg_per_l: float | None
    dose_high_mg_per_l: float | None
    amount_low_mg: Annotated[float | None, Described("Of the active substance, for the likely contents of the loop.")]
    amount_high_mg: float | None
    source: str
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantExpansion(AnswerModel):
    """How much the coolant expands from filling to its hottest."""

    from_c: float
    to_c: float
    to_known: Annotated[
        Literal["computed", "stated", "assumed"],
        Described("Whether the hottest coolant was computed from the heat, stated, or assumed."),
    ]
    expansion_ml: Annotated[float, Described("For the largest contents that are plausible.")]
    expansion_percent: float
    expansion_space_ml: Annotated[
        float | None, Described("Air above the mark in all reservoirs; none if nobody knows it.")
    ]
    sealed_bar: Annotated[
        float | None,
        Described("Pressure over the surroundings if that air is shut in; none if no air is left or nobody knows."),
    ]
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakTest(AnswerModel):
    """What a pressure test with air may press, so that the weakest part is spared."""

    pressure_bar: Annotated[
        float, Described("Over the surroundings; the least of what every part bears, with a share.")
    ]
    weakest: Annotated[str, Described("Part whose limit decides.")]
    limit: Annotated[str, Described("Row of the limits table.")]
    bar_per_kelvin: Annotated[
        float, Described("How much the needle moves if the air warms or cools by one kelvin, without any leak.")
    ]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ServicePoint(AnswerModel):
    """A port or part where coolant is poured in or let out."""

    place: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureStep(AnswerModel):
    """One step of filling, bleeding, testing, first inspection or draining."""

    id: str
    stage: str
    position: int
    title: str
    text: str
    caution: Annotated[str | None, Described("Row of the cautions table.")]
    source: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MaintenanceTask(AnswerModel):
    """One thing to do again and again."""

    id: str
    task: Annotated[str, Described("look, measure, clean, change-fluid or replace.")]
    title: str
    subject: Annotated[str, Described("Fluid, material or family it is about.")]
    places: Annotated[tuple[str, ...], Described("Where in this loop that is; empty if it is about the whole.")]
    first_after_days: float | None
    every_months: float | None
    look_for: str
    reason: str
    source: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FillSection(AnswerModel):
    """How a loop is filled and kept."""

    verdict: Verdict
    volumes: tuple[PartVolume, ...]
    total_ml: UncertaintyRange
    unknown_volumes: Annotated[tuple[str, ...], Described("Parts whose contents nobody knows, left out of the sum.")]
    mix: Annotated[CoolantMix | None, Described("None if the question names no fluid.")]
    additives: tuple[AdditiveDose, ...]
    expansion: Annotated[CoolantExpansion | None, Described("None if the liquid's density is not known.")]
    leak_test: LeakTest | None
    fill_ports: tuple[ServicePoint, ...]
    drain_points: tuple[ServicePoint, ...]
    steps: tuple[ProcedureStep, ...]
    maintenance: tuple[MaintenanceTask, ...]
    change_fluid_after_months: Annotated[float | None, Described("The shortest interval that fluid and materials ask.")]
    assumed: tuple[AssumedValue, ...]
    cautions: Annotated[tuple[CitedCaution, ...], Described("Cautions of the steps and of maintenance.")]
    sources: Annotated[tuple[CitedSource, ...], Described("Sources of the steps and of maintenance.")]
