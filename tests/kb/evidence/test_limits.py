"""Limits: broken ones decide by their weight, met ones are cited, and every row of the table can be broken."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.compatibility.materials.contact import judge_substances
from kb.compatibility.pair import decide_pair
from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, LimitCheck, Missing, Number
from kb.knowledge_base import KnowledgeBase
from kb.load import load_tables
from kb.parts.resolver import Resolver
from kb.parts.substances import material_element, substance_element
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.answers.answers import Finding as FindingAnswer
from schemas.columns.provenance import Basis, Confidence
from schemas.level import Level, Scope
from schemas.questions.questions import MixQuestion, PartRef
from schemas.tables import ROW_CLASSES
from schemas.tables.fluids import Fluid
from schemas.tables.limits import Comparison, Limit
from schemas.verdict import Verdict

LOOP_LIMITS = {
    "limit/collar-gap-none",
    "limit/collar-gap-small",
    "limit/connected-ports",
    "limit/fittings-missing",
    "limit/open-ends",
    "limit/port-uses",
    "limit/pumps",
    "limit/separate-circuits",
}


LEVELS = {Verdict.INCOMPATIBLE: Level.ERROR, Verdict.CONDITIONAL: Level.WARNING}


def limit(name: str, comparison: Comparison, value: float, verdict: Verdict) -> Limit:
    return Limit(
        id=f"limit/{name}",
        quantity_id="quantity/grip",
        family_id="family/end",
        comparison=comparison,
        value=value,
        unit="%",
        level=LEVELS[verdict],
        requirement_id=None,
        scope=Scope.COUPLE,
        level_reason=None,
        consequence=name,
        remedy=name,
        caution_ids=(),
        source_id="source/own",
        locator=None,
        basis=Basis.COMMON_PRACTICE,
        confidence=Confidence.LOW,
        checked_on=date(2026, 1, 1),
        note=None,
        withdrawn_on=None,
        withdrawn_reason=None,
    )


@pytest.fixture(scope="module")
def limit_set() -> Snapshot:
    """Return a world with two rungs down and one up: below 0 refused, below 10 and above 30 under conditions."""
    rows = (
        limit("large", Comparison.AT_MOST, 30, Verdict.CONDITIONAL),
        limit("none", Comparison.AT_LEAST, 0, Verdict.INCOMPATIBLE),
        limit("small", Comparison.AT_LEAST, 10, Verdict.CONDITIONAL),
    )
    tables = {name: rows if name == "limits" else () for name in ROW_CLASSES}
    return Snapshot(BuiltTables(tables, "2026.1.0", "0" * 64))


def judged(world: Snapshot, value: float, families: tuple[str, ...] = ("family/end",)) -> Finding:
    return judge_number(world, Number("quantity/grip", value, ()), families, "place")


def cited(finding: Finding) -> list[str]:
    return [node.limit.id for node in finding.evidence if isinstance(node, LimitCheck)]


@pytest.mark.parametrize(
    ("value", "verdict", "limits"),
    [
        (-0.1, Verdict.INCOMPATIBLE, ["limit/none"]),
        (0.0, Verdict.CONDITIONAL, ["limit/small"]),
        (9.999, Verdict.CONDITIONAL, ["limit/small"]),
        (10.0, Verdict.COMPATIBLE, ["limit/small", "limit/large"]),
        (30.0, Verdict.COMPATIBLE, ["limit/small", "limit/large"]),
        (30.001, Verdict.CONDITIONAL, ["limit/large"]),
    ],
)
def test_most_severe_broken_limit_decides_and_the_tightest_kept_ones_are_cited(
    limit_set: Snapshot, value: float, verdict: Verdict, limits: list[str]
) -> None:
    finding = judged(limit_set, value)
    assert (finding.verdict, cited(finding)) == (verdict, limits)


def test_limit_met_exactly_in_decimals_holds_whatever_binary_fractions_say(limit_set: Snapshot) -> None:
    assert judged(limit_set, 0.1 + 0.2 - 0.3 + 10 - 1e-12).verdict is Verdict.COMPATIBLE


def test_number_without_a_limit_is_unknown(limit_set: Snapshot) -> None:
    finding = judged(limit_set, 20.0, ("family/other",))
    assert finding.verdict is Verdict.UNKNOWN
    assert any(isinstance(node, Missing) for node in finding.evidence)


def tube(family: str, **sizes: float) -> dict[str, Any]:
    return {"kind": "tube", "family": f"family/tube-{family}", **sizes}


def fitting(**end: Any) -> dict[str, Any]:
    return {"kind": "fitting", "ends": {"a": end}}


def thread(**numbers: Any) -> dict[str, Any]:
    return {"kind": "thread", **numbers}


COMPRESSION = "fitting/compression-10x16-g-1-4"
BARB, O_RING, PUSH_IN = "fitting/barb-10-g-1-4", "fitting/rigid-12-g-1-4", "fitting/push-in-8-g-1-4"
SLIM_O_RING = {"seal": "seal/o-ring-12x2", "socket_bore_mm": 20.0, "groove_diameter_mm": 15.2}
STUD = {"kind": "male-thread", "thread": "thread/g-1-4"}
PORT = "port/g-1-4-din-3852-2"
BREAKING: dict[str, tuple[Any, Any]] = {
    "limit/barb-stretch-large-barb": (tube("soft", id_mm=7, od_mm=14), BARB),
    "limit/barb-stretch-large-soft-compression": (tube("soft", id_mm=6.5, od_mm=13), COMPRESSION),
    "limit/barb-stretch-likely-none-barb": (tube("soft", id_mm=11.1, od_mm=14), BARB),
    "limit/barb-stretch-none-barb": (tube("soft", id_mm=12, od_mm=14), BARB),
    "limit/barb-stretch-small": (tube("soft", id_mm=10.8, od_mm=14), BARB),
    "limit/clamping-cannot-close": (tube("soft", id_mm=10, od_mm=22), COMPRESSION),
    "limit/clamping-large": (tube("soft", id_mm=10, od_mm=20), COMPRESSION),
    "limit/clamping-likely-none": (tube("soft", id_mm=10, od_mm=15.1), COMPRESSION),
    "limit/clamping-none": (tube("soft", id_mm=10, od_mm=14), COMPRESSION),
    "limit/clamping-small": (tube("soft", id_mm=10, od_mm=15.2), COMPRESSION),
    "limit/coupling-pattern": (
        "fitting/quick-coupling-plug-6-barb-3-8",
        "fitting/quick-coupling-socket-10-barb-1-2",
    ),
    "limit/o-ring-compression-beyond-ceilings-push-in": (tube("semi-rigid", od_mm=8, od_tolerance_mm=0.6), PUSH_IN),
    "limit/o-ring-compression-beyond-ceilings-rigid-compression": (
        tube("copper", od_mm=12.2, od_tolerance_mm=0.6),
        O_RING,
    ),
    "limit/o-ring-compression-large-push-in": (tube("semi-rigid", od_mm=8, od_tolerance_mm=0.4), PUSH_IN),
    "limit/o-ring-compression-large-rigid-compression": (tube("copper", od_mm=12, od_tolerance_mm=0.4), O_RING),
    "limit/o-ring-compression-none-push-in": (tube("semi-rigid", od_mm=7), PUSH_IN),
    "limit/o-ring-compression-none-rigid-compression": (tube("copper", od_mm=11), O_RING),
    "limit/o-ring-compression-small-push-in": (tube("semi-rigid", od_mm=7.75), PUSH_IN),
    "limit/o-ring-compression-small-rigid-compression": (tube("copper", od_mm=11.7, od_tolerance_mm=0.01), O_RING),
    "limit/o-ring-stretch-large-push-in": (tube("semi-rigid", od_mm=13), fitting(kind="push-in", **SLIM_O_RING)),
    "limit/o-ring-stretch-large-rigid-compression": (
        tube("copper", od_mm=13),
        fitting(kind="rigid-compression", **SLIM_O_RING),
    ),
    "limit/o-ring-stretch-small-push-in": (tube("semi-rigid", od_mm=10.5), fitting(kind="push-in", **SLIM_O_RING)),
    "limit/o-ring-stretch-small-rigid-compression": (
        tube("copper", od_mm=10.5),
        fitting(kind="rigid-compression", **SLIM_O_RING),
    ),
    "limit/seat-clearance-none": (fitting(**STUD, collar_diameter_mm=24), PORT),
    "limit/socket-likely-tight-push-in": (tube("semi-rigid", od_mm=8.1, od_tolerance_mm=0.1), PUSH_IN),
    "limit/socket-likely-tight-rigid-compression": (tube("copper", od_mm=12.15, od_tolerance_mm=0.1), O_RING),
    "limit/socket-loose-push-in": (tube("semi-rigid", od_mm=12), fitting(kind="push-in", **SLIM_O_RING)),
    "limit/socket-loose-rigid-compression": (
        tube("copper", od_mm=12),
        fitting(kind="rigid-compression", **SLIM_O_RING),
    ),
    "limit/socket-tight-push-in": (tube("semi-rigid", od_mm=9), PUSH_IN),
    "limit/socket-tight-rigid-compression": (tube("copper", od_mm=12.7), O_RING),
    "limit/stem-stretch-likely-loose": (tube("soft", id_mm=10.4, od_mm=16, id_tolerance_mm=0.6), COMPRESSION),
    "limit/stem-stretch-loose": (tube("soft", id_mm=11, od_mm=16), COMPRESSION),
    "limit/stem-stretch-none": (tube("soft", id_mm=10.5, od_mm=16), COMPRESSION),
    "limit/thread-binding": ("thread/g-1-4", "thread/npt-1-4"),
    "limit/thread-bore-passage": (
        thread(form_angle_deg=55, threads_per_inch=28, major_mm=7.723, gender="external"),
        thread(form_angle_deg=55, threads_per_inch=28, major_mm=7.723, gender="internal"),
    ),
    "limit/thread-bottoming": (fitting(**STUD, thread_length_mm=14), PORT),
    "limit/thread-engagement-few": (fitting(**STUD, thread_length_mm=3), PORT),
    "limit/thread-engagement-none": (fitting(**STUD, thread_length_mm=1), PORT),
    "limit/thread-entry": ("fitting/plug-g-3-8", "port/g-1-4-loop"),
    "limit/thread-form-angle": ("thread/g-1-2", "thread/npt-1-2"),
    "limit/thread-overlap-none": ("thread/g-1-4", "thread/g-3-8"),
    "limit/thread-overlap-small": (
        {"is": "thread/g-1-4", "gender": "external"},
        thread(form_angle_deg=55, threads_per_inch=19, major_mm=14.2, gender="internal"),
    ),
    "limit/thread-pitch": ("thread/m12x1", "thread/m12x1-5"),
    "limit/thread-tightest": ("thread/g-1-2", "thread/npt-1-2"),
    "limit/thread-wall-least": (fitting(**STUD, bore_mm=10.4), PORT),
    "limit/wall-thinning-barb": (tube("soft", id_mm=5, od_mm=7), BARB),
    "limit/wall-thinning-soft-compression": (tube("soft", id_mm=5, od_mm=7), COMPRESSION),
}


def broken_in_pair(base: KnowledgeBase, a: Any, b: Any) -> Iterator[str]:
    reference: TypeAdapter[Any] = TypeAdapter(PartRef)
    resolver = Resolver(base.snapshot)
    parts = (resolver.part(reference.validate_python(one), name) for one, name in ((a, "a"), (b, "b")))
    decision = decide_pair(base.snapshot, *parts, {})
    for joint in (decision.joint, *decision.others):
        for one in (*joint.findings, *(joint.reverse.findings if joint.reverse else ())):
            yield from (node.limit.id for node in one.evidence if isinstance(node, LimitCheck) and not node.holds)


@pytest.mark.parametrize("limit_id", sorted(BREAKING))
def test_limit_can_be_broken_by_a_pair(base: KnowledgeBase, limit_id: str) -> None:
    assert limit_id in set(broken_in_pair(base, *BREAKING[limit_id]))


STUB = "fitting/compression-10x16-g-1-4"
SPLITTING_LOOP = {
    "parts": {
        "cpu": {
            "kind": "block",
            "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop", "top": "port/g-1-4-loop"},
        },
        "gpu": {"kind": "block", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
        "ram": {"kind": "block", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
        "tank": {"kind": "reservoir", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
    },
    "runs": [
        {"from": "cpu.in", "to": "gpu.in", "tube": "tube/soft-10x16"},
        {"from": "cpu.out", "to": "gpu.out", "tube": "tube/soft-10x16", "fittings_from": [STUB], "fittings_to": [STUB]},
        {"from": "cpu.in", "to": "gpu.out", "tube": "tube/soft-10x16", "fittings_from": [STUB], "fittings_to": [STUB]},
        {"from": "ram.in", "to": "tank.in", "tube": "tube/soft-10x16", "fittings_from": [STUB], "fittings_to": [STUB]},
    ],
    "spacings": [
        {"ports": ["cpu.in", "cpu.out"], "distance_mm": 15},
        {"ports": ["gpu.out", "tank.in"], "distance_mm": 22},
    ],
}


def test_every_limit_of_loops_can_be_broken(base: KnowledgeBase) -> None:
    answer = base.loop(SPLITTING_LOOP)
    broken = {one.id for reported in answer.findings for one in reported.limits if not one.holds}
    assert broken >= LOOP_LIMITS


SUBSTANCES: dict[str, tuple[str, str, dict[str, float]]] = {
    "limit/couple-voltage-harsh-attack": ("metal/aluminium-6061", "metal/zinc", {}),
    "limit/couple-voltage-harsh-severe": ("metal/copper", "metal/zinc", {}),
    "limit/couple-voltage-normal-attack": ("metal/aluminium-6061", "metal/zinc", {"inhibited": 1}),
    "limit/couple-matrix-some": ("metal/silver", "metal/titanium", {}),
    "limit/couple-matrix-all": ("metal/copper", "metal/zinc", {}),
    "limit/couple-seawater": ("metal/nickel", "metal/stainless-304", {"chloride": 501}),
    "limit/couple-chloride": ("metal/nickel", "metal/stainless-304", {"chloride": 501}),
    "limit/temperature-margin": ("plastic/pmma", "fluid/distilled-water", {"coolant-temperature": 120}),
    "limit/temperature-margin-lowest": ("elastomer/epdm", "fluid/distilled-water", {"coolant-temperature": 140}),
    "limit/temperature-margin-small": ("plastic/pmma", "fluid/distilled-water", {"coolant-temperature": 45}),
}


def broken_in(findings: Iterable[FindingAnswer]) -> set[str]:
    return {reported.id for one in findings for reported in one.limits if not reported.holds}


@pytest.mark.parametrize("limit_id", sorted(SUBSTANCES))
def test_limit_can_be_broken_by_substances(base: KnowledgeBase, limit_id: str) -> None:
    a, b, conditions = SUBSTANCES[limit_id]
    assert limit_id in broken_in(base.pair(a, b, conditions=conditions).findings)


MIXED = {"limit/glycol-share-inhibitor": 9.0, "limit/glycol-share-large": 0.1}


@pytest.mark.parametrize("limit_id", sorted(MIXED))
def test_limit_can_be_broken_by_a_mixture(base: KnowledgeBase, limit_id: str) -> None:
    question = MixQuestion(glycol="propylene-glycol", concentrate_parts=1.0, water_parts=MIXED[limit_id])
    assert limit_id in broken_in(base.mix(**dict(question)).findings)


SMALL_ANODE = {
    "parts": {
        "cpu": {
            "kind": "block",
            "ports": {"in": "port/g-1-4-loop"},
            "materials": {"base-plate": "metal/copper", "plating": None},
            "areas_cm2": {"base-plate": 300.0},
        },
        "rad": {
            "kind": "radiator",
            "ports": {"in": "port/g-1-4-loop"},
            "materials": {"core": "metal/aluminium-6061", "solder": None, "tank": None},
            "areas_cm2": {"core": 100.0},
        },
    },
    "fluid": "fluid/distilled-water",
}


def test_area_ratio_can_be_broken_by_a_small_anode(base: KnowledgeBase) -> None:
    assert "limit/area-ratio" in broken_in(base.loop(SMALL_ANODE).findings)


def test_limit_for_seawater_speaks_of_metals_that_the_index_does_not_name() -> None:
    """Today's index names every metal, so the limit is shown with the rows of one metal taken out."""
    tables = load_tables()
    rows = dict(tables.rows)
    rows["material_properties"] = tuple(
        row for row in rows["material_properties"] if not row.id.startswith("property/zinc-anodic-index")
    )
    world = KnowledgeBase(Snapshot(dataclasses.replace(tables, rows=rows)))
    answer = world.pair("metal/zinc", "metal/copper")
    assert broken_in(answer.findings) == {"limit/couple-voltage-group", "limit/couple-matrix-all"}


