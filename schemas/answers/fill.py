"""What is answered about filling a loop and keeping it: volumes, mix, room to grow, steps, what to look for and when.

Owns: the form of that part of the loop answer. Does not own: working it out (`kb/loops/`).
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from schemas.answers.answers import CautionTold, SourceTold, Told
from schemas.answers.assumed import AssumedTold
from schemas.answers.band import BandTold
from schemas.verdict import Verdict

HowKnown = Literal["stated", "row", "computed", "assumed", "unknown"]


class VolumeTold(Told):
    """What one part or tube holds."""

    place: str = Field(examples=["radiator"])
    volume_ml: BandTold | None = Field(description="None if nobody knows it; it is then left out of the sum.")
    how_known: HowKnown = Field(
        description="Stated, a row of the tables, computed from dimensions, with an assumed length, or unknown."
    )
    row: str | None = Field(default=None, description="Row of the tables it comes from.")
    tubes_ml: float | None = Field(
        default=None, description="Of a radiator: what its flat tubes hold by geometry; the rest is in the tanks."
    )


class MixTold(Told):
    """What to buy and pour together."""

    fluid: str
    title: str
    ready_to_use: bool = Field(description="Whether it is poured in as bought.")
    concentrate_ml: float = Field(description="Concentrate in the loop; 0 if the fluid is ready to use or plain water.")
    water_ml: float = Field(description="Water in the loop that is poured beside the concentrate, or alone.")
    premix_ml: float = Field(description="Fluid in the loop that is poured in as bought; 0 if it is mixed.")
    glycol_percent_volume: float | None
    glycol_percent_mass: float | None
    freezing_point_c: float | None = Field(
        description="Of pure glycol and water; none if it is unknown or nothing to speak of."
    )
    buy_ml: float = Field(description="Fluid to have at hand, or to mix: the loop at its largest, and a reserve.")
    reserve_percent: float


class AdditiveTold(Told):
    """One additive the question names, for this loop."""

    id: str
    title: str
    role: str
    dose_low_mg_per_l: float | None
    dose_high_mg_per_l: float | None
    amount_low_mg: float | None = Field(description="Of the active substance, for the likely contents of the loop.")
    amount_high_mg: float | None
    source: str
    note: str | None = None


class ExpansionTold(Told):
    """How much the coolant grows from filling to its hottest."""

    from_c: float
    to_c: float
    to_known: Literal["computed", "stated", "assumed"] = Field(
        description="Whether the hottest coolant was computed from the heat, stated, or assumed."
    )
    growth_ml: float = Field(description="For the largest contents that are plausible.")
    growth_percent: float
    room_ml: float | None = Field(description="Air above the mark in all reservoirs; none if nobody knows it.")
    sealed_bar: float | None = Field(
        description="Pressure over the surroundings if that air is shut in; none if no air is left or nobody knows."
    )
    verdict: Verdict


class LeakTestTold(Told):
    """What a test with air may press, so that the weakest part is spared."""

    pressure_bar: float = Field(description="Over the surroundings; the least of what every part bears, with a share.")
    weakest: str = Field(description="Part whose limit decides.")
    limit: str = Field(description="Row of the limits table.")
    bar_per_kelvin: float = Field(
        description="How much the needle moves if the air warms or cools by one kelvin, without any leak."
    )
    source: str


class PlaceTold(Told):
    """A port or part where coolant is poured in or let out."""

    place: str
    reason: str


class StepTold(Told):
    """One step of filling, bleeding, testing, first inspection or draining."""

    id: str
    stage: str
    position: int
    title: str
    text: str
    caution: str | None = Field(description="Row of the cautions table.")
    source: str
    basis: str


class UpkeepTold(Told):
    """One thing to do again and again."""

    id: str
    task: str = Field(description="look, measure, clean, change-fluid or replace.")
    title: str
    subject: str = Field(description="Fluid, material or family it is about.")
    places: tuple[str, ...] = Field(description="Where in this loop that is; empty if it is about the whole.")
    first_after_days: float | None
    every_months: float | None
    look_for: str
    reason: str
    source: str
    basis: str


class FillTold(Told):
    """How a loop is filled and kept."""

    verdict: Verdict
    volumes: tuple[VolumeTold, ...]
    total_ml: BandTold
    unknown_volumes: tuple[str, ...] = Field(description="Parts whose contents nobody knows, left out of the sum.")
    mix: MixTold | None = Field(description="None if the question names no fluid.")
    additives: tuple[AdditiveTold, ...]
    expansion: ExpansionTold | None = Field(description="None if the liquid's density is not known.")
    leak_test: LeakTestTold | None
    fill_points: tuple[PlaceTold, ...]
    drain_points: tuple[PlaceTold, ...]
    steps: tuple[StepTold, ...]
    upkeep: tuple[UpkeepTold, ...]
    change_fluid_after_months: float | None = Field(description="The shortest interval that fluid and materials ask.")
    assumed: tuple[AssumedTold, ...]
    cautions: tuple[CautionTold, ...] = Field(description="Cautions of the steps and of upkeep.")
    sources: tuple[SourceTold, ...] = Field(description="Sources of the steps and of upkeep.")
