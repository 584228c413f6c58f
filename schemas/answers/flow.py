"""The flow of a loop, as answers report it: pumps, parts, runs, pressures, splits, and what changes if something fails.

Owns: the form of that part of an answer. Does not own: deciding or wording (`kb/loops/`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.assumed import AssumedValue
from schemas.answers.base import AnswerModel, Described
from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantProperties(AnswerModel):
    """What flows, at its mean temperature."""

    title: str
    glycol: Annotated[str | None, Described("Its glycol; none for water.")]
    glycol_percent_mass: float
    glycol_percent_volume: Annotated[float | None, Described("Share by volume, where it is known so.")]
    temperature_c: float
    density_kg_per_m3: float
    dynamic_viscosity_mpa_s: float
    heat_capacity_j_per_kg_k: float
    thermal_conductivity_w_per_m_k: float
    library: Annotated[str, Described("Where the properties come from.")]
    known_by: Annotated[
        str,
        Described(
            "Row or place of the question that says how much glycol there is.",
            examples=["fluid-property/dyed-premix-glycol-share"],
        ),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpFlow(AnswerModel):
    """A pump where its curve and the loop agree."""

    name: str
    title: str
    speed_percent: float
    flow_l_min: UncertaintyRange
    head_kpa: UncertaintyRange
    coolant_w: Annotated[float, Described("Power that goes into the coolant: flow times head.")]
    inlet_kpa: Annotated[float | None, Described("Gauge pressure at its inlet; none if nothing fixes it.")]
    curve: Annotated[
        str,
        Described("Where its curve comes from: points of the question, an archetype, or one scaled to the question."),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFlow(AnswerModel):
    """A part that coolant flows through."""

    name: str
    title: str
    kind: str
    flow_l_min: Annotated[
        UncertaintyRange, Described("Flow through it; below zero it runs backwards, from outlet to inlet.")
    ]
    drop_kpa: UncertaintyRange
    inlet_kpa: Annotated[float | None, Described("Gauge pressure at its inlet; none if nothing fixes it.")]
    resistance: Annotated[
        str,
        Described("Where its resistance comes from: a row, or the drop or the core that the question states."),
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunFlow(AnswerModel):
    """A run that coolant flows through."""

    name: str
    flow_l_min: UncertaintyRange
    drop_kpa: UncertaintyRange
    bore_mm: Annotated[float | None, Described("Narrowest bore on its way; none if none is known.")]
    narrowest: Annotated[str | None, Described("What has that bore.")]
    velocity_m_per_s: Annotated[float | None, Described("In that bore.")]
    reynolds: Annotated[float | None, Described("In the tube; in the narrowest bore where there is no tube.")]
    regime: Annotated[str | None, Described("laminar, transition, turbulent or still.", examples=["turbulent"])]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstPressure(AnswerModel):
    """Where the pressure is greatest."""

    place: str
    bar: Annotated[float, Described("Gauge pressure, at the greatest flow of the range.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchShare(AnswerModel):
    """One branch of a flow split."""

    to: Annotated[str, Described("The run or part that takes it.")]
    share_percent: float
    flow_l_min: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowSplit(AnswerModel):
    """A place where flow divides."""

    at: str
    branches: tuple[BranchShare, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowFailureCase(AnswerModel):
    """What the flow becomes if one thing changes."""

    what: Annotated[str, Described("Kind of change: pump-dead, filter-clogged or valve-closed.")]
    part: str
    times: Annotated[float | None, Described("How many times its usual pressure a clogged part takes.")] = None
    flow_now_l_min: Annotated[float, Described("Through the circuit now: greatest flow through one of its pumps.")]
    flow_then_l_min: float
    least_block: Annotated[str | None, Described("Block that gets least flow then; none without blocks.")] = None
    least_block_l_min: float | None = None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowSection(AnswerModel):
    """Does the pump move the coolant through this loop, and at what pressures?"""

    verdict: Verdict
    coolant: Annotated[
        CoolantProperties | None, Described("None if nothing is known of what flows; then nothing is computed.")
    ]
    pumps: tuple[PumpFlow, ...]
    parts: tuple[PartFlow, ...]
    runs: tuple[RunFlow, ...]
    worst_pressure: WorstPressure | None
    splits: tuple[FlowSplit, ...]
    failure_cases: tuple[FlowFailureCase, ...]
    assumed: tuple[AssumedValue, ...]
    left_out: Annotated[tuple[str, ...], Described("What the computation leaves out, in words.")] = ()
