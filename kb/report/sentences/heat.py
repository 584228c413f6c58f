"""What is said about air, heat and sound of a loop.

Owns: which message is said, and how its numbers are written. Does not own: what is decided, or the words
(`kb/tables/messages.csv`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from kb.loops.heat.comparisons import Compared, Comparison
from kb.loops.heat.failures import FAN_STOPPED, PUMP_DEAD, HeatFailure
from kb.loops.heat.radiators import FanSetup
from kb.loops.heat.remedies import CoolingOption
from kb.loops.heat.rule_of_thumb import RuleOfThumb
from kb.report.sentences.words import words
from kb.store.snapshot import Snapshot
from schemas.messages import Text

_SAME_K = 0.05
_LEFT_OUT = (
    Text.HEAT_LEFT_OUT_CLASSES,
    Text.HEAT_LEFT_OUT_WALLS,
    Text.HEAT_LEFT_OUT_PUMPS,
    Text.HEAT_LEFT_OUT_GLYCOL,
    Text.HEAT_LEFT_OUT_SOUND,
)
_CAUSES: Mapping[str, Text] = MappingProxyType(
    {
        "film": Text.HEAT_CAUSE_FILM,
        "slow-air": Text.HEAT_CAUSE_SLOW_AIR,
        "friction": Text.HEAT_CAUSE_FRICTION,
        "fans": Text.HEAT_CAUSE_FANS,
        "coverage": Text.HEAT_CAUSE_COVERAGE,
        "flow": Text.HEAT_CAUSE_FLOW,
        "pump-heat": Text.HEAT_CAUSE_PUMP_HEAT,
    }
)


def left_out(snapshot: Snapshot) -> tuple[str, ...]:
    """Return what the computation leaves out."""
    return tuple(words(snapshot, message) for message in _LEFT_OUT)


def cause_words(snapshot: Snapshot, name: str) -> str:
    """Return what an uncertain thing is called."""
    return words(snapshot, _CAUSES[name]) if name in _CAUSES else name


def fans_words(snapshot: Snapshot, fans: FanSetup | None) -> str:
    """Return the fans of a radiator in words.

    Args:
        snapshot: the knowledge.
        fans: the fans; `None` if there are none.
    """
    if fans is None:
        return words(snapshot, Text.HEAT_FANS_NONE)
    count = str(fans.sections * (2 if fans.arrangement == "push-pull" else 1))
    if fans.stopped:
        return words(snapshot, Text.HEAT_FANS_STOPPED, count=count, fan=fans.row.title, stopped=str(fans.stopped))
    return words(snapshot, Text.HEAT_FANS, count=count, fan=fans.row.title)


def slow_air_note(snapshot: Snapshot, reynolds: float, least: float) -> str:
    """Return the note that air is slower than the correlation of heat was made for."""
    return words(snapshot, Text.HEAT_SLOW_AIR, reynolds=f"{reynolds:.0f}", least=f"{least:.0f}")


def obstacle_note(snapshot: Snapshot, loss: float) -> str:
    """Return the note that filters or grilles take pressure."""
    return words(snapshot, Text.HEAT_OBSTACLES, times=f"{loss:.1f}")


def recirculation_note(snapshot: Snapshot, shares: Mapping[str, float]) -> str:
    """Return the note that air comes out of other radiators."""
    phrases = (
        words(snapshot, Text.HEAT_RECIRCULATION_SHARE, percent=f"{100 * share:.0f}", radiator=name)
        for name, share in shares.items()
    )
    return words(snapshot, Text.HEAT_RECIRCULATION, shares=", ".join(phrases))


def held_properties_note(snapshot: Snapshot, mean_c: float, held_c: float) -> str:
    """Return the note that properties of coolant are taken at the end of their range.

    Args:
        snapshot: the knowledge.
        mean_c: mean temperature of the coolant as computed [degC].
        held_c: the end of the range [degC].
    """
    return words(snapshot, Text.HEAT_HELD_PROPERTIES, mean=f"{mean_c:.1f}", held=f"{held_c:.0f}")


def sound_words(snapshot: Snapshot, level: float | None, target: float | None) -> str:
    """Return what the level of all fans means.

    Args:
        snapshot: the knowledge.
        level: of all fans together [dB]; `None` if none runs.
        target: target of the level [dB].
    """
    if level is None:
        return words(snapshot, Text.HEAT_SOUND_NONE)
    sound = words(snapshot, Text.HEAT_SOUND, level=f"{level:.0f}")
    if target is None:
        return sound
    message = Text.HEAT_SOUND_ABOVE if level > target else Text.HEAT_SOUND_BELOW
    return words(snapshot, message, sound=sound, gap=f"{abs(level - target):.0f}", target=f"{target:.0f}")


def rule_sentence(snapshot: Snapshot, rule: RuleOfThumb, delta_t_k: float | None, target_k: float) -> str:
    """Return what the rule of thumb says, and where the calculation disagrees with it.

    Args:
        snapshot: the knowledge.
        rule: the rule.
        delta_t_k: computed coolant-to-air temperature difference; `None` if it could not be computed.
        target_k: target of the coolant-to-air temperature difference.
    """
    lead, target = _rule(snapshot, rule), f"{target_k:.0f}"
    if delta_t_k is None:
        return words(snapshot, Text.RULE_OF_THUMB_MET if rule.holds else Text.RULE_OF_THUMB_NOT_MET, rule=lead)
    if rule.holds == (delta_t_k <= target_k):
        message = Text.RULE_OF_THUMB_MET_AGREES if rule.holds else Text.RULE_OF_THUMB_NOT_MET_AGREES
        return words(snapshot, message, rule=lead, target=target)
    message = Text.RULE_OF_THUMB_MET_DISAGREES if rule.holds else Text.RULE_OF_THUMB_NOT_MET_DISAGREES
    return words(snapshot, message, rule=lead, delta_t=f"{delta_t_k:.0f}", target=target)


def _rule(snapshot: Snapshot, rule: RuleOfThumb) -> str:
    lengths = (
        words(
            snapshot,
            Text.RULE_OF_THUMB_OVERCLOCKED if name in rule.overclocked else Text.RULE_OF_THUMB_LENGTH,
            length=f"{length:.0f}",
            part=name,
        )
        for name, length in rule.asked_mm.items()
    )
    whole, present = f"{rule.whole_mm:.0f}", f"{rule.present_mm:.0f}"
    return words(snapshot, Text.RULE_OF_THUMB, asked=" + ".join(lengths), whole=whole, present=present)


def option_sentence(snapshot: Snapshot, option: CoolingOption, titles: Sequence[str]) -> str:
    """Return one option as a sentence.

    Args:
        snapshot: the knowledge.
        option: the way.
        titles: what people call the archetypes it uses.
    """
    return words(
        snapshot,
        Text.OPTION_REACHES if option.reaches else Text.OPTION_COMES_TO,
        needs=option_needs(snapshot, option, titles),
        delta_t=f"{option.delta_t_k:.1f}",
        gain=f"{option.gain_k:.1f}",
        sound=_sound_change(snapshot, option.sound_change_db),
    )


def _sound_change(snapshot: Snapshot, change_db: float | None) -> str:
    if change_db is None or abs(change_db) < _SAME_K:
        return ""
    message = Text.OPTION_LOUDER if change_db > 0 else Text.OPTION_QUIETER
    return f", {words(snapshot, message, change=f'{abs(change_db):.0f}')}"


def option_needs(snapshot: Snapshot, option: CoolingOption, titles: Sequence[str]) -> str:
    """Return what has to be bought or set for an option.

    Args:
        snapshot: the knowledge.
        option: the way.
        titles: what people call the archetypes it uses.
    """
    if " + " in option.kind:
        return _radiator_and_fans(snapshot, option, titles)
    needs = _needs(snapshot, option, " and ".join(titles))
    return needs[0].upper() + needs[1:]


def _needs(snapshot: Snapshot, option: CoolingOption, parts: str) -> str:
    radiator = option.radiator or ""
    match option.kind:
        case "fan-speed":
            return words(snapshot, Text.OPTION_FAN_SPEED, speeds=_speeds(option))
        case "other-fans":
            return words(snapshot, Text.OPTION_OTHER_FANS, parts=parts, speeds=_speeds(option))
        case "push-pull":
            return words(snapshot, Text.OPTION_PUSH_PULL, parts=parts)
        case "second-radiator":
            return words(snapshot, Text.OPTION_SECOND_RADIATOR, parts=parts, radiator=radiator)
        case "more-flow":
            return words(snapshot, Text.OPTION_MORE_FLOW)
        case "less-heat":
            return words(snapshot, Text.OPTION_LESS_HEAT, heat=f"{option.heat_w or 0:.0f}")
        case _:
            return words(snapshot, Text.OPTION_OTHER_RADIATOR, parts=parts, radiator=radiator)


def _radiator_and_fans(snapshot: Snapshot, option: CoolingOption, titles: Sequence[str]) -> str:
    is_larger = option.kind.startswith("larger")
    return words(
        snapshot,
        Text.OPTION_OTHER_RADIATOR_AND_FANS if is_larger else Text.OPTION_SECOND_RADIATOR_AND_FANS,
        part=titles[0],
        radiator=option.radiator or "",
        fans=" and ".join(titles[1:]) or words(snapshot, Text.OPTION_SAME_FANS),
        speeds=_speeds(option),
    )


def _speeds(option: CoolingOption) -> str:
    speeds = option.speeds_rpm or {}
    if len(set(speeds.values())) == 1:
        return f"{next(iter(speeds.values())):.0f} rpm"
    return ", ".join(f"{speed:.0f} rpm ({name})" for name, speed in speeds.items())


def comparison_sentence(snapshot: Snapshot, one: Comparison, asked_k: float) -> str:
    """Return what a comparison shows.

    Args:
        snapshot: the knowledge.
        one: the comparison; it has a case at least.
        asked_k: coolant-to-air temperature difference of the loop as asked.
    """
    if one.subject == "half-flow":
        return _half_flow(snapshot, one.cases[0])
    if one.subject == "order":
        return _order(snapshot, one.cases)
    if one.subject == "glycol":
        return _glycol(snapshot, one.cases)
    return _core(snapshot, one, asked_k)


def _warmer(snapshot: Snapshot, change_k: float) -> str:
    if abs(change_k) < _SAME_K:
        return words(snapshot, Text.COMPARISON_SAME)
    message = Text.COMPARISON_WARMER if change_k > 0 else Text.COMPARISON_COOLER
    return words(snapshot, message, change=f"{abs(change_k):.1f}")


def _part(snapshot: Snapshot, case: Compared) -> str:
    if case.part and case.part_change_k is not None:
        return f"{case.part} {_warmer(snapshot, case.part_change_k)}"
    return words(snapshot, Text.COMPARISON_NO_PART)


def _half_flow(snapshot: Snapshot, case: Compared) -> str:
    flow = f" ({case.flow_l_min:.1f} l/min)" if case.flow_l_min is not None else ""
    change, part = _warmer(snapshot, case.change_k), _part(snapshot, case)
    return words(snapshot, Text.COMPARISON_HALF_FLOW, flow=flow, change=change, part=part)


def _order(snapshot: Snapshot, cases: Sequence[Compared]) -> str:
    most = max(cases, key=lambda case: abs(case.part_change_k or 0.0))
    if abs(most.part_change_k or 0.0) < _SAME_K:
        return words(snapshot, Text.COMPARISON_ORDER_NONE)
    return words(snapshot, Text.COMPARISON_ORDER, order=most.case, part=_part(snapshot, most))


def _glycol(snapshot: Snapshot, cases: Sequence[Compared]) -> str:
    water = cases[0].delta_t_k
    phrases = (_glycol_case(snapshot, case, case.delta_t_k - water) for case in cases[1:])
    return words(snapshot, Text.COMPARISON_GLYCOL, water=f"{water:.1f}", cases="; ".join(phrases))


def _glycol_case(snapshot: Snapshot, case: Compared, cost_k: float) -> str:
    parts = ", ".join(f"{name} {change:.1f}" for name, change in case.causes.items())
    return words(snapshot, Text.COMPARISON_GLYCOL_CASE, case=case.case, cost=f"{cost_k:.1f}", parts=parts)


def _core(snapshot: Snapshot, one: Comparison, asked_k: float) -> str:
    places = {
        "radiator": one.radiator or "",
        "delta_t": f"{asked_k:.1f}",
        "cases": ", ".join(f"{case.case} {case.delta_t_k:.1f} K" for case in one.cases),
    }
    if one.crossover_rpm is None:
        return words(snapshot, Text.COMPARISON_CORE, **places)
    return words(snapshot, Text.COMPARISON_CORE_CROSSOVER, crossover=f"{one.crossover_rpm:.0f}", **places)


def failure_sentence(snapshot: Snapshot, one: HeatFailure) -> str:
    """Return what a failure does to the temperatures."""
    message = {PUMP_DEAD: Text.HEAT_FAILURE_PUMP, FAN_STOPPED: Text.HEAT_FAILURE_FAN}.get(
        one.what, Text.HEAT_FAILURE_FILTER
    )
    failure = words(snapshot, message, part=one.part)
    if one.delta_t_k is None or one.change_k is None:
        return words(snapshot, Text.HEAT_FAILURE_STOPS, failure=failure)
    return words(
        snapshot,
        Text.HEAT_FAILURE,
        failure=failure,
        delta_t=f"{one.delta_t_k:.1f}",
        change=_warmer(snapshot, one.change_k),
        hottest=f"{one.hottest_c:.0f}",
    )
