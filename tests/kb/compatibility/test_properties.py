"""What holds for every pair: order, units, tolerance, distance from the right size, and parts that fit themselves."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import PairDecision, decide_pair
from kb.evidence.tree import Finding, Number
from kb.knowledge_base import KnowledgeBase
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.questions.questions import PartRef
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.threads import SealsOn, Thread, ThreadGender
from schemas.tables.tubes import Tube
from schemas.verdict import Verdict

BOUNDED = settings(max_examples=150, deadline=None, derandomize=True, database=None)
REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)
SIXTY_FOURTHS = 64
TUBE_FAMILIES = ("family/tube-soft", "family/tube-acrylic", "family/tube-copper", "family/tube-semi-rigid")
FITTINGS = (
    "compression-10x16-g-1-4",
    "barb-10-g-1-4",
    "rigid-12-g-1-4",
    "push-in-8-g-1-4",
    "compression-3-8x1-2-g-1-4",
)

length = st.floats(min_value=0.5, max_value=40).map(lambda value: round(value, 3))
maybe = st.none() | length
family = st.sampled_from(TUBE_FAMILIES)
fitting = st.sampled_from(FITTINGS).map(lambda name: f"fitting/{name}")


def without_none(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


tubes = st.fixed_dictionaries(
    {"kind": st.just("tube"), "family": st.none() | family, "id_mm": maybe, "od_mm": maybe, "wall_mm": maybe}
).map(without_none)
threads = st.fixed_dictionaries(
    {
        "kind": st.just("thread"),
        "gender": st.none() | st.sampled_from(list(ThreadGender)),
        "form_angle_deg": st.sampled_from([None, 55, 60, 47.5]),
        "threads_per_inch": st.sampled_from([None, 11, 14, 19, 28]),
        "pitch_mm": st.sampled_from([None, 1.0, 1.5]),
        "major_mm": st.none() | st.sampled_from([9.728, 13.157, 13.2, 16.662]) | length,
        "taper_on_diameter": st.sampled_from([None, 0.0, 0.0625]),
        "gauge_length_mm": maybe,
        "seals_on": st.none() | st.sampled_from(list(SealsOn)),
    }
).map(without_none)
ends = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(list(EndKind)),
        "thread": st.sampled_from(["thread/g-1-4", "thread/npt-1-4", "thread/r-1-4"]),
        "seal": st.sampled_from([None, "seal/o-ring-12x2"]),
        **dict.fromkeys(("barb_od_mm", "collar_bore_mm", "socket_bore_mm", "groove_diameter_mm", "bore_mm"), maybe),
        "thread_length_mm": maybe,
        "collar_diameter_mm": maybe,
        "coupling_pattern": st.sampled_from([None, "dry-break-6", "dry-break-10"]),
    }
).map(without_none)
fittings = st.fixed_dictionaries(
    {"kind": st.just("fitting"), "ends": st.dictionaries(st.sampled_from("abc"), ends, min_size=1, max_size=2)}
)
ports = st.fixed_dictionaries(
    {
        "kind": st.just("port"),
        "thread": st.sampled_from(["thread/g-1-4", "thread/g-3-8", "thread/rp-1-4", "thread/m10x1"]),
        "seals_on": st.none() | st.sampled_from(list(SealsOn)),
        "thread_depth_min_mm": maybe,
        "spotface_diameter_min_mm": maybe,
    }
).map(without_none)
inline_parts = tubes | threads | fittings | ports
archetypes = st.sampled_from(["thread/g-1-4", "port/g-1-4-loop", "tube/soft-10x16", "tube/acrylic-12x10"]) | fitting


def resolved(base: KnowledgeBase, reference: Any, name: str) -> Part:
    """Return the part meant; parts that cannot be are not looked at further."""
    try:
        return Resolver(base.snapshot).part(REFERENCE.validate_python(reference), name)
    except QuestionError:
        assume(False)
        raise


def decided(base: KnowledgeBase, a: Any, b: Any) -> PairDecision:
    return decide_pair(base.snapshot, resolved(base, a, "one"), resolved(base, b, "two"), {})


def joints_of(decision: PairDecision) -> Iterator[Joint]:
    for joint in (decision.joint, *decision.others):
        yield joint
        if joint.reverse is not None:
            yield joint.reverse


def numbers_of(findings: tuple[Finding, ...]) -> list[float]:
    return [node.value for one in findings for node in one.evidence if isinstance(node, Number)]


def reported(joint: Joint) -> tuple[Any, ...]:
    return (joint.place, joint.verdict, joint.findings)


def whole(decision: PairDecision) -> tuple[Any, ...]:
    """Return everything that was decided, in a form that can be compared."""
    return (decision.verdict, [reported(joint) for joint in joints_of(decision)])


def some_pairs(base: KnowledgeBase, count: int) -> list[tuple[str, str]]:
    ids = base.snapshot.ids()
    chance = random.Random(20261125)
    return [(chance.choice(ids), chance.choice(ids)) for _ in range(count)]


def test_order_of_archetypes_never_matters(base: KnowledgeBase) -> None:
    for a, b in some_pairs(base, 4000):
        assert whole(base.decide(a, b)) == whole(base.decide(b, a)), (a, b)


@given(a=inline_parts, b=inline_parts | archetypes)
@BOUNDED
def test_order_of_described_parts_never_matters(base: KnowledgeBase, a: Any, b: Any) -> None:
    assume(a != b)
    one, two = resolved(base, a, "one"), resolved(base, b, "two")
    forth = decide_pair(base.snapshot, one, two, {})
    back = decide_pair(base.snapshot, two, one, {})
    assert whole(forth) == whole(back)


@given(a=threads, b=threads)
@BOUNDED
def test_place_in_the_question_never_matters(base: KnowledgeBase, a: Any, b: Any) -> None:
    """Described parts are named by their place; the place must not choose which thread is the male one."""
    forth, back = (base.pair(x, y) for x, y in ((a, b), (b, a)))
    assert forth.verdict is back.verdict
    assert [(one.code, one.verdict) for one in forth.findings] == [(one.code, one.verdict) for one in back.findings]


@given(
    bore=st.integers(min_value=8, max_value=64),
    wall=st.integers(min_value=2, max_value=16),
    family=family,
    part=fitting,
)
@BOUNDED
def test_units_never_matter(base: KnowledgeBase, bore: int, wall: int, family: str, part: str) -> None:
    inside, outside = Fraction(bore, SIXTY_FOURTHS), Fraction(bore + 2 * wall, SIXTY_FOURTHS)
    sizes = {name: float(size * Fraction(254, 10)) for name, size in (("id", inside), ("od", outside))}
    given_as = (
        {f"{name}_mm": value for name, value in sizes.items()},
        {"id": f"{inside} in", "od": f'{outside.numerator}/{outside.denominator}"'},
        {name: f"{value:.6f} mm" for name, value in sizes.items()},
    )
    answers = {base.pair({"kind": "tube", "family": family, **size}, part).to_json() for size in given_as}
    assert len(answers) == 1


@given(data=st.data(), family=family, part=fitting, inside=st.floats(4, 14), wall=st.floats(0.8, 4))
@BOUNDED
def test_more_tolerance_never_makes_a_verdict_milder(
    base: KnowledgeBase, data: st.DataObject, family: str, part: str, inside: float, wall: float
) -> None:
    tube = {"kind": "tube", "family": family, "id_mm": inside, "od_mm": inside + 2 * wall}
    verdicts = []
    for name in ("id", "od"):
        small, large = sorted(data.draw(st.floats(0, 0.7), label=name) for _ in range(2))
        verdicts.append((f"{name}_tolerance_mm", small, large))
    closer = {**tube, **{name: small for name, small, _ in verdicts}}
    wider = {**tube, **{name: large for name, _, large in verdicts}}
    assert decided(base, wider, part).verdict.severity >= decided(base, closer, part).verdict.severity


def tube_of(end: FittingEnd) -> dict[str, Any]:
    """Return the tube that an end is made for, with a close tolerance."""
    kinds = {EndKind.SOFT_COMPRESSION: "soft", EndKind.BARB: "soft", EndKind.RIGID_COMPRESSION: "copper"}
    inside = end.tube_id_mm or (end.tube_od_mm or 0) - 2
    outside = end.tube_od_mm or inside + 6
    return {
        "kind": "tube",
        "family": f"family/tube-{kinds.get(end.end_kind, 'semi-rigid')}",
        "id_mm": inside,
        "od_mm": outside,
        "id_tolerance_mm": 0.05,
        "od_tolerance_mm": 0.05,
    }


TUBE_ENDS = (EndKind.SOFT_COMPRESSION, EndKind.BARB, EndKind.RIGID_COMPRESSION, EndKind.PUSH_IN)


@given(data=st.data(), dimension=st.sampled_from(["id_mm", "od_mm"]), sign=st.sampled_from([-1, 1]))
@BOUNDED
def test_further_from_the_right_size_is_never_milder(
    base: KnowledgeBase, data: st.DataObject, dimension: str, sign: int
) -> None:
    ends = [end for end in base.snapshot.active(FittingEnd) if end.end_kind in TUBE_ENDS]
    end = data.draw(st.sampled_from(ends), label="end")
    tube = tube_of(end)
    near, far = sorted(data.draw(st.floats(0, 3), label="off") for _ in range(2))
    severities = []
    for off in (near, far):
        moved = {**tube, dimension: tube[dimension] + sign * off}
        assume(moved["od_mm"] - moved["id_mm"] > 0.4)
        assume(moved["id_mm"] > 0.5)
        severities.append(decided(base, moved, end.fitting_id).verdict.severity)
    assert severities[0] <= severities[1]


@given(a=inline_parts, b=inline_parts | archetypes, warmth=st.none() | st.floats(-40, 200))
@BOUNDED
def test_every_question_of_right_form_is_answered_or_refused_with_a_reason(
    base: KnowledgeBase, a: Any, b: Any, warmth: float | None
) -> None:
    conditions = {} if warmth is None else {"coolant-temperature": warmth}
    try:
        answer = base.pair(a, b, conditions=conditions)
    except QuestionError as refused:
        assert all((refused.field, refused.what, refused.fix))
        return
    assert answer.verdict in Verdict
    assert all(one.sentence for one in answer.findings)
    values = [number.value for one in answer.findings for number in one.quantities]
    assert all(math.isfinite(value) for value in values)


@given(data=st.data(), a=inline_parts)
@BOUNDED
def test_any_archetype_beside_a_described_part_gives_finite_numbers(
    base: KnowledgeBase, data: st.DataObject, a: Any
) -> None:
    b = data.draw(st.sampled_from(base.snapshot.ids()), label="archetype")
    for joint in joints_of(decided(base, a, b)):
        assert all(math.isfinite(value) for value in numbers_of(joint.findings))


def test_numbers_between_archetypes_are_finite(base: KnowledgeBase) -> None:
    for a, b in some_pairs(base, 2000):
        for joint in joints_of(base.decide(a, b)):
            assert all(math.isfinite(value) for value in numbers_of(joint.findings)), (a, b)


def test_every_face_sealed_thread_suits_itself(base: KnowledgeBase) -> None:
    rows = [row for row in base.snapshot.active(Thread) if row.seals_on is SealsOn.FACE]
    verdicts = {row.id: base.decide(row.id, row.id).verdict for row in rows}
    assert set(verdicts.values()) == {Verdict.COMPATIBLE}, verdicts


def test_every_thread_mates_with_itself(base: KnowledgeBase) -> None:
    rows = [row for row in base.snapshot.active(Thread) if row.gender is ThreadGender.EITHER]
    for row in rows:
        assert base.decide(row.id, row.id).verdict is not Verdict.INCOMPATIBLE, row.id


def made_for(snapshot: Snapshot, end: FittingEnd) -> Iterator[str]:
    """Yield the tubes of exactly the dimensions, and of the kind, that an end is made for."""
    kinds = {
        EndKind.SOFT_COMPRESSION: "family/tube-soft",
        EndKind.BARB: "family/tube-soft",
        EndKind.RIGID_COMPRESSION: "family/tube-rigid",
        EndKind.PUSH_IN: "family/tube-semi-rigid",
    }
    for tube in snapshot.active(Tube):
        of_kind = kinds.get(end.end_kind) in snapshot.families(tube.family_id)
        inside = end.tube_id_mm is None or end.tube_id_mm == tube.id_mm
        outside = end.tube_od_mm is None or end.tube_od_mm == tube.od_mm
        if of_kind and inside and outside:
            yield tube.id


def test_every_tube_suits_every_fitting_made_for_exactly_its_dimensions(base: KnowledgeBase) -> None:
    judged = 0
    for end in base.snapshot.active(FittingEnd):
        for tube in made_for(base.snapshot, end):
            judged += 1
            assert base.decide(tube, end.fitting_id).verdict is not Verdict.INCOMPATIBLE, (tube, end.fitting_id)
    assert judged > 150


def test_unknown_is_never_praised(base: KnowledgeBase) -> None:
    """A verdict is as severe as its worst reason, and a missing dimension is never milder than unknown."""
    for a, b in some_pairs(base, 2000):
        for joint in joints_of(base.decide(a, b)):
            worst = max((one.verdict for one in joint.findings), key=lambda verdict: verdict.severity)
            assert joint.verdict is worst, (a, b)
            codes = {one.code for one in joint.findings}
            if codes & {"dimension-missing", "nothing-known", "tube-kind-missing"}:
                assert joint.verdict.severity >= Verdict.UNKNOWN.severity, (a, b)


@pytest.mark.parametrize("part", FITTINGS)
def test_nothing_given_is_unknown_wherever_numbers_decide(base: KnowledgeBase, part: str) -> None:
    blank = {"kind": "tube", "family": "family/tube-semi-rigid"}
    assert decided(base, blank, f"fitting/{part}").verdict is Verdict.UNKNOWN
