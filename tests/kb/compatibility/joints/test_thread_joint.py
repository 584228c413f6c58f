"""Screwed joints: sides, classes, tapers, and what surrounds the thread."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.compatibility.joints.joint import Joint
from kb.compatibility.joints.thread_profile import ThreadProfile, thread_profile
from kb.compatibility.pair import decide_pair
from kb.evidence.tree import Finding, Number
from kb.knowledge_base import KnowledgeBase
from kb.parts.resolver import Resolver
from schemas.questions.questions import PartRef
from schemas.tables.thread_tolerances import ThreadSide
from schemas.tables.threads import ThreadGender
from schemas.verdict import Verdict

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)
STUD: dict[str, Any] = {"kind": "male-thread", "thread": "thread/g-1-4"}
PORT = "port/g-1-4-din-3852-2"


def joint_of(base: KnowledgeBase, a: Any, b: Any) -> Joint:
    resolver = Resolver(base.snapshot)
    parts = (resolver.part(REFERENCE.validate_python(one), name) for one, name in ((a, "a"), (b, "b")))
    return decide_pair(base.snapshot, *parts, {}).joint


def finding(joint: Joint, code: str) -> Finding:
    return next(one for one in joint.findings if one.code == code)


def value(joint: Joint, code: str) -> float:
    number = finding(joint, code).evidence[0]
    assert isinstance(number, Number)
    return number.value


def profile(base: KnowledgeBase, thread: str, side: ThreadSide) -> ThreadProfile:
    element = Resolver(base.snapshot).archetype(f"thread/{thread}", "thread").elements[0]
    found = thread_profile(base.snapshot, element, side)
    assert isinstance(found, ThreadProfile)
    return found


def stud(**lengths: float) -> dict[str, Any]:
    return {"kind": "fitting", "ends": {"a": {**STUD, **lengths}}}


class TestProfiles:
    def test_widest_external_class_counts_where_none_is_named(self, base: KnowledgeBase) -> None:
        """ISO 228-1 class B: 0.250 mm on the pitch diameter of G 1/4, twice class A."""
        found = profile(base, "g-1-4", ThreadSide.EXTERNAL)
        assert found.pitch_diameter_high - found.pitch_diameter_low == pytest.approx(0.250)

    def test_taper_thread_is_smaller_at_its_tip_by_a_sixteenth_of_the_gauge_length(self, base: KnowledgeBase) -> None:
        assert profile(base, "r-1-4", ThreadSide.EXTERNAL).pitch_diameter == pytest.approx(12.301 - 6.0 / 16)

    def test_taper_thread_is_at_its_gauge_plane_at_the_mouth(self, base: KnowledgeBase) -> None:
        assert profile(base, "rc-1-4", ThreadSide.INTERNAL).pitch_diameter == pytest.approx(12.301)

    def test_npt_tip_is_the_printed_small_end(self, base: KnowledgeBase) -> None:
        """ASME B1.20.1 Table 2: E0 = 0.47739 in, E1 = 0.49163 in."""
        assert profile(base, "npt-1-4", ThreadSide.EXTERNAL).pitch_diameter / 25.4 == pytest.approx(0.47739, abs=5e-6)
        mouth = profile(base, "npt-1-4", ThreadSide.INTERNAL).pitch_diameter
        assert mouth / 25.4 == pytest.approx(0.49163, abs=1e-5)


class TestSides:
    def test_worse_direction_counts_where_both_are_possible(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, "thread/g-1-4", "thread/g-3-8")
        assert joint.reverse is not None
        assert joint.verdict.severity >= joint.reverse.verdict.severity

    def test_named_side_leaves_one_direction(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, {"is": "thread/g-1-4", "gender": "external"}, "thread/g-3-8")
        assert joint.reverse is None
        assert joint.first.gender is ThreadGender.EXTERNAL

    def test_external_thread_goes_into_the_internal_one_whatever_the_order(self, base: KnowledgeBase) -> None:
        places = {joint_of(base, a, b).place for a, b in ((PORT, "fitting/plug-g-1-4"), ("fitting/plug-g-1-4", PORT))}
        assert places == {f"fitting/plug-g-1-4 end a (male) in {PORT} (female)"}

    def test_two_described_threads_are_judged_both_ways(self, base: KnowledgeBase) -> None:
        """The larger one does not enter the smaller; asked in either order the answer must say so."""
        large = {"kind": "thread", "form_angle_deg": 55, "threads_per_inch": 19, "major_mm": 13.157}
        small = {**large, "major_mm": 12.5}
        assert joint_of(base, large, small).verdict is joint_of(base, small, large).verdict is Verdict.INCOMPATIBLE

    def test_archetype_and_its_altered_copy_are_judged_both_ways(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, "thread/g-1-4", {"is": "thread/g-1-4", "major_mm": 14.5})
        assert joint.reverse is not None
        assert joint.verdict is Verdict.INCOMPATIBLE


class TestSurroundings:
    def test_thread_longer_than_the_port_bottoms(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, stud(thread_length_mm=13.0), PORT)
        assert value(joint, "thread-bottoming-clearance") == pytest.approx(-1.0)
        assert joint.verdict is Verdict.INCOMPATIBLE

    def test_engagement_counts_turns_of_the_thread_by_hand(self, base: KnowledgeBase) -> None:
        """5 mm of thread at 25.4 / 19 mm a turn are 3.74 turns."""
        joint = joint_of(base, stud(thread_length_mm=5.0), PORT)
        assert value(joint, "thread-engagement-turns") == pytest.approx(5.0 * 19 / 25.4)

    def test_collar_must_fit_the_recessed_flat(self, base: KnowledgeBase) -> None:
        assert joint_of(base, stud(collar_diameter_mm=19.0), PORT).verdict is not Verdict.INCOMPATIBLE
        assert joint_of(base, stud(collar_diameter_mm=19.1), PORT).verdict is Verdict.INCOMPATIBLE

    def test_known_bore_is_judged_by_the_wall_it_leaves(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, stud(bore_mm=10.0), PORT)
        assert value(joint, "thread-wall") == pytest.approx((11.445 - 10.0) / 2)
        assert finding(joint, "thread-wall").verdict is Verdict.CONDITIONAL

    def test_lengths_nobody_gave_are_not_judged(self, base: KnowledgeBase) -> None:
        codes = {one.code for one in joint_of(base, stud(), PORT).findings}
        assert not codes & {"thread-engagement-turns", "thread-bottoming-clearance", "seat-clearance"}

    def test_thread_without_tolerance_is_judged_at_nominal_size_and_says_so(self, base: KnowledgeBase) -> None:
        bare = {"kind": "thread", "form_angle_deg": 55, "threads_per_inch": 19, "major_mm": 13.1}
        joint = joint_of(base, bare, PORT)
        assert finding(joint, "tolerance-missing").verdict is Verdict.CONDITIONAL
        assert joint.verdict is Verdict.CONDITIONAL
