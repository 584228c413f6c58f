"""What a builder is promised about two parts: the verdict, the reason, the numbers, and whose word it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from pydantic import ValidationError

from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.answers.answers import Finding, PairAnswer
from schemas.verdict import Verdict

Ask = Callable[..., PairAnswer]
COMPRESSION = "fitting/compression-{}-g-1-4"


@pytest.fixture(scope="module")
def ask(base: KnowledgeBase) -> Ask:
    def answer(a: Any, b: Any, **conditions: float) -> PairAnswer:
        stated = {name.replace("_", "-"): value for name, value in conditions.items()}
        return base.pair(a, b, conditions=stated)

    return answer


def finding(answer: PairAnswer, code: str) -> Finding:
    found = [one for one in answer.findings if one.code == code]
    assert found, f"no finding {code} among {[one.code for one in answer.findings]}"
    return found[0]


def number(answer: PairAnswer, code: str) -> float:
    """Return the value of a quantity wherever it stands in the answer."""
    values = [
        one.value for reported in answer.findings for one in reported.quantities if one.name == f"quantity/{code}"
    ]
    assert values, f"the answer gives no {code}"
    return values[0]


def sources(answer: PairAnswer, verdict: Verdict) -> set[str]:
    return {source for one in answer.findings if one.verdict is verdict for source in one.sources}


class TestPipeThreads:
    def test_g_1_4_in_g_1_4_suits(self, ask: Ask) -> None:
        assert ask("thread/g-1-4", "thread/g-1-4").verdict is Verdict.COMPATIBLE

    def test_g_in_g_is_tight_by_a_ring_on_the_face_and_not_by_the_thread(self, ask: Ask) -> None:
        reported = finding(ask("thread/g-1-4", "thread/g-1-4"), "rule-sealing")
        assert reported.sources == ("source/iso-228-1",)
        assert "ring pressed on the face" in reported.sentence

    def test_g_1_4_names_its_pitch_and_major_diameter(self, ask: Ask) -> None:
        answer = ask("thread/g-1-4", "thread/g-1-4")
        assert number(answer, "thread-pitch") == pytest.approx(1.337, abs=0.0005)
        facts = {(fact.row, fact.column): fact.value for fact in finding(answer, "thread-crest-overlap").facts}
        assert facts["thread/g-1-4", "major_mm"] == 13.157

    def test_bore_of_g_1_4_is_compared_with_its_name_by_computation(self, ask: Ask) -> None:
        """Minor diameter 11.445 less two walls of 1 mm leaves 9.445 mm, 1.49 times the quarter inch in the name."""
        answer = ask("thread/g-1-4", "thread/g-1-4")
        assert number(answer, "thread-bore-max") == pytest.approx(11.445 - 2.0)
        assert number(answer, "thread-bore-over-name") == pytest.approx(9.445 / 6.35)

    def test_g_1_4_and_npt_1_4_do_not_suit_by_angle_and_by_pitch(self, ask: Ask) -> None:
        answer = ask("thread/g-1-4", "thread/npt-1-4")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert number(answer, "thread-form-angle-difference") == 5
        angles = {
            fact.value for one in finding(answer, "thread-form-angle-difference").quantities for fact in one.inputs
        }
        assert angles == {55, 60}
        pitches = {fact.value for one in finding(answer, "thread-pitch-difference").quantities for fact in one.inputs}
        assert pitches == {18, 19}

    def test_g_1_4_binds_in_npt_1_4_within_a_few_turns(self, ask: Ask) -> None:
        reported = finding(ask("thread/g-1-4", "thread/npt-1-4"), "thread-turns-until-binding")
        assert reported.verdict is Verdict.INCOMPATIBLE
        assert 0 < reported.quantities[0].value < 3

    def test_g_1_2_and_npt_1_2_do_not_suit_although_they_start_to_screw_together(self, ask: Ask) -> None:
        """Both have 14 threads per inch, and their pitch diameters lie 0.02 mm apart: the angle decides."""
        answer = ask("thread/g-1-2", "thread/npt-1-2")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert number(answer, "thread-pitch-difference") == 0
        apart = number(answer, "thread-pitch-diameter-tip") - number(answer, "thread-pitch-diameter-mouth")
        assert apart == pytest.approx(0.021, abs=0.0005)
        assert finding(answer, "thread-form-angle-difference").verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize(("a", "b"), [("thread/g-1-4", "thread/rp-1-4"), ("thread/r-1-4", "thread/g-1-4")])
    def test_parallel_and_taper_worlds_do_not_mix(self, ask: Ask, a: str, b: str) -> None:
        answer = ask(a, b)
        assert answer.verdict is Verdict.INCOMPATIBLE
        reported = finding(answer, "rule-joint")
        assert (reported.verdict, reported.sources) == (Verdict.INCOMPATIBLE, ("source/iso-7-1",))

    @pytest.mark.parametrize("internal", ["thread/rp-1-4", "thread/rc-1-4"])
    def test_taper_thread_is_tight_in_rp_and_rc_only_with_a_jointing_medium(self, ask: Ask, internal: str) -> None:
        answer = ask("thread/r-1-4", internal)
        assert answer.verdict is Verdict.CONDITIONAL
        reported = finding(answer, "rule-joint")
        assert "jointing medium" in reported.sentence
        assert "caution/jointing-medium" in reported.cautions

    def test_wrong_size_names_an_adapter(self, ask: Ask) -> None:
        answer = ask("thread/g-1-4", "thread/g-3-8")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert "fitting/adapter-g-3-8-male-g-1-4-female" in answer.findings[0].remedy_parts

    def test_named_remedies_fix_the_fault(self, base: KnowledgeBase, ask: Ask) -> None:
        for remedy in ask("thread/g-1-4", "thread/g-3-8").findings[0].remedy_parts:
            for thread in ("thread/g-1-4", "thread/g-3-8"):
                assert base.decide(thread, remedy).verdict in (Verdict.COMPATIBLE, Verdict.CONDITIONAL)

    def test_two_external_threads_do_not_join(self, ask: Ask) -> None:
        answer = ask("fitting/plug-g-1-4", "fitting/plug-g-1-4")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert finding(answer, "rule-joint").rules[0].id == "rule/external-on-external"

    def test_thread_that_seals_nowhere_is_refused(self, ask: Ask) -> None:
        """ISO 228-1: the thread itself is not tight."""
        bare = {"is": "thread/g-1-4", "seals_on": "nothing"}
        assert ask(bare, "thread/g-1-4").verdict is Verdict.INCOMPATIBLE


class TestSoftTubes:
    def test_tube_suits_the_fitting_made_for_it(self, ask: Ask) -> None:
        assert ask("tube/soft-3-8x5-8", COMPRESSION.format("3-8x5-8")).verdict is Verdict.COMPATIBLE

    def test_inch_tube_in_a_metric_fitting_is_judged_by_differences_and_not_by_label(self, ask: Ask) -> None:
        """10 - 9.525 = 0.475 mm inside and 16 - 15.875 = 0.125 mm outside make the numbers differ; both are
        reported.
        """
        own = ask("tube/soft-10x16", COMPRESSION.format("10x16"))
        near = ask("tube/soft-3-8x5-8", COMPRESSION.format("10x16"))
        inputs = {fact.column: fact.value for fact in finding(near, "clamping-squeeze").quantities[0].inputs}
        assert 10 - inputs["id_mm"] == pytest.approx(0.475)
        assert 16 - inputs["od_mm"] == pytest.approx(0.125)
        stretch = (10.4 - 9.525) / 9.525 * 100
        assert number(near, "barb-interference") == pytest.approx(stretch, abs=0.05)
        assert number(own, "barb-interference") == pytest.approx(4.0, abs=0.05)
        assert near.verdict is not Verdict.INCOMPATIBLE

    def test_thin_tube_in_a_wide_fitting_is_not_clamped(self, ask: Ask) -> None:
        answer = ask("tube/soft-3-8x5-8", COMPRESSION.format("1-2x3-4"))
        assert answer.verdict is Verdict.INCOMPATIBLE
        reported = finding(answer, "clamping-squeeze")
        assert reported.verdict is Verdict.INCOMPATIBLE
        assert reported.quantities[0].value < 0
        assert "does not touch the tube" in reported.sentence

    def test_right_fittings_are_named_for_a_wrong_one(self, ask: Ask) -> None:
        answer = ask("tube/soft-3-8x5-8", COMPRESSION.format("1-2x3-4"))
        assert COMPRESSION.format("3-8x5-8") in answer.findings[0].remedy_parts

    def test_barb_asks_for_a_clamp(self, ask: Ask) -> None:
        answer = ask("tube/soft-3-8x1-2", "fitting/barb-3-8-g-1-4")
        assert answer.verdict is Verdict.CONDITIONAL
        assert [one.id for one in answer.requirements] == ["requirement/hose-clamp"]
        assert "caution/hose-clamp" in {caution.id for caution in answer.cautions}

    def test_warm_coolant_asks_for_the_rating_of_the_hose(self, ask: Ask) -> None:
        answer = ask("tube/soft-3-8x5-8", COMPRESSION.format("3-8x5-8"), coolant_temperature=45)
        assert answer.verdict is Verdict.CONDITIONAL
        assert "source/industrial-hose-catalogue" in sources(answer, Verdict.CONDITIONAL)


class TestRigidTubes:
    @pytest.mark.parametrize("tube", ["tube/acrylic-13x10", "tube/petg-13x10"])
    def test_plastic_tube_suits_the_fitting_of_its_size(self, ask: Ask, tube: str) -> None:
        assert ask(tube, "fitting/rigid-13-g-1-4").verdict is Verdict.COMPATIBLE

    @pytest.mark.parametrize("tube", ["tube/copper-b88-3-8-l", "tube/copper-b280-1-2-drawn"])
    def test_half_inch_copper_in_a_13_mm_fitting_is_judged_by_the_worst_squeeze(self, ask: Ask, tube: str) -> None:
        """B88 calls it 3/8, B280 calls it 1/2; both are 12.70 mm outside. Depth (16.25 - 12.70 + tolerance) / 2.

        Without the tube's tolerance the least compression is (1.92 - 1.775) / 1.92 = 7.6 %: above nothing, below the 10
        % that a seal supplier names as the limit of weeping.
        """
        answer = ask(tube, "fitting/rigid-13-g-1-4")
        reported = finding(answer, "o-ring-compression-min")
        assert (answer.verdict, reported.verdict) == (Verdict.CONDITIONAL, Verdict.CONDITIONAL)
        assert 5.0 < reported.quantities[0].value < 7.6
        assert "source/seal-compression-guide" in reported.sources

    def test_both_half_inch_coppers_have_one_outside_diameter(self, ask: Ask) -> None:
        outside = {
            fact.value
            for tube in ("tube/copper-b88-3-8-l", "tube/copper-b280-1-2-drawn")
            for fact in finding(ask(tube, "fitting/rigid-13-g-1-4"), "o-ring-compression-min").quantities[0].inputs
            if fact.column == "od_mm"
        }
        assert outside == {12.7}

    def test_five_eighths_copper_in_a_16_mm_fitting_is_judged_by_numbers(self, ask: Ask) -> None:
        """15.875 in a groove of 19.2: depth 1.6625, nominal compression 16.9 %; at worst it stays above 10 %."""
        answer = ask("tube/copper-b280-5-8-drawn", "fitting/rigid-16-g-1-4")
        assert answer.verdict is Verdict.COMPATIBLE
        assert 10.0 < number(answer, "o-ring-compression-min") < 16.9 < number(answer, "o-ring-compression-max") < 30.0

    def test_metric_copper_suits_the_metric_fitting(self, ask: Ask) -> None:
        assert ask("tube/copper-en-1057-12x1", "fitting/rigid-12-g-1-4").verdict is Verdict.COMPATIBLE

    @pytest.mark.parametrize("tube", ["tube/copper-b280-1-2-drawn", "tube/acrylic-1-2x3-8"])
    def test_half_inch_tube_does_not_enter_a_12_mm_fitting(self, ask: Ask, tube: str) -> None:
        answer = ask(tube, "fitting/rigid-12-g-1-4")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert finding(answer, "socket-clearance").verdict is Verdict.INCOMPATIBLE

    def test_12_mm_tube_is_not_sealed_in_a_13_mm_fitting(self, ask: Ask) -> None:
        answer = ask("tube/acrylic-12x10", "fitting/rigid-13-g-1-4")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert finding(answer, "o-ring-compression-min").verdict is Verdict.INCOMPATIBLE

    def test_soft_tube_does_not_seal_in_a_ring_fitting(self, ask: Ask) -> None:
        answer = ask("tube/soft-10x13", "fitting/rigid-13-g-1-4")
        assert answer.verdict is Verdict.INCOMPATIBLE
        assert finding(answer, "rule-joint").rules[0].id == "rule/soft-tube-in-rigid-compression"

    @pytest.mark.parametrize(("tube", "limit"), [("tube/acrylic-12x10", 65), ("tube/petg-12x10", 60)])
    def test_plastic_tube_gives_way_in_hot_coolant(self, ask: Ask, tube: str, limit: float) -> None:
        cool = ask(tube, "fitting/rigid-12-g-1-4", coolant_temperature=limit - 1)
        hot = ask(tube, "fitting/rigid-12-g-1-4", coolant_temperature=limit)
        assert (cool.verdict, hot.verdict) == (Verdict.COMPATIBLE, Verdict.INCOMPATIBLE)

    def test_assumed_temperature_is_reported_as_assumed(self, ask: Ask) -> None:
        reported = finding(ask("tube/acrylic-12x10", "fitting/rigid-12-g-1-4"), "rule-not-met")
        (condition,) = reported.rules[0].conditions
        assert (condition.actual, condition.origin) == (40, "assumption/coolant-temperature")
        assert "assumed" in reported.sentence


class TestTradeHabits:
    """Common practice without a source: what anyone who has built a loop takes for granted."""

    @pytest.mark.parametrize("other", ["tube/soft-3-8x1-2", "tube/soft-1-2x3-4", "tube/soft-1-2x5-8", "tube/soft-6x10"])
    def test_both_numbers_of_soft_tube_must_match_a_compression_fitting(self, ask: Ask, other: str) -> None:
        assert ask(other, COMPRESSION.format("3-8x5-8")).verdict is Verdict.INCOMPATIBLE

    def test_barb_cares_for_the_inside_only(self, ask: Ask) -> None:
        verdicts = {ask(f"tube/soft-{size}", "fitting/barb-3-8-g-1-4").verdict for size in ("3-8x1-2", "3-8x5-8")}
        assert verdicts == {Verdict.CONDITIONAL}  # a clamp alone is open

    def test_ring_fitting_cares_for_the_outside_only(self, base: KnowledgeBase) -> None:
        walls = ("tube/acrylic-16x10", "tube/acrylic-16x12", "tube/acrylic-16x13")
        decisions = [base.decide(tube, "fitting/rigid-16-g-1-4") for tube in walls]
        values = [[one.evidence[0][:2] for one in decision.joint.findings] for decision in decisions]
        assert values[0][:6] == values[1][:6] == values[2][:6]
        assert {decision.verdict for decision in decisions} == {Verdict.COMPATIBLE}

    def test_rigid_tube_does_not_go_over_a_barb(self, ask: Ask) -> None:
        assert ask("tube/acrylic-12x10", "fitting/barb-10-g-1-4").verdict is Verdict.INCOMPATIBLE

    def test_tube_does_not_go_into_a_port_without_a_fitting(self, ask: Ask) -> None:
        assert ask("tube/soft-3-8x5-8", "port/g-1-4-loop").verdict is Verdict.INCOMPATIBLE

    @pytest.mark.parametrize("fitting", ["plug-g-1-4", "compression-10x16-g-1-4", "rigid-14-g-1-4", "barb-10-g-1-4"])
    def test_loop_fittings_suit_loop_ports(self, ask: Ask, fitting: str) -> None:
        assert ask(f"fitting/{fitting}", "port/g-1-4-loop").verdict is Verdict.COMPATIBLE

    def test_quick_couplings_join_plug_and_socket_of_one_pattern_only(self, ask: Ask) -> None:
        plug, socket = "fitting/quick-coupling-plug-6-barb-3-8", "fitting/quick-coupling-socket-6-barb-3-8"
        assert ask(plug, socket).verdict is Verdict.COMPATIBLE
        assert ask(plug, plug).verdict is Verdict.INCOMPATIBLE
        assert ask(plug, "fitting/quick-coupling-socket-10-barb-1-2").verdict is Verdict.INCOMPATIBLE


class TestPartsFromSpecSheets:
    def test_tube_by_dimensions_alone_gets_a_real_answer(self, ask: Ask) -> None:
        tube = {"kind": "tube", "family": "family/tube-soft", "id": "3/8 in", "od": "5/8 in"}
        answer = ask(tube, COMPRESSION.format("3-8x5-8"))
        assert answer.verdict is Verdict.COMPATIBLE
        assert number(answer, "barb-interference") == pytest.approx((9.9 - 9.525) / 9.525 * 100)

    def test_archetype_with_overrides_uses_the_given_value_and_says_so(self, ask: Ask) -> None:
        answer = ask({"is": "tube/soft-10x16", "id_mm": 9.8}, COMPRESSION.format("10x16"))
        inputs = {fact.column: fact for fact in finding(answer, "barb-interference").quantities[0].inputs}
        assert (inputs["id_mm"].value, inputs["id_mm"].given, inputs["id_mm"].source) == (9.8, True, None)

    def test_fitting_by_its_ends_gets_a_real_answer(self, ask: Ask) -> None:
        ends = {"a": {"kind": "male-thread", "thread": "thread/g-1-4"}, "b": {"kind": "barb", "barb_od_mm": 11.3}}
        fitting = {"kind": "fitting", "family": "family/fitting-barb", "ends": ends}
        assert ask(fitting, "tube/soft-10x13").verdict is Verdict.CONDITIONAL
        assert ask(fitting, "port/g-1-4-loop").verdict is Verdict.COMPATIBLE

    def test_measured_tolerance_takes_the_place_of_the_general_one(self, ask: Ask) -> None:
        rough = ask("tube/acrylic-12x10", "fitting/rigid-12-g-1-4")
        measured = ask({"is": "tube/acrylic-12x10", "od_tolerance_mm": 0.02}, "fitting/rigid-12-g-1-4")
        assert number(measured, "o-ring-compression-min") > number(rough, "o-ring-compression-min")

    @pytest.mark.parametrize(
        ("given", "missing"), [({"id_mm": 10}, "od_mm"), ({"od_mm": 16}, "id_mm")], ids=["no outside", "no inside"]
    )
    def test_missing_dimension_is_named_and_not_guessed(self, ask: Ask, given: dict[str, float], missing: str) -> None:
        answer = ask({"kind": "tube", "family": "family/tube-soft", **given}, COMPRESSION.format("10x16"))
        assert answer.verdict is Verdict.UNKNOWN
        named = {(gap.subject, gap.column) for one in answer.findings for gap in one.missing}
        assert (answer.a, missing) in named

    def test_kind_of_tube_is_asked_for(self, ask: Ask) -> None:
        answer = ask({"kind": "tube", "id_mm": 10, "od_mm": 16}, COMPRESSION.format("10x16"))
        assert answer.verdict is Verdict.UNKNOWN
        assert finding(answer, "tube-kind-missing").missing[0].column == "family"

    def test_taper_thread_without_gauge_length_is_not_taken_for_a_parallel_one(self, ask: Ask) -> None:
        numbers = {"form_angle_deg": 55, "threads_per_inch": 19, "major_mm": 13.157, "taper_on_diameter": 0.0625}
        taper = {"kind": "thread", "gender": "external", **numbers}
        answer = ask(taper, "thread/rp-1-4")
        assert answer.verdict is Verdict.UNKNOWN
        assert finding(answer, "dimension-missing").missing[0].column == "gauge_length_mm"
        whole = ask({**taper, "gauge_length_mm": 6.0}, "thread/rp-1-4")
        assert number(whole, "thread-turns-until-binding") > 3

    def test_another_major_diameter_does_not_keep_the_archetypes_pitch_diameter(self, ask: Ask) -> None:
        answer = ask({"is": "thread/g-1-4", "major_mm": 16.662, "gender": "external"}, "thread/g-3-8")
        assert number(answer, "thread-pitch-diameter-tip") == pytest.approx(15.806, abs=0.0005)

    def test_what_nobody_wrote_about_is_unknown(self, ask: Ask) -> None:
        answer = ask("seal/iso-3601-014", "tube/acrylic-12x10")
        assert answer.verdict is Verdict.UNKNOWN
        assert finding(answer, "nothing-known").missing

    def test_port_without_depth_gives_no_number_for_the_depth(self, ask: Ask) -> None:
        answer = ask("fitting/plug-g-3-8", "port/g-3-8-loop")
        assert "thread-engagement-turns" not in {one.code for one in answer.findings}


class TestWrongQuestions:
    @pytest.mark.parametrize(
        ("wrong", "nearest"),
        [
            ("thread/g-1-5", "thread/g-1-8"),
            ("tube/soft-10x15", "tube/soft-10x16"),
            ("fitting/plug-g1-4", "fitting/plug-g-1-4"),
            ("G1/4", "thread/g-1-4"),
            ("10/16 tube", "tube/soft-10x16"),
            ("plug G1/4", "fitting/plug-g-1-4"),
        ],
    )
    def test_unknown_id_names_the_nearest(self, ask: Ask, wrong: str, nearest: str) -> None:
        with pytest.raises(QuestionError) as refused:
            ask(wrong, "thread/g-1-4")
        assert refused.value.field == "a"
        assert nearest in refused.value.nearest

    def test_place_of_the_fault_is_named(self, ask: Ask) -> None:
        with pytest.raises(QuestionError) as refused:
            ask("thread/g-1-4", {"kind": "port", "thread": "thread/none"})
        assert refused.value.field == "b.thread"

    def test_unknown_quantity_is_refused_and_not_dropped(self, ask: Ask) -> None:
        with pytest.raises(QuestionError) as refused:
            ask("thread/g-1-4", "thread/g-1-4", colour=3)
        assert "coolant-temperature" in refused.value.nearest

    def test_unknown_family_is_refused(self, ask: Ask) -> None:
        with pytest.raises(QuestionError) as refused:
            ask({"kind": "tube", "family": "family/tube-sofft"}, "fitting/barb-10-g-1-4")
        assert "family/tube-soft" in refused.value.nearest

    @pytest.mark.parametrize(
        "tube",
        [
            {"id_mm": 10, "od_mm": 10},
            {"id_mm": 12, "od_mm": 10},
            {"id_mm": 5, "od_mm": 10, "id_tolerance_mm": 5},
            {"id_mm": 5, "od_mm": 10, "od_tolerance_mm": 12},
        ],
    )
    def test_tube_that_cannot_be_is_refused(self, ask: Ask, tube: dict[str, float]) -> None:
        with pytest.raises(QuestionError):
            ask({"kind": "tube", "family": "family/tube-soft", **tube}, COMPRESSION.format("10x16"))

    @pytest.mark.parametrize(
        "part",
        [
            {"kind": "tube", "id_mm": 0},
            {"kind": "tube", "id_mm": 1e-320},
            {"kind": "tube", "id_mm": float("nan")},
            {"kind": "tube", "od_mm": float("inf")},
            {"kind": "tube", "colour": "red"},
            {"kind": "tube", "od": "3/8"},
            {"kind": "tube", "od": "3/8 in", "od_mm": 9.525},
            {"kind": "thread", "threads_per_inch": 1e-308},
            {"kind": "spanner"},
        ],
    )
    def test_values_without_sense_are_refused(self, ask: Ask, part: dict[str, Any]) -> None:
        with pytest.raises((ValidationError, QuestionError)):
            ask(part, "thread/g-1-4")
