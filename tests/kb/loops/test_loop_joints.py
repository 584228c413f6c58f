"""Joints of a loop: judged once for like elements, and reported as if each had been judged by itself."""

from __future__ import annotations

import dataclasses
from itertools import product

import pytest

from kb.compatibility.joints.joint import judge_joint
from kb.loops.joint_cache import LoopJoints, named
from kb.parts.part import Element
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.questions.questions import InlineTube

PARTS = (
    "port/g-1-4-loop",
    "thread/g-1-4",
    "thread/npt-1-4",
    "tube/soft-10x16",
    "tube/acrylic-13x10",
    "tube/soft-3-8x5-8",
    "fitting/compression-10x16-g-1-4",
    "fitting/rigid-13-g-1-4",
    "fitting/plug-g-1-4",
    "fitting/tee-g-1-4-female",
)


@pytest.fixture(scope="module")
def elements(snapshot: Snapshot) -> list[Element]:
    resolver = Resolver(snapshot)
    return [element for part in PARTS for element in resolver.archetype(part, "part").elements]


def called(element: Element, label: str) -> Element:
    return dataclasses.replace(element, label=label)


def test_a_joint_known_under_other_names_is_reported_as_one_judged_anew(
    snapshot: Snapshot, elements: list[Element]
) -> None:
    joints = LoopJoints(snapshot, {})
    for one, other in product(elements, elements):
        joints.like(called(one, "first one"), called(other, "first other"))
        pair = called(one, "second one"), called(other, "second other")
        assert named(joints.like(*pair), *pair) == judge_joint(snapshot, *pair, {})


def test_what_the_asker_gave_of_a_part_is_reported_under_the_name_of_that_part(snapshot: Snapshot) -> None:
    resolver = Resolver(snapshot)
    joints = LoopJoints(snapshot, {})
    end = resolver.archetype("fitting/compression-10x16-g-1-4", "fitting").elements[1]
    for place, inside_mm in (("a", 9.8), ("b", 9.8), ("c", 10.1)):
        asked = InlineTube.model_validate({"kind": "tube", "is": "tube/soft-10x16", "id_mm": inside_mm})
        tube = resolver.part(asked, place).elements[0]
        assert named(joints.like(end, tube), end, tube) == judge_joint(snapshot, end, tube, {})