FLOW = {
    f"quantity/{name}"
    for name in (
        *("coolant-pressure", "coolant-pressure-least", "coolant-velocity", "loop-flow", "part-flow", "reservoirs"),
        *("parts-before-pump", "height-above-surface", "pump-speed-margin", "pump-flow-share"),
    )
}
"""Broken one by one in tests/kb/loops/flow/test_flow_judged.py."""

FILL_AND_SPACE = {
    f"quantity/{name}"
    for name in (
        *(
            "expansion-space",
            "fill-ports",
            "drain-points",
            "stack-clearance",
            "fan-hole-difference",
            "fan-size-difference",
        ),
        *("screw-threads-differing", "screw-engagement", "screw-gap", "port-clearance"),
        *("added-weight-free", "added-weight-held"),
    )
}
"""Broken one by one in tests/kb/loops/test_fill_space_limits.py."""

AIR_AND_HEAT = {
    f"quantity/{name}"
    for name in (
        *(
            "coolant-to-air-delta-t",
            "coolant-to-air-delta-t-over-target",
            "coolant-above-stated",
            "coolant-temperature",
        ),
        *("coolant-temperature-high", "fan-speed-floor", "fan-speed-share", "heat-without-flow"),
        *("heat-without-radiator", "sound-over-target", "surface-temperature"),
    )
}
"""Broken one by one in tests/kb/loops/heat/test_heat_limits.py."""

