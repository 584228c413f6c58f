"""Options to reach a target difference between coolant and air: the inverse of the heat of a loop.

Owns: which options are looked at, finding how far each has to go, and putting them in order. Does not own: solving a
loop (`kb/loops/heat/state.py`), making another of it (`kb/loops/heat/variants.py`) or words.
Every option that is reported was solved as a whole loop. Flows are solved anew where the coolant meets another
resistance.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import NamedTuple

from kb.formulas.solvers.root_bracket import just_below
from kb.loops.heat.comparisons import Asked, thicker_rows
from kb.loops.heat.flows import HeatFlows
from kb.loops.heat.radiators import FanSetup, RadiatorSetup
from kb.loops.heat.state import DeltaT, HeatCase, solve_delta_t, with_flows
from kb.loops.heat.variants import (
    at_share,
    loudness_db,
    main_radiator,
    other_core,
    other_fans,
    with_fans,
    with_flow_times,
    with_heat_times,
    with_second,
    with_setups,
)
from kb.store.snapshot import Snapshot
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator

ENOUGH = 3  # single options that reach; with fewer, two are taken together
TWICE = 2.0
_CLOSE_SHORT = 0.01  # of the target difference: so far below it a speed may reach
_ROUND_RPM = 10.0
_LEAST_GAIN_K = 0.05
_USUAL_POWER = 0.85  # of the speed, with which heat per kelvin grows: where a search begins
_LEAST_DELTA_T_K = 1e-6  # coolant is never quite as cool as the air


class CoolingOption(NamedTuple):
    """One option, solved.

    Attributes:
        kind: `fan-speed`, `other-fans`, `push-pull`, `larger-radiator`, `thicker-radiator`, `denser-radiator`,
            `second-radiator`, `more-flow` or `less-heat`; two of them joined by ` + `.
        delta_t_k: coolant-to-air temperature difference then.
        gain_k: how much cooler that is.
        reaches: whether that is within the target difference.
        sound_db: level of all fans then.
        sound_change_db: against the loop as asked.
        radiator: the radiator that is changed, if it is one.
        parts: archetypes that have to be bought.
        speeds_rpm: radiator -> speed of its fans then, where that changes.
        heat_w: heat of all cooled parts then, where that changes.
    """

    kind: str
    delta_t_k: float
    gain_k: float
    reaches: bool
    sound_db: float | None
    sound_change_db: float | None
    radiator: str | None = None
    parts: tuple[str, ...] = ()
    speeds_rpm: Mapping[str, float] | None = None
    heat_w: float | None = None


def cooling_options(snapshot: Snapshot, flows: HeatFlows, asked: Asked, target_k: float) -> tuple[CoolingOption, ...]:
    """Return options to a target difference, those that reach it first, the quietest of them first.

    Args:
        snapshot: the knowledge.
        flows: what flows in the loop with another radiator.
        asked: the loop as asked, which is warmer than its target.
        target_k: target of the coolant-to-air temperature difference [K].
    """
    search = _Search(snapshot, flows, asked, target_k)
    found = list(search.single())
    alone = {option.kind for option in found if option.reaches}
    if sum(option.reaches for option in found) < ENOUGH:
        found += search.together(alone)
    return tuple(sorted(found, key=_rank))


def heat_at_target_w(asked: Asked, target_k: float) -> float:
    """Return how much heat the cooled parts may give off at a target difference [W]; 0 if pumps and air fill it.

    Args:
        asked: the loop as asked.
        target_k: target of the coolant-to-air temperature difference [K].

    Source: with flows and conductances given the balance of heat is linear.
    """
    names = [source.name for source in asked.sources if source.name in asked.case.heats_w]
    whole = sum(asked.case.heats_w[name] for name in names)
    none = solve_delta_t(with_heat_times(asked.case, names, 0.0))
    if none is None or whole <= 0 or asked.delta_t_k <= none.delta_t_k:
        return 0.0
    return whole * max(0.0, (target_k - none.delta_t_k) / (asked.delta_t_k - none.delta_t_k))


def _rank(option: CoolingOption) -> tuple[bool, bool, float, float]:
    """Options that reach come first; among them less heat, which buys nothing, last, and the quieter first."""
    louder = max(option.sound_change_db or 0.0, 0.0) if option.reaches else 0.0
    return not option.reaches, option.kind == "less-heat", round(louder, 1), option.delta_t_k


class _Search:
    """Looks for cooling options of one loop; used once."""

    def __init__(self, snapshot: Snapshot, flows: HeatFlows, asked: Asked, target_k: float) -> None:
        self._snapshot = snapshot
        self._flows = flows
        self._asked = asked
        self._case = asked.case
        self._target_k = target_k
        self._sound_db = loudness_db(asked.case)
        self._main = main_radiator(asked.case, asked.solved)
        self._other_cores: dict[str, HeatCase] = {}
        self._doubled: HeatCase | None = None

    def single(self) -> Iterator[CoolingOption]:
        """Yield options that change one thing."""
        for option in (self._faster(self._case, "fan-speed"), *self._fan_classes(), self._push_pull()):
            if option is not None:
                yield option
        if self._main is not None:
            yield from self._cores(self._main)
            if self._main.row is not None:
                about: dict[str, object] = {"radiator": self._main.name, "parts": (self._main.row.id,)}
                yield from self._seen("second-radiator", self._second(self._main), **about)
        yield from self._seen("more-flow", with_flow_times(self._case, TWICE))
        yield from self._less_heat()

    def together(self, alone: Collection[str]) -> Iterator[CoolingOption]:
        """Yield options that change the radiators and the fans as well: faster ones, or the quietest others that reach.

        Args:
            alone: options that reach without the help of fans.
        """
        if self._main is None or self._main.row is None:
            return
        for name, case, row in self._more_radiator(self._main, self._main.row):
            if name in alone:
                continue
            about = self._main.name, (row.id,)
            faster = self._faster(case, f"{name} + fan-speed", *about)
            if faster is not None and faster.reaches:
                yield faster
                continue
            others = [self._faster(*one) for one in self._refanned_all(case, f"{name} + other-fans", *about)]
            reaching = [option for option in others if option is not None and option.reaches]
            if reaching:
                yield min(reaching, key=lambda option: option.sound_db or 0.0)

    def _more_radiator(self, main: RadiatorSetup, row: Radiator) -> Iterator[tuple[str, HeatCase, Radiator]]:
        longer = self._longer(row)
        if longer:
            yield "larger-radiator", self._with_core(main, longer[-1]), longer[-1]
        yield "second-radiator", self._second(main), row

    def _delta_t(self, case: HeatCase) -> float:
        return self._solved(case).delta_t_k

    def _solved(self, case: HeatCase) -> DeltaT:
        return solve_delta_t(case) or DeltaT(math.inf, {})

    def _option(self, name: str, case: HeatCase, delta_t: float, **about: object) -> CoolingOption:
        sound = loudness_db(case)
        change = sound - self._sound_db if sound is not None and self._sound_db is not None else None
        gain = self._asked.delta_t_k - delta_t
        option = CoolingOption(name, delta_t, gain, delta_t <= self._target_k, sound, change)
        return option._replace(**about)  # type: ignore[arg-type]

    def _seen(self, name: str, case: HeatCase, **about: object) -> Iterator[CoolingOption]:
        """Yield a option that helps at all."""
        delta_t = self._delta_t(case)
        if self._asked.delta_t_k - delta_t >= _LEAST_GAIN_K:
            yield self._option(name, case, delta_t, **about)

    def _faster(
        self, case: HeatCase, name: str, radiator: str | None = None, parts: tuple[str, ...] = ()
    ) -> CoolingOption | None:
        """Return a loop with its fans just fast enough, or at their fastest if even that is not enough."""
        running = [one.fans for one in case.setups.values() if one.fans is not None and one.blows]
        slowest = min((fans.speed_rpm / fans.speed_max_rpm for fans in running), default=1.0)
        if slowest >= 1:
            return None
        fastest = self._at_least(case, 1.0)
        at_most = self._solved(fastest)
        if at_most.delta_t_k > self._target_k:
            faster, delta_t = _rounded(fastest), at_most.delta_t_k
        else:
            faster = _rounded(self._just_fast_enough(case, slowest, at_most))
            delta_t = self._delta_t(faster)
        speeds = _changed_speeds(self._case, faster)
        if self._asked.delta_t_k - delta_t < _LEAST_GAIN_K:
            return None
        return self._option(name, faster, delta_t, radiator=radiator, parts=parts, speeds_rpm=speeds)

    def _just_fast_enough(self, case: HeatCase, least: float, at_most: DeltaT) -> HeatCase:
        """Return the loop with its fans at about the least share of their greatest speed that reaches.

        Args:
            case: the loop.
            least: share at which the slowest fan runs now.
            at_most: how warm it gets at the greatest speed, which reaches.
        """
        air_c = at_most.air_in_c

        def short(delta_t: float) -> float:
            """In logarithms nearly a straight line in the speed: heat per kelvin grows as a power of it."""
            return math.log(max(delta_t, _LEAST_DELTA_T_K) / self._target_k)

        def turning(log_share: float) -> HeatCase:
            """Begin with the air of the step before, which hardly differs."""
            return self._at_least(case, math.exp(log_share))._replace(air_guess_c=air_c)

        def short_at(log_share: float) -> float:
            nonlocal air_c
            found = self._solved(turning(log_share))
            air_c = found.air_in_c
            return short(found.delta_t_k)

        fastest = 0.0, short(at_most.delta_t_k)
        return turning(just_below(short_at, math.log(least), fastest, _USUAL_POWER, _CLOSE_SHORT))

    def _at_least(self, case: HeatCase, share: float) -> HeatCase:
        """Turn fans that run and are slower up to a share of their greatest speed."""

        def change(fans: FanSetup) -> FanSetup:
            own = fans.speed_rpm / fans.speed_max_rpm
            return at_share(fans, max(own, share)) if fans.running else fans

        return with_fans(case, change)

    def _fan_classes(self) -> Iterator[CoolingOption | None]:
        """Yield the loop with fans of every other class, at the speed that is needed."""
        return (self._faster(*one) for one in self._refanned_all(self._case, "other-fans", None, ()))

    def _refanned_all(
        self, case: HeatCase, name: str, radiator: str | None, parts: tuple[str, ...]
    ) -> Iterator[tuple[HeatCase, str, str | None, tuple[str, ...]]]:
        """Yield a loop with fans of every other class at their least speed, as far as the class has all sizes."""
        setups = [one for one in case.setups.values() if one.fans is not None and one.blows]
        present = {one.fans.row.family_id for one in setups if one.fans is not None}
        sizes = {one.fans.row.fan_size_mm for one in setups if one.fans is not None}
        for family, by_size in _fans_by_class(self._snapshot).items():
            if {family} != present and sizes <= set(by_size):
                slow = with_setups(case, [self._refanned(one, by_size) for one in setups])
                yield slow, name, radiator, (*parts, *sorted(by_size[size].id for size in sizes))

    def _refanned(self, setup: RadiatorSetup, by_size: Mapping[float, Fan]) -> RadiatorSetup:
        assert setup.fans is not None
        row = by_size[setup.fans.row.fan_size_mm]
        least = row.speed_min_rpm / row.speed_max_rpm
        return setup._replace(fans=other_fans(self._snapshot, setup.fans, row, least))

    def _push_pull(self) -> CoolingOption | None:
        case = with_fans(self._case, lambda fans: fans._replace(arrangement="push-pull"))
        parts = sorted({one.fans.row.id for one in self._case.setups.values() if one.fans is not None})
        return next(self._seen("push-pull", case, parts=tuple(parts)), None)

    def _cores(self, main: RadiatorSetup) -> Iterator[CoolingOption]:
        """Yield the smallest core of each kind that reaches, or the best of it if none does."""
        assert main.row is not None
        kinds = {
            "larger-radiator": self._longer(main.row),
            "thicker-radiator": thicker_rows(self._snapshot, main.row),
            "denser-radiator": self._denser(main.row),
        }
        for name, rows in kinds.items():
            row = self._least_that_reaches(main, rows)
            if row is not None:
                yield from self._seen(name, self._with_core(main, row), radiator=main.name, parts=(row.id,))

    def _least_that_reaches(self, main: RadiatorSetup, rows: Sequence[Radiator]) -> Radiator | None:
        """Return the first core that reaches at the present flow, else the one that comes nearest."""
        if len(rows) <= 1:
            return next(iter(rows), None)
        tried: list[tuple[float, Radiator]] = []
        for row in rows:
            delta_t = self._delta_t(with_setups(self._case, [other_core(self._case.radiators, main, row)]))
            if delta_t <= self._target_k:
                return row
            tried.append((delta_t, row))
        return min(tried, key=lambda one: one[0])[1]

    def _longer(self, row: Radiator) -> tuple[Radiator, ...]:
        alike = [
            one
            for one in self._snapshot.active(Radiator)
            if one.fan_size_mm == row.fan_size_mm
            and one.fans > row.fans
            and one.thickness_mm == row.thickness_mm
            and one.fin_density == row.fin_density
        ]
        return tuple(sorted(alike, key=lambda one: one.fans))

    def _denser(self, row: Radiator) -> tuple[Radiator, ...]:
        alike = [
            one
            for one in self._snapshot.active(Radiator)
            if (one.fan_size_mm, one.fans, one.thickness_mm) == (row.fan_size_mm, row.fans, row.thickness_mm)
            and one.fins_per_inch > row.fins_per_inch
        ]
        return tuple(sorted(alike, key=lambda one: one.fins_per_inch))

    def _with_core(self, main: RadiatorSetup, row: Radiator) -> HeatCase:
        case = self._other_cores.get(row.id)
        if case is None:
            flows = self._flows.with_radiator(self._case.coolant, main.name, row)
            case = with_flows(with_setups(self._case, [other_core(self._case.radiators, main, row)]), flows)
            self._other_cores[row.id] = case
        return case

    def _second(self, main: RadiatorSetup) -> HeatCase:
        if self._doubled is None:
            flows = self._flows.with_twice(self._case.coolant, main.name)
            self._doubled = with_second(self._case, main.name, flows)
        return self._doubled

    def _less_heat(self) -> Iterator[CoolingOption]:
        heat = heat_at_target_w(self._asked, self._target_k)
        names = [source.name for source in self._asked.sources]
        whole = sum(self._case.heats_w[name] for name in names)
        if heat > 0:
            case = with_heat_times(self._case, names, heat / whole * (1 - 1e-9))
            yield from self._seen("less-heat", case, heat_w=heat)


def _rounded(case: HeatCase) -> HeatCase:
    """Round speeds up to whole tens, but not beyond the greatest."""

    def change(fans: FanSetup) -> FanSetup:
        rounded = math.ceil(fans.speed_rpm / _ROUND_RPM - 1e-9) * _ROUND_RPM
        return fans._replace(speed_rpm=max(fans.speed_rpm, min(rounded, fans.speed_max_rpm)))

    return with_fans(case, change)


def _changed_speeds(before: HeatCase, after: HeatCase) -> dict[str, float]:
    return {
        name: setup.fans.speed_rpm
        for name, setup in after.setups.items()
        if setup.fans is not None and setup.blows and _other_speed(before.setups.get(name), setup.fans)
    }


def _other_speed(before: RadiatorSetup | None, fans: FanSetup) -> bool:
    if before is None or before.fans is None:
        return True
    return (before.fans.speed_rpm, before.fans.row) != (fans.speed_rpm, fans.row)


def _fans_by_class(snapshot: Snapshot) -> Mapping[str, Mapping[float, Fan]]:
    def make() -> dict[str, dict[float, Fan]]:
        classes: dict[str, dict[float, Fan]] = {}
        for fan in snapshot.active(Fan):
            classes.setdefault(fan.family_id, {}).setdefault(fan.fan_size_mm, fan)
        return classes

    return snapshot.derive(("fans-by-class",), make)
