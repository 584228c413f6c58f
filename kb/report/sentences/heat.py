"""The words about air, heat and sound of a loop.

Owns: sentences of heat that are no row of a table. Does not own: what is decided, or other sentences
(`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from kb.evidence.tree import Missing
from kb.loops.heat.comparisons import Compared, Comparison
from kb.loops.heat.failures import FAN_STOPPED, PUMP_DEAD, HeatFailure
from kb.loops.heat.radiators import (
    FANS_OTHER_SIZE,
    FANS_UNKNOWN,
    RADIATOR_OUT_OF_RANGE,
    RADIATOR_UNKNOWN,
    FanSetup,
)
from kb.loops.heat.remedies import CoolingOption
from kb.loops.heat.rule_of_thumb import RuleOfThumb
from kb.loops.heat.sources import HEAT_UNKNOWN, THERMAL_RESISTANCE_UNKNOWN

_REJECTS_NOTHING = "so it counts as rejecting no heat"
_SAME_K = 0.05

HEAT_MISSING_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {
        RADIATOR_UNKNOWN: lambda gap: f"The {gap.what} of {gap.subject} is not known, {_REJECTS_NOTHING}.",
        RADIATOR_OUT_OF_RANGE: lambda gap: (
            f"The fins of {gap.subject} lie outside what the correlations were made for, {_REJECTS_NOTHING}."
        ),
        FANS_UNKNOWN: lambda gap: (
            f"No fans are named for {gap.subject}, and what heat it rejects without them is not known, "
            f"{_REJECTS_NOTHING}."
        ),
        FANS_OTHER_SIZE: lambda gap: (
            f"The fans named for {gap.subject} are of another size than its core takes ({gap.what}), "
            f"{_REJECTS_NOTHING}."
        ),
        HEAT_UNKNOWN: lambda gap: f"What heat {gap.subject} takes up is not stated, so it counts as none.",
        THERMAL_RESISTANCE_UNKNOWN: lambda gap: (
            f"The {gap.what} of {gap.subject} is not known, so nothing is said of the surface that it cools."
        ),
    }
)
HEAT_MISSING_REMEDIES: Mapping[str, str] = MappingProxyType(
    {
        RADIATOR_UNKNOWN: "Name the nearest archetype, such as radiator/240x30-low, and put your figures over it.",
        RADIATOR_OUT_OF_RANGE: "Check fins_per_inch; usual cores have 8 to 30.",
        FANS_UNKNOWN: "Name its fans, such as fan/balanced-120, and their speed.",
        FANS_OTHER_SIZE: "Name fans of the size of the radiator.",
        HEAT_UNKNOWN: "Give heat_w of the block.",
        THERMAL_RESISTANCE_UNKNOWN: "Name the kind of block, or give thermal_resistance_k_per_w.",
    }
)
LEFT_OUT = (
    "Radiators, fans and blocks are generic classes, unverified estimates, unless the question gives figures; measure "
    "before"
    " trusting a degree.",
    "Heat through the walls of tubes and parts is left out, which makes the coolant look a little warmer than it is.",
    "All electric power of the pumps counts as heat in the coolant; the uncertainty range covers the case that only "
    "their hydraulic work does.",
    "What glycol does to the film inside blocks is known only as far as the flow falls.",
    "Levels of sound come from the blades by the fan laws; bearings, pumps and rooms are left out.",
)
_CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "film": "spread of the heat correlation",
        "slow-air": "air slower than the correlation was made for",
        "friction": "spread of the friction correlation",
        "fans": "speed and curve of the fans",
        "coverage": "how much of the core the fans blow through",
        "flow": "resistance of the parts to the coolant",
        "pump-heat": "how much of the pumps' power the coolant takes",
    }
)


def cause_words(name: str) -> str:
    """Return what an uncertain thing is called."""
    return _CAUSES.get(name, name)


def fans_words(fans: FanSetup | None) -> str:
    """Return the fans of a radiator in words.

    Args:
        fans: the fans; `None` if there are none.
    """
    if fans is None:
        return "no fans that are known"
    count = fans.sections * (2 if fans.arrangement == "push-pull" else 1)
    stopped = f", {fans.stopped} stopped" if fans.stopped else ""
    return f"{count} x {fans.row.title}{stopped}"


def slow_air_note(reynolds: float, least: float) -> str:
    """Return the note that air is slower than the correlation of heat was made for."""
    return (
        f"The air is slower than the correlation holds for (Re {reynolds:.0f}, from {least:.0f} on): a wider "
        f"uncertainty range."
    )


def obstacle_note(loss: float) -> str:
    """Return the note that filters or grilles take pressure."""
    return f"Filters and grilles before it take {loss:.1f} times the dynamic pressure of the air."


def recirculation_note(shares: Mapping[str, float]) -> str:
    """Return the note that air comes out of other radiators."""
    return "Of its air " + ", ".join(f"{100 * share:.0f} % comes out of {name}" for name, share in shares.items()) + "."


def held_properties_note(mean_c: float, held_c: float) -> str:
    """Return the note that properties of coolant are taken at the end of their range.

    Args:
        mean_c: mean temperature of the coolant as computed [degC].
        held_c: the end of the range [degC].
    """
    return (
        f"The mean temperature of the coolant comes to {mean_c:.1f} degC: flow and heat are computed with its "
        f"properties at {held_c:.0f} degC, because no loop is meant to run beyond that."
    )


def sound_words(level: float | None, target: float | None) -> str:
    """Return what the level of all fans means.

    Args:
        level: of all fans together [dB]; `None` if none runs.
        target: target of the level [dB].
    """
    if level is None:
        return "No fan runs, so none is heard."
    lead = f"All fans together {level:.0f} dB on the scale of their own figures: good for comparing, not for a room."
    if target is None:
        return lead
    gap = level - target
    return f"{lead} That is {abs(gap):.0f} dB {'above' if gap > 0 else 'below'} the target of {target:.0f} dB."


def rule_sentence(rule: RuleOfThumb, delta_t_k: float | None, target_k: float) -> str:
    """Return what the rule of thumb says, and where the calculation disagrees with it.

    Args:
        rule: the rule.
        delta_t_k: computed coolant-to-air temperature difference; `None` if it could not be computed.
        target_k: target of the coolant-to-air temperature difference.
    """
    asked = " + ".join(
        f"{length:.0f} mm for {name}{' (overclocked)' if name in rule.overclocked else ''}"
        for name, length in rule.asked_mm.items()
    )
    lead = f"The rule of thumb asks for {asked}: {rule.whole_mm:.0f} mm; there are {rule.present_mm:.0f} mm"
    met = "which meets it" if rule.holds else "which does not meet it"
    if delta_t_k is None:
        return f"{lead}, {met}."
    reached = "reaches" if delta_t_k <= target_k else "does not reach"
    if rule.holds == (delta_t_k <= target_k):
        return f"{lead}, {met}; the calculation agrees: it {reached} {target_k:.0f} K."
    why = "the rule knows neither watts nor the speed of the fans"
    return f"{lead}, {met}; the calculation disagrees ({delta_t_k:.0f} K, target {target_k:.0f} K): {why}."


def option_sentence(option: CoolingOption, titles: Sequence[str]) -> str:
    """Return one option as a sentence.

    Args:
        option: the way.
        titles: what people call the archetypes it uses.
    """
    reach = "reaches" if option.reaches else "comes to"
    sound = ""
    if option.sound_change_db is not None and abs(option.sound_change_db) >= _SAME_K:
        sound = f", {abs(option.sound_change_db):.0f} dB {'louder' if option.sound_change_db > 0 else 'quieter'}"
    needs = option_needs(option, titles)
    return f"{needs}: {reach} {option.delta_t_k:.1f} K ({option.gain_k:.1f} K cooler{sound})."


def option_needs(option: CoolingOption, titles: Sequence[str]) -> str:
    """Return what has to be bought or set for an option.

    Args:
        option: the way.
        titles: what people call the archetypes it uses.
    """
    named = " and ".join(titles)
    needs = {
        "fan-speed": f"The same fans at {_speeds(option)}",
        "other-fans": f"{named} at {_speeds(option)}",
        "push-pull": f"As many fans again on the other side ({named})",
        "larger-radiator": f"{named} with the same fans in the place of {option.radiator}",
        "thicker-radiator": f"{named} with the same fans in the place of {option.radiator}",
        "denser-radiator": f"{named} with the same fans in the place of {option.radiator}",
        "second-radiator": f"A second {named} behind {option.radiator}, in fresh air, with the same fans",
        "more-flow": "Twice the flow, for about four times the head of the pump",
        "less-heat": f"No more than {option.heat_w or 0:.0f} W from all cooled parts",
    }
    if " + " not in option.kind:
        return needs[option.kind][0].upper() + needs[option.kind][1:]
    place = "in the place of" if option.kind.startswith("larger") else "as a second one behind"
    fans = " and ".join(titles[1:]) or "the same fans"
    return f"{titles[0]} {place} {option.radiator} with {fans} at {_speeds(option)}"


def _speeds(option: CoolingOption) -> str:
    speeds = option.speeds_rpm or {}
    if len(set(speeds.values())) == 1:
        return f"{next(iter(speeds.values())):.0f} rpm"
    return ", ".join(f"{speed:.0f} rpm ({name})" for name, speed in speeds.items())


def comparison_sentence(one: Comparison, asked_k: float) -> str:
    """Return what a comparison shows.

    Args:
        one: the comparison; it has a case at least.
        asked_k: coolant-to-air temperature difference of the loop as asked.
    """
    if one.subject == "half-flow":
        return _half_flow(one.cases[0])
    if one.subject == "order":
        return _order(one.cases)
    if one.subject == "glycol":
        return _glycol(one.cases)
    return _core(one, asked_k)


def _warmer(change_k: float) -> str:
    if abs(change_k) < _SAME_K:
        return "as warm as now"
    return f"{abs(change_k):.1f} K {'warmer' if change_k > 0 else 'cooler'}"


def _part(case: Compared) -> str:
    return f"{case.part} {_warmer(case.part_change_k)}" if case.part and case.part_change_k is not None else "no part"


def _half_flow(case: Compared) -> str:
    flow = f" ({case.flow_l_min:.1f} l/min)" if case.flow_l_min is not None else ""
    return f"With half the flow{flow} the coolant before the radiators is {_warmer(case.change_k)}, {_part(case)}."


def _order(cases: Sequence[Compared]) -> str:
    most = max(cases, key=lambda case: abs(case.part_change_k or 0.0))
    if abs(most.part_change_k or 0.0) < _SAME_K:
        return "Another order of the parts changes no part by as much as 0.1 K."
    return f"Another order of the parts ({most.case}) makes {_part(most)} at most."


def _glycol(cases: Sequence[Compared]) -> str:
    water = cases[0].delta_t_k
    texts = []
    for case in cases[1:]:
        parts = ", ".join(f"{name} {change:.1f}" for name, change in case.causes.items())
        texts.append(f"{case.case} glycol costs {case.delta_t_k - water:.1f} K ({parts} K)")
    return f"Against water (delta T {water:.1f} K) {'; '.join(texts)}."


def _core(one: Comparison, asked_k: float) -> str:
    texts = ", ".join(f"{case.case} {case.delta_t_k:.1f} K" for case in one.cases)
    lead = f"{one.radiator} at the speed of its fans, now at a delta T of {asked_k:.1f} K: {texts}."
    if one.crossover_rpm is not None:
        return f"{lead} Both are equal at {one.crossover_rpm:.0f} rpm; which is better turns there."
    return f"{lead} One stays the better within the whole range of speed of its fans."


def failure_sentence(one: HeatFailure) -> str:
    """Return what a failure does to the temperatures."""
    lead = {PUMP_DEAD: f"{one.part} dead", FAN_STOPPED: f"One fan of {one.part} stopped"}.get(
        one.what, f"The filter of {one.part} clogged"
    )
    if one.delta_t_k is None or one.change_k is None:
        return f"{lead}: the coolant no longer carries all heat away; parts heat up until they shut down."
    return f"{lead}: delta T {one.delta_t_k:.1f} K ({_warmer(one.change_k)}), {one.hottest_c:.0f} degC at its hottest."
