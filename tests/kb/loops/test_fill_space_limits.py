"""Every limit of filling and space is broken by some question, and holds in a sound loop."""

from __future__ import annotations

from typing import Any

import pytest
from fill_space_asking import fill, question, space

from kb.evidence.tree import Finding, LimitCheck
from kb.store.snapshot import Snapshot
from schemas.tables.limits import Limit

TWO = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}


def rad(**fields: Any) -> dict[str, Any]:
    return question(rad=fields)


def no_spare_ports() -> dict[str, Any]:
    asked = question(tank={"ports": TWO})
    del asked["plugs"]
    return asked


BREAKING = {
    "limit/expansion-space-none": question(tank={"air_ml": 1}),
    "limit/fill-ports-none": no_spare_ports(),
    "limit/drain-points-none": no_spare_ports(),
    "limit/stack-clearance-none": rad(place={"depth_mm": 50}),
    "limit/stack-clearance-small": rad(place={"depth_mm": 56}),
    "limit/fan-holes-apart": rad(fans={"is": "fan/balanced-120", "hole_spacing_mm": 110}),
    "limit/fan-size-apart": rad(fans={"is": "fan/balanced-140", "hole_spacing_mm": 105}),
    "limit/screw-threads-apart": rad(screws={"length_mm": 29, "thread": "m4", "behind_plate_mm": 6}),
    "limit/screw-engagement-none": rad(screws={"length_mm": 25, "behind_plate_mm": 6}),
    "limit/screw-engagement-small": rad(screws={"length_mm": 27.5, "behind_plate_mm": 6}),
    "limit/screw-gap-none": rad(screws={"length_mm": 35, "behind_plate_mm": 6}),
    "limit/screw-gap-small": rad(screws={"length_mm": 30, "behind_plate_mm": 6}),
    "limit/port-clearance-none": rad(place={"port_clearance_mm": 30}),
    "limit/added-weight-free": question(gpu={"added_weight_g": 900}),
    "limit/added-weight-held": question(gpu={"added_weight_g": 3000, "supported": True}),
}


def findings(snapshot: Snapshot, asked: dict[str, Any]) -> list[Finding]:
    return [*fill(snapshot, asked).findings, *space(snapshot, asked).findings]


def checks(snapshot: Snapshot, asked: dict[str, Any]) -> list[LimitCheck]:
    return [node for one in findings(snapshot, asked) for node in one.evidence if isinstance(node, LimitCheck)]


@pytest.mark.parametrize("limit", BREAKING)
def test_a_limit_is_broken_where_it_should_be(snapshot: Snapshot, limit: str) -> None:
    broken = {check.limit.id for check in checks(snapshot, BREAKING[limit]) if not check.holds}
    assert limit in broken


def test_nothing_is_broken_in_a_sound_loop(snapshot: Snapshot) -> None:
    held = checks(snapshot, question())
    assert held
    assert all(check.holds for check in held)


def test_no_limit_of_filling_and_space_is_left_out_here(snapshot: Snapshot) -> None:
    judged = {snapshot.get(Limit, one).quantity_id for one in BREAKING}
    assert {row.id for row in snapshot.active(Limit) if row.quantity_id in judged} == set(BREAKING)


def test_every_broken_limit_says_how_to_fix_it(snapshot: Snapshot) -> None:
    assert all(snapshot.get(Limit, one).remedy for one in BREAKING)
