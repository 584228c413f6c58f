"""The heat of a loop, as answers report it: coolant, cooled parts, radiators, sound, options and comparisons.

Owns: the form of that part of an answer. Does not own: deciding or wording (`kb/loops/`).
Temperatures are those of a steady load. Levels of sound are on the scale of the fans' own figures.
"""

from __future__ import annotations

from pydantic import Field

from schemas.answers.answers import AnswerModel
from schemas.answers.assumed import AssumedValue
from schemas.answers.uncertainty_range import UncertaintyRange
from schemas.verdict import Verdict


class CoolantPoint(AnswerModel):
    """The coolant at one place of the loop."""

    place: str = Field(description="A port, or a part for its middle, in the order of the flow.")
    temperature_c: float


class StageHeat(AnswerModel):
    """What one stage of a card or board gives to its block."""

    name: str = Field(description="core, memory or vrm.")
    heat_w: float


class CooledPart(AnswerModel):
    """A cooled part with its block."""

    name: str
    title: str
    heat_w: float
    stages: tuple[StageHeat, ...] = Field(default=(), description="Empty if the block cools one stage alone.")
    flow_l_min: float
    coolant_in_c: float
    coolant_out_c: float
    thermal_resistance_k_per_w: UncertaintyRange | None = Field(
        description="Surface over entering coolant, per watt, at this flow; none if nobody says it."
    )
    surface_c: UncertaintyRange | None = Field(
        description="Temperature of the cooled surface; none without a resistance."
    )
    known_by: str | None = Field(description="Row or place of the question that gives the thermal resistance.")


class ThermalResistanceShares(AnswerModel):
    """Shares of the thermal resistance from the entering coolant to the entering air."""

    core_percent: float = Field(description="Film between fins and air: more or better fins would help.")
    coolant_percent: float = Field(description="Film in the tubes: more coolant flow would help.")
    air_percent: float = Field(description="Warming of the air on its way: more air would help.")


class RadiatorHeat(AnswerModel):
    """A radiator with its fans."""

    name: str
    title: str
    fans: str = Field(description="Its fans in words.", examples=["2 x low-speed 120 mm fan"])
    arrangement: str | None = Field(description="push, pull or push-pull; none without fans.")
    speed_rpm: float | None
    fans_running: int
    air_in_c: float
    air_out_c: float
    air_flow_m3_per_h: float
    pressure_pa: float = Field(description="Static pressure of a running fan, which core and obstacles take.")
    coolant_flow_l_min: float
    coolant_in_c: float
    coolant_out_c: float
    conductance_w_per_k: UncertaintyRange = Field(description="Heat over entering coolant less entering air.")
    effectiveness: float
    heat_w: float = Field(description="Below zero where the air warms the coolant.")
    share_percent: float = Field(description="Of the heat that the loop gives off.")
    resistance_shares: ThermalResistanceShares | None = Field(description="None where no heat passes.")
    limited_by: str | None = Field(description="core, coolant or air: the largest share of the thermal resistance.")
    sound_level_db: float | None = Field(description="All its fans together, on the scale of the fans' figures.")
    notes: tuple[str, ...] = ()


class UncertaintyCause(AnswerModel):
    """One uncertain thing and what it alone does to the coolant-to-air temperature difference."""

    cause: str
    lowers_k: float = Field(description="By how much the coolant may be cooler for it.")
    raises_k: float = Field(description="By how much it may be warmer for it.")


class CoolingOption(AnswerModel):
    """One option to reach the target temperature difference, computed through the whole loop."""

    kind: str = Field(
        description=(
            "fan-speed, other-fans, push-pull, larger-radiator, thicker-radiator, denser-radiator, second-radiator, "
            "more-flow or less-heat; two taken together are joined by a plus sign."
        )
    )
    sentence: str
    needs: str = Field(description="What has to be bought or set.")
    parts: tuple[str, ...] = Field(default=(), description="Archetypes it uses.")
    reaches: bool = Field(description="Whether the target difference is reached.")
    coolant_to_air_delta_t_k: float
    gain_k: float = Field(description="How much cooler the hottest radiator inlet becomes.")
    sound_level_db: float | None
    sound_change_db: float | None


