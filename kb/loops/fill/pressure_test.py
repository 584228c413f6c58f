"""What a pressure test with air may press into a loop, so that its weakest part is spared.

Owns: finding the least rating of all parts. Does not own: the ratings (rows of limits.csv) or the formulas
(`kb/formulas/coolant/leak_test.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from kb.formulas.coolant.leak_test import pressure_per_kelvin_bar, pressure_test_bar
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.loop import ResolvedLoop
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.tables.limits import Limit

PRESSURE = "quantity/coolant-pressure"


class PressureTest(NamedTuple):
    """A pressure test with air.

    Attributes:
        pressure_bar: over the surroundings [bar].
        per_kelvin_bar: how much the needle moves for each kelvin [bar/K].
        weakest: part whose rating is least.
        limit: that rating.
        share: share of it that is pressed in.
    """

    pressure_bar: float
    per_kelvin_bar: float
    weakest: str
    limit: Limit
    share: Given


def pressure_test(snapshot: Snapshot, loop: ResolvedLoop, room_c: float) -> PressureTest | None:
    """Return the pressure of a pressure test with air; `None` if no part has a rating.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        room_c: temperature of the room [degC].
    """
    rated = [(limit, place) for place, families in _rated(loop) for limit in _rating(snapshot, families)]
    if not rated:
        return None
    limit, weakest = min(rated, key=lambda one: (one[0].value, one[0].id))
    share = given_or_assumed(snapshot, loop, "quantity/leak-test-share")
    pressure = pressure_test_bar(limit.value, share.value)
    return PressureTest(pressure, pressure_per_kelvin_bar(pressure, room_c), weakest, limit, share)


def _rating(snapshot: Snapshot, families: tuple[str, ...]) -> tuple[Limit, ...]:
    return snapshot.limit_set(PRESSURE, families).at_most[:1]


def _rated(loop: ResolvedLoop) -> Iterator[tuple[str, tuple[str, ...]]]:
    for name, part in loop.parts.items():
        yield name, part.families
        yield from _ends(name, part.body) if part.body is not None else ()
    for run in loop.runs:
        for body in (run.tube, *run.first, *run.last):
            yield from _ends(run.name, body) if body is not None else ()


def _ends(place: str, body: Part) -> Iterator[tuple[str, tuple[str, ...]]]:
    yield from ((place, element.families) for element in body.elements)