WHOLE_LOOP = {
    f"quantity/{name}"
    for name in (
        *("flow-paths", "parts-backwards", "service-ports-unplugged", "freezing-margin", "boiling-margin"),
        *("wish-probability", "sound-wish-probability"),
    )
}
"""Broken one by one in tests/kb/loops/test_loop_circulation.py and its neighbours."""


@pytest.mark.parametrize(
    ("limit_id", "chloride"), [("limit/couple-matrix-relaxed", 1.0), ("limit/couple-seawater-relaxed", 501.0)]
)
def test_limit_of_couples_can_be_broken_where_the_coolant_protects_both(
    base: KnowledgeBase, limit_id: str, chloride: float
) -> None:
    fluid = "fluid/water-molybdate-azole"
    around = substance_element(base.snapshot, base.snapshot.get(Fluid, fluid), fluid)
    steel, copper = (material_element(base.snapshot, one) for one in ("metal/steel-carbon", "metal/copper"))
    joint = judge_substances(base.snapshot, steel, copper, {"quantity/chloride": chloride}, around)
    nodes = [node for finding in joint.findings for node in finding.evidence]
    assert limit_id in {node.limit.id for node in nodes if isinstance(node, LimitCheck) and not node.holds}


def test_no_limit_of_the_table_is_left_out_here(base: KnowledgeBase) -> None:
    """A limit that no question can break says nothing; add a question for a new row."""
    elsewhere = {"limit/area-ratio", "limit/couple-voltage-group"}
    elsewhere |= {"limit/couple-matrix-relaxed", "limit/couple-seawater-relaxed"}
    broken = set(BREAKING) | LOOP_LIMITS | set(SUBSTANCES) | set(MIXED) | elsewhere
    results = FLOW | FILL_AND_SPACE | AIR_AND_HEAT | WHOLE_LOOP
    performance = {row.id for row in base.snapshot.active(Limit) if row.quantity_id in results}
    assert {row.id for row in base.snapshot.active(Limit)} == broken | performance
    assert not broken & performance