class RuleOfThumbLength(AnswerModel):
    """What the rule of thumb asks for one cooled part."""

    name: str
    overclocked: bool
    length_mm: float


class RuleOfThumbCheck(AnswerModel):
    """The rule of thumb beside the computation."""

    cooled: tuple[RuleOfThumbLength, ...]
    asked_mm: float
    present_mm: float = Field(description="Fan sizes of all radiators in a row.")
    holds: bool
    agrees: bool | None = Field(description="Whether rule and computation say the same; none if nothing was computed.")
    sentence: str
    rows: tuple[str, ...] = Field(description="Rows that state the rule.")


class ComparisonCase(AnswerModel):
    """One case of a comparison."""

    case: str
    coolant_to_air_delta_t_k: float
    change_k: float = Field(description="Against the loop as asked; above zero is warmer.")
    largest_part_change_k: float | None = Field(
        default=None, description="Largest change of a cooled surface, or of its coolant where no surface is known."
    )
    part: str | None = Field(default=None, description="The part with that change.")
    flow_l_min: float | None = None
    causes: tuple[UncertaintyCause, ...] = ()


class HeatComparison(AnswerModel):
    """What changes, and how little or much, if one thing of the loop were otherwise."""

    subject: str = Field(description="half-flow, order, glycol, fin-density or thickness.")
    cases: tuple[ComparisonCase, ...]
    crossover_rpm: float | None = Field(default=None, description="Speed of the fans at which both cases are equal.")
    sentence: str


class HeatFailureCase(AnswerModel):
    """What the temperatures become if something fails."""

    what: str = Field(description="pump-dead, fan-stopped or filter-clogged.")
    part: str
    coolant_to_air_delta_t_k: float | None = Field(description="None if the coolant no longer carries the heat away.")
    change_k: float | None
    coolant_hottest_c: float | None
    sentence: str


class HeatSection(AnswerModel):
    """How warm the loop gets, what limits it, and what would help."""

    verdict: Verdict
    air_c: float
    heat_w: float = Field(description="Cooled parts and pumps together.")
    pumps_w: float = Field(description="Share of the pumps in it.")
    coolant_to_air_delta_t_k: UncertaintyRange | None = Field(
        description="Entering coolant over the room's air at the radiator where it is greatest; none if not computed."
    )
    hottest_at: str | None = Field(description="The radiator where it is greatest.")
    coolant_mean_c: float | None
    coolant_hottest_c: float | None
    points: tuple[CoolantPoint, ...]
    sources: tuple[CooledPart, ...]
    radiators: tuple[RadiatorHeat, ...]
    sound_level_db: float | None
    sound: str | None = Field(description="What the level means, in words.")
    heat_balance_error: float | None = Field(description="Heat in less heat out, as a share of the heat in.")
    uncertainty_causes: tuple[UncertaintyCause, ...] = ()
    target_k: float | None
    shortfall_k: float | None = Field(description="By how much the likely difference lies above the target.")
    shortfall_w: float | None = Field(description="Heat that the radiators cannot reject at the target difference.")
    options: tuple[CoolingOption, ...] = ()
    rule_of_thumb: RuleOfThumbCheck | None = None
    comparisons: tuple[HeatComparison, ...] = ()
    failure_cases: tuple[HeatFailureCase, ...] = ()
    assumed: tuple[AssumedValue, ...] = ()
    notes: tuple[str, ...] = Field(
        default=(), description="Where the computation holds a value at the end of its range, in words."
    )
    left_out: tuple[str, ...] = Field(default=(), description="What the computation leaves out, in words.")
