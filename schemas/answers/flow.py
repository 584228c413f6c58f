"""The flow of a loop, as answers tell it: pumps, parts, runs, pressures, splits, and what changes if something fails.

Owns: the form of that part of an answer. Does not own: deciding or wording (`kb/loops/`).
"""

from __future__ import annotations

from pydantic import Field

from schemas.answers.answers import Told
from schemas.answers.assumed import AssumedTold
from schemas.answers.band import BandTold
from schemas.verdict import Verdict


class CoolantTold(Told):
    """What flows, at its mean temperature."""

    title: str
    glycol: str | None = Field(description="Its glycol; none for water.")
    glycol_percent_mass: float
    glycol_percent_volume: float | None = Field(description="Share by volume, where it is known so.")
    temperature_c: float
    density_kg_per_m3: float
    dynamic_viscosity_mpa_s: float
    heat_capacity_j_per_kg_k: float
    thermal_conductivity_w_per_m_k: float
    library: str = Field(description="Where the properties come from.")
    known_by: str = Field(
        description="Row or place of the question that says how much glycol there is.",
        examples=["fluid-property/dyed-premix-glycol-share"],
    )


class PumpFlowTold(Told):
    """A pump where its curve and the loop agree."""

    name: str
    title: str
    speed_percent: float
    flow_l_min: BandTold
    head_kpa: BandTold
    coolant_w: float = Field(description="Power that goes into the coolant: flow times head.")
    inlet_kpa: float | None = Field(description="Pressure at its inlet over the air; none if nothing fixes it.")
    curve: str = Field(
        description="Where its curve comes from: points of the question, an archetype, or one scaled to the question."
    )


class PartFlowTold(Told):
    """A part that coolant flows through."""

    name: str
    title: str
    kind: str
    flow_l_min: BandTold = Field(description="Flow through it; below zero it runs backwards, from outlet to inlet.")
    drop_kpa: BandTold
    inlet_kpa: float | None = Field(description="Pressure at its inlet over the air; none if nothing fixes it.")
    resistance: str = Field(
        description="Where its resistance comes from: a row, or the drop or the core that the question states."
    )


class RunFlowTold(Told):
    """A run that coolant flows through."""

    name: str
    flow_l_min: BandTold
    drop_kpa: BandTold
    bore_mm: float | None = Field(description="Narrowest bore on its way; none if none is known.")
    narrowest: str | None = Field(description="What has that bore.")
    velocity_m_per_s: float | None = Field(description="In that bore.")
    reynolds: float | None = Field(description="In the tube; in the narrowest bore where there is no tube.")
    regime: str | None = Field(description="laminar, transition, turbulent or still.", examples=["turbulent"])


class WorstPressureTold(Told):
    """Where the pressure is greatest."""

    place: str
    bar: float = Field(description="Over the pressure of the air, at the greatest flow of the band.")


class BranchShareTold(Told):
    """One way out of a place where flow divides."""

    to: str = Field(description="The run or part that takes it.")
    share_percent: float
    flow_l_min: float


class SplitTold(Told):
    """A place where flow divides."""

    at: str
    branches: tuple[BranchShareTold, ...]


class FlowWhatIfTold(Told):
    """What the flow becomes if one thing changes."""

    what: str = Field(description="Kind of change: pump-dead, filter-clogged or valve-closed.")
    part: str
    times: float | None = Field(default=None, description="How many times its usual pressure a clogged part takes.")
    flow_now_l_min: float = Field(description="Through the circuit now: greatest flow through one of its pumps.")
    flow_then_l_min: float
    least_block: str | None = Field(default=None, description="Block that gets least flow then; none without blocks.")
    least_block_l_min: float | None = None
    sentence: str


class FlowTold(Told):
    """Does the pump move the coolant through this loop, and at what pressures?"""

    verdict: Verdict
    coolant: CoolantTold | None = Field(description="None if nothing is known of what flows; then nothing is computed.")
    pumps: tuple[PumpFlowTold, ...]
    parts: tuple[PartFlowTold, ...]
    runs: tuple[RunFlowTold, ...]
    worst_pressure: WorstPressureTold | None
    splits: tuple[SplitTold, ...]
    what_ifs: tuple[FlowWhatIfTold, ...]
    assumed: tuple[AssumedTold, ...]
    left_out: tuple[str, ...] = Field(default=(), description="What the computation leaves out, in words.")
