"""Tubes in fittings: which dimension decides, at which end of which tolerance, and what is said when one is missing."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import decide_pair
from kb.evidence.tree import Missing, Number
from kb.knowledge_base import KnowledgeBase
from kb.parts.resolver import Resolver
from schemas.questions.questions import PartRef
from schemas.verdict import Verdict

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)
O_RING, COMPRESSION, BARB = "fitting/rigid-12-g-1-4", "fitting/compression-10x16-g-1-4", "fitting/barb-10-g-1-4"


def joint_of(base: KnowledgeBase, a: Any, b: Any) -> Joint:
    resolver = Resolver(base.snapshot)
    parts = (resolver.part(REFERENCE.validate_python(one), name) for one, name in ((a, "a"), (b, "b")))
    return decide_pair(base.snapshot, *parts, {}).joint


def values(joint: Joint) -> dict[str, float]:
    heads = ((one.code, one.evidence[0]) for one in joint.findings)
    return {code: head.value for code, head in heads if isinstance(head, Number)}


def missing(joint: Joint) -> set[str]:
    return {node.column for one in joint.findings for node in one.evidence if isinstance(node, Missing)}


def copper(**sizes: float) -> dict[str, Any]:
    return {"kind": "tube", "family": "family/tube-copper", **sizes}


def soft(**sizes: float) -> dict[str, Any]:
    return {"kind": "tube", "family": "family/tube-soft", **sizes}


class TestORings:
    def test_worst_case_is_taken_from_opposite_ends_of_the_tolerances(self, base: KnowledgeBase) -> None:
        """Socket 12.2 +0.1, groove 15.2 +-0.05; O-ring section 2.00 +-0.08, tube 12.00 +-0.10."""
        found = values(joint_of(base, copper(od_mm=12, od_tolerance_mm=0.1), O_RING))
        assert found["socket-clearance"] == pytest.approx(0.2)
        assert found["socket-clearance-min"] == pytest.approx(12.2 - 12.1)
        assert found["socket-clearance-max"] == pytest.approx(12.3 - 11.9)
        assert found["o-ring-compression-min"] == pytest.approx((1.92 - (15.25 - 11.9) / 2) / 1.92 * 100)
        assert found["o-ring-compression-max"] == pytest.approx((2.08 - (15.15 - 12.1) / 2) / 2.08 * 100)

    def test_tube_that_may_not_enter_is_conditional_and_one_that_cannot_is_incompatible(
        self, base: KnowledgeBase
    ) -> None:
        assert joint_of(base, copper(od_mm=12.15, od_tolerance_mm=0.1), O_RING).verdict is Verdict.CONDITIONAL
        assert joint_of(base, copper(od_mm=12.25, od_tolerance_mm=0.1), O_RING).verdict is Verdict.INCOMPATIBLE

    def test_inside_of_a_rigid_tube_is_not_asked_for(self, base: KnowledgeBase) -> None:
        assert joint_of(base, copper(od_mm=12, od_tolerance_mm=0.05), O_RING).verdict is Verdict.COMPATIBLE

    def test_missing_outside_diameter_is_named(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, copper(id_mm=10), O_RING)
        assert (joint.verdict, missing(joint)) == (Verdict.UNKNOWN, {"od_mm"})

    def test_fitting_without_its_ring_is_unknown_although_the_tube_enters(self, base: KnowledgeBase) -> None:
        end = {"kind": "rigid-compression", "socket_bore_mm": 12.2, "groove_diameter_mm": 15.2}
        joint = joint_of(base, copper(od_mm=12, od_tolerance_mm=0.05), {"kind": "fitting", "ends": {"a": end}})
        assert (joint.verdict, missing(joint)) == (Verdict.UNKNOWN, {"seal_id"})
        assert values(joint)["socket-clearance-min"] > 0

    def test_tube_without_tolerance_is_conditional_at_best(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, copper(od_mm=12), O_RING)
        assert joint.verdict is Verdict.CONDITIONAL
        assert "tolerance-missing" in {one.code for one in joint.findings}

    def test_worst_squeeze_of_none_at_all_is_incompatible(self, base: KnowledgeBase) -> None:
        """A joint that may not seal is not one to try: 11.3 mm at worst leaves the O-ring untouched."""
        joint = joint_of(base, copper(od_mm=11.35, od_tolerance_mm=0.1), O_RING)
        assert values(joint)["o-ring-compression-min"] < 0
        assert joint.verdict is Verdict.INCOMPATIBLE


class TestSoftTubes:
    def test_likely_spread_is_narrower_than_the_worst_case(self, base: KnowledgeBase) -> None:
        found = values(joint_of(base, soft(id_mm=10, od_mm=16, id_tolerance_mm=0.3, od_tolerance_mm=0.3), COMPRESSION))
        worst = (10.5 - 9.7) / 9.7 * 100
        assert found["barb-interference-min"] < found["barb-interference"] < found["barb-interference-max"] < worst

    def test_both_diameters_decide_in_a_compression_fitting(self, base: KnowledgeBase) -> None:
        assert joint_of(base, soft(id_mm=10, od_mm=16), COMPRESSION).verdict is Verdict.COMPATIBLE
        assert joint_of(base, soft(id_mm=10, od_mm=13), COMPRESSION).verdict is Verdict.INCOMPATIBLE
        assert joint_of(base, soft(id_mm=13, od_mm=16), COMPRESSION).verdict is Verdict.INCOMPATIBLE

    def test_outside_is_not_needed_on_a_barb_but_used_where_it_is_known(self, base: KnowledgeBase) -> None:
        bare, known = joint_of(base, soft(id_mm=10), BARB), joint_of(base, soft(id_mm=10, od_mm=13), BARB)
        assert bare.verdict is known.verdict is Verdict.CONDITIONAL
        assert "wall-thinning" in values(known).keys() - values(bare).keys()

    def test_each_missing_dimension_is_named_once(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, soft(), COMPRESSION)
        gaps = [node.column for one in joint.findings for node in one.evidence if isinstance(node, Missing)]
        assert sorted(gaps) == ["id_mm", "od_mm"]

    def test_warm_loop_warns_on_barbs_as_well_as_in_collars(self, base: KnowledgeBase) -> None:
        """Hose weakens with heat wherever it is fixed; what holds it on a barb is another matter."""
        warm = {"coolant-temperature": 45.0}
        for fitting in (BARB, COMPRESSION):
            decision = base.decide("tube/soft-10x16", fitting, warm)
            assert decision.verdict is Verdict.CONDITIONAL, fitting


class TestCouplings:
    def ends(self, kind: str, **pattern: str) -> dict[str, Any]:
        return {"kind": "fitting", "ends": {"a": {"kind": kind, **pattern}}}

    @pytest.mark.parametrize(
        ("pattern", "verdict"), [("dry-break-6", Verdict.COMPATIBLE), ("dry-break-10", Verdict.INCOMPATIBLE)]
    )
    def test_pattern_decides(self, base: KnowledgeBase, pattern: str, verdict: Verdict) -> None:
        plug = self.ends("coupling-plug", coupling_pattern="dry-break-6")
        assert joint_of(base, plug, self.ends("coupling-socket", coupling_pattern=pattern)).verdict is verdict

    def test_unstated_pattern_is_unknown(self, base: KnowledgeBase) -> None:
        joint = joint_of(base, self.ends("coupling-plug"), self.ends("coupling-socket", coupling_pattern="dry-break-6"))
        assert (joint.verdict, missing(joint)) == (Verdict.UNKNOWN, {"coupling_pattern"})
