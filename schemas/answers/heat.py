"""The heat of a loop, as answers report it: coolant, cooled parts, radiators, sound, options and comparisons.

Owns: the form of that part of an answer. Does not own: deciding or wording (`kb/loops/`).
Temperatures are those of a steady load. Levels of sound are on the scale of the fans' own figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from schemas.answers.assumed import AssumedValue
from schemas.answers.base import AnswerModel, Described
from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolantPoint(AnswerModel):
    """The coolant at one place of the loop."""

    place: Annotated[str, Described("A port, or a part for its middle, in the order of the flow.")]
    temperature_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StageHeat(AnswerModel):
    """What one stage of a card or board gives to its block."""

    name: Annotated[str, Described("core, memory or vrm.")]
    heat_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CooledPart(AnswerModel):
    """A cooled part with its block."""

    name: str
    title: str
    heat_w: float
    stages: Annotated[tuple[StageHeat, ...], Described("Empty if the block cools one stage alone.")] = ()
    flow_l_min: float
    coolant_in_c: float
    coolant_out_c: float
    thermal_resistance_k_per_w: Annotated[
        UncertaintyRange | None,
        Described("Surface over entering coolant, per watt, at this flow; none if nobody says it."),
    ]
    surface_c: Annotated[
        UncertaintyRange | None, Described("Temperature of the cooled surface; none without a resistance.")
    ]
    known_by: Annotated[str | None, Described("Row or place of the question that gives the thermal resistance.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalResistanceShares(AnswerModel):
    """Shares of the thermal resistance from the entering coolant to the entering air."""

    core_percent: Annotated[float, Described("Film between fins and air: more or better fins would help.")]
    coolant_percent: Annotated[float, Described("Film in the tubes: more coolant flow would help.")]
    air_percent: Annotated[float, Described("Warming of the air on its way: more air would help.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class RadiatorHeat(AnswerModel):
    """A radiator with its fans."""

    name: str
    title: str
    fans: Annotated[str, Described("Its fans in words.", examples=["2 x low-speed 120 mm fan"])]
    arrangement: Annotated[str | None, Described("push, pull or push-pull; none without fans.")]
    speed_rpm: float | None
    fans_running: int
    air_in_c: float
    air_out_c: float
    air_flow_m3_per_h: float
    pressure_pa: Annotated[float, Described("Static pressure of a running fan, which core and obstacles take.")]
    coolant_flow_l_min: float
    coolant_in_c: float
    coolant_out_c: float
    conductance_w_per_k: Annotated[UncertaintyRange, Described("Heat over entering coolant less entering air.")]
    effectiveness: float
    heat_w: Annotated[float, Described("Below zero where the air warms the coolant.")]
    share_percent: Annotated[float, Described("Of the heat that the loop gives off.")]
    resistance_shares: Annotated[ThermalResistanceShares | None, Described("None where no heat passes.")]
    limited_by: Annotated[str | None, Described("core, coolant or air: the largest share of the thermal resistance.")]
    sound_level_db: Annotated[float | None, Described("All its fans together, on the scale of the fans' figures.")]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UncertaintyCause(AnswerModel):
    """One uncertain thing and what it alone does to the coolant-to-air temperature difference."""

    cause: str
    lowers_k: Annotated[float, Described("By how much the coolant may be cooler for it.")]
    raises_k: Annotated[float, Described("By how much it may be warmer for it.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingOption(AnswerModel):
    """One option to reach the target temperature difference, computed through the whole loop."""

    kind: Annotated[
        str,
        Described(
            "fan-speed, other-fans, push-pull, larger-radiator, thicker-radiator, denser-radiator, "
            "second-radiator, more-flow or less-heat; two taken together are joined by a plus sign."
        ),
    ]
    sentence: str
    needs: Annotated[str, Described("What has to be bought or set.")]
    parts: Annotated[tuple[str, ...], Described("Archetypes it uses.")] = ()
    reaches: Annotated[bool, Described("Whether the target difference is reached.")]
    coolant_to_air_delta_t_k: float
    gain_k: Annotated[float, Described("How much cooler the hottest radiator inlet becomes.")]
    sound_level_db: float | None
    sound_change_db: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOfThumbLength(AnswerModel):
    """What the rule of thumb asks for one cooled part."""

    name: str
    overclocked: bool
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOfThumbCheck(AnswerModel):
    """The rule of thumb beside the computation."""

    cooled: tuple[RuleOfThumbLength, ...]
    asked_mm: float
    present_mm: Annotated[float, Described("Fan sizes of all radiators in a row.")]
    holds: bool
    agrees: Annotated[
        bool | None, Described("Whether rule and computation say the same; none if nothing was computed.")
    ]
    sentence: str
    rows: Annotated[tuple[str, ...], Described("Rows that state the rule.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonCase(AnswerModel):
    """One case of a comparison."""

    case: str
    coolant_to_air_delta_t_k: float
    change_k: Annotated[float, Described("Against the loop as asked; above zero is warmer.")]
    largest_part_change_k: Annotated[
        float | None,
        Described("Largest change of a cooled surface, or of its coolant where no surface is known."),
    ] = None
    part: Annotated[str | None, Described("The part with that change.")] = None
    flow_l_min: float | None = None
    causes: tuple[UncertaintyCause, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatComparison(AnswerModel):
    """What changes, and how little or much, if one thing of the loop were otherwise."""

    subject: Annotated[str, Described("half-flow, order, glycol, fin-density or thickness.")]
    cases: tuple[ComparisonCase, ...]
    crossover_rpm: Annotated[float | None, Described("Speed of the fans at which both cases are equal.")] = None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatFailureCase(AnswerModel):
    """What the temperatures become if something fails."""

    what: Annotated[str, Described("pump-dead, fan-stopped or filter-clogged.")]
    part: str
    coolant_to_air_delta_t_k: Annotated[float | None, Described("None if the coolant no longer carries the heat away.")]
    change_k: float | None
    coolant_hottest_c: float | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSection(AnswerModel):
    """How warm the loop gets, what limits it, and what would help."""

    verdict: Verdict
    air_c: float
    heat_w: Annotated[float, Described("Cooled parts and pumps together.")]
    pumps_w: Annotated[float, Described("Share of the pumps in it.")]
    coolant_to_air_delta_t_k: Annotated[
        UncertaintyRange | None,
        Described("Entering coolant over the room's air at the radiator where it is greatest; none if not computed."),
    ]
    hottest_at: Annotated[str | None, Described("The radiator where it is greatest.")]
    coolant_mean_c: float | None
    coolant_hottest_c: float | None
    points: tuple[CoolantPoint, ...]
    sources: tuple[CooledPart, ...]
    radiators: tuple[RadiatorHeat, ...]
    sound_level_db: float | None
    sound: Annotated[str | None, Described("What the level means, in words.")]
    heat_balance_error: Annotated[float | None, Described("Heat in less heat out, as a share of the heat in.")]
    uncertainty_causes: tuple[UncertaintyCause, ...] = ()
    target_k: float | None
    shortfall_k: Annotated[float | None, Described("By how much the likely difference lies above the target.")]
    shortfall_w: Annotated[float | None, Described("Heat that the radiators cannot reject at the target difference.")]
    options: tuple[CoolingOption, ...] = ()
    rule_of_thumb: RuleOfThumbCheck | None = None
    comparisons: tuple[HeatComparison, ...] = ()
    failure_cases: tuple[HeatFailureCase, ...] = ()
    assumed: tuple[AssumedValue, ...] = ()
    notes: Annotated[
        tuple[str, ...], Described("Where the computation holds a value at the end of its range, in words.")
    ] = ()
    left_out: Annotated[tuple[str, ...], Described("What the computation leaves out, in words.")] = ()
