"""Properties of every answer about substances: order, monotony, honesty of the unknown, no figure that is none."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import kb
from kb.knowledge_base import KnowledgeBase
from schemas.answers.loop import LoopAnswer
from schemas.verdict import Verdict

AskLoop = Callable[..., LoopAnswer]
BASE = kb.load()
MATERIALS, FLUIDS, ADDITIVES = (BASE.snapshot.ids((table,)) for table in ("materials", "fluids", "additives"))
METALS = tuple(one for one in MATERIALS if one.startswith("metal/"))
SUBSTANCES = (*MATERIALS, *FLUIDS, *ADDITIVES)

QUANTITIES = {
    "quantity/ph": (0.0, 14.0),
    "quantity/chloride": (0.0, 2000.0),
    "quantity/ammonium": (0.0, 100.0),
    "quantity/sulfate": (0.0, 500.0),
    "quantity/hardness": (0.0, 600.0),
    "quantity/conductivity": (0.0, 5000.0),
    "quantity/coolant-temperature": (0.0, 120.0),
    "quantity/glycol-share": (0.0, 100.0),
    "quantity/months-in-service": (0.0, 120.0),
    "quantity/inhibited": (0.0, 1.0),
    "quantity/part-stress": (0.0, 1.0),
    "quantity/biocide-present": (0.0, 1.0),
}
FLAGS = ("quantity/inhibited", "quantity/part-stress", "quantity/biocide-present")


@st.composite
def circumstances(draw: st.DrawFn) -> dict[str, float]:
    names = draw(st.lists(st.sampled_from(sorted(QUANTITIES)), max_size=4, unique=True))
    return {
        name: float(draw(st.integers(0, 1))) if name in FLAGS else draw(st.floats(*QUANTITIES[name])) for name in names
    }


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(SUBSTANCES), st.sampled_from(SUBSTANCES), circumstances())
def test_order_of_a_pair_never_matters(one: str, other: str, conditions: dict[str, float]) -> None:
    first, second = BASE.decide(one, other, conditions), BASE.decide(other, one, conditions)
    assert first.verdict is second.verdict
    assert first.joint.findings == second.joint.findings


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SUBSTANCES), st.sampled_from(SUBSTANCES), circumstances())
def test_verdict_is_that_of_the_worst_reason(one: str, other: str, conditions: dict[str, float]) -> None:
    answer = BASE.pair(one, other, conditions=conditions)
    assert answer.findings
    assert answer.verdict.severity == max(reported.verdict.severity for reported in answer.findings)


def device(material: str) -> dict[str, Any]:
    return {"kind": "sensor", "ports": {"in": "port/g-1-4-loop"}, "materials": {"body": material}}


def loop_of(materials: list[str], fluid: str, conditions: dict[str, float]) -> LoopAnswer:
    parts = {f"part-{place}": device(material) for place, material in enumerate(materials)}
    question = {"parts": parts, "fluid": fluid, "conditions": conditions, "sections": ["chemistry"], "detail": "all"}
    return BASE.loop(question)


LOOPS = st.lists(st.sampled_from(MATERIALS), min_size=1, max_size=4, unique=True)


@settings(max_examples=60, deadline=None)
@given(LOOPS, st.sampled_from(METALS), st.sampled_from(FLUIDS), circumstances())
def test_adding_a_metal_never_improves_a_loop(
    materials: list[str], metal: str, fluid: str, conditions: dict[str, float]
) -> None:
    before, after = (loop_of(some, fluid, conditions).verdict for some in (materials, [*materials, metal]))
    assert after.severity >= before.severity


@settings(max_examples=60, deadline=None)
@given(LOOPS, st.sampled_from(MATERIALS), st.sampled_from(FLUIDS), circumstances())
def test_unknown_never_becomes_compatible_by_adding_a_part(
    materials: list[str], extra: str, fluid: str, conditions: dict[str, float]
) -> None:
    if loop_of(materials, fluid, conditions).verdict is Verdict.UNKNOWN:
        assert loop_of([*materials, extra], fluid, conditions).verdict.severity >= Verdict.UNKNOWN.severity


@settings(max_examples=40, deadline=None)
@given(LOOPS, st.sampled_from(FLUIDS), circumstances(), st.randoms())
def test_order_of_devices_never_matters(
    materials: list[str], fluid: str, conditions: dict[str, float], random: Any
) -> None:
    shuffled = list(materials)
    random.shuffle(shuffled)
    first, second = (loop_of(some, fluid, conditions) for some in (materials, shuffled))
    assert first.verdict is second.verdict
    assert reasons(first) == reasons(second)


def reasons(answer: LoopAnswer) -> set[tuple[str, str, tuple[str, ...]]]:
    return {
        (reported.code, reported.verdict.value, tuple(one.id for one in reported.rules)) for reported in answer.findings
    }


@settings(max_examples=40, deadline=None)
@given(LOOPS, st.sampled_from(FLUIDS), circumstances())
def test_loop_is_as_severe_as_its_worst_pair(materials: list[str], fluid: str, conditions: dict[str, float]) -> None:
    pairs = [BASE.decide(material, fluid, conditions).verdict for material in materials]
    assert loop_of(materials, fluid, conditions).verdict.severity >= max(one.severity for one in pairs)


@pytest.mark.parametrize(
    ("rows", "columns"),
    [
        ("family/plastic", "family/glycol-coolant"),
        ("family/copper-alloy", "family/metal"),
        ("family/inhibitor", "family/metal"),
        ("family/water", "family/glycol-coolant"),
    ],
)
def test_matrix_cells_equal_single_answers(base: KnowledgeBase, rows: str, columns: str) -> None:
    conditions = {"quantity/coolant-temperature": 45.0}
    answer = base.matrix(rows, columns, conditions=conditions)
    assert len(answer.cells) == len(answer.rows) * len(answer.columns)
    for cell in answer.cells:
        assert cell.verdict is base.decide(cell.row, cell.column, conditions).verdict
        assert cell.decided_by or cell.verdict is Verdict.UNKNOWN


@pytest.mark.parametrize("fluid", ["fluid/distilled-water", "fluid/propylene-glycol-inhibited-premix"])
def test_list_of_suitable_materials_equals_single_answers_best_first(base: KnowledgeBase, fluid: str) -> None:
    answer = base.materials(fluid, limit=200)
    assert {one.id for one in answer.suitable} == set(MATERIALS)
    assert [one.verdict for one in answer.suitable] == [base.decide(one.id, fluid).verdict for one in answer.suitable]
    barred = [one.verdict is Verdict.INCOMPATIBLE for one in answer.suitable]
    assert barred == sorted(barred)
    assert answer.suitable[0].verdict is Verdict.COMPATIBLE


def figures(value: Any) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from figures(one)
    elif isinstance(value, (list, tuple)):
        for one in value:
            yield from figures(one)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["propylene-glycol", "ethylene-glycol"]),
    st.floats(0.001, 1000),
    st.floats(0, 1000),
    st.floats(0.1, 100),
    st.floats(-40, 100),
)
def test_mixtures_hold_finite_figures_or_none(
    glycol: Any, concentrate: float, water: float, percent: float, temperature: float
) -> None:
    answer = BASE.mix(glycol, concentrate, water, concentrate_glycol_percent=percent, temperature_c=temperature)
    reported = answer.to_dict()
    assert all(math.isfinite(one) for one in figures(reported))
    assert 0 < answer.glycol_percent_volume <= 100
    assert answer.glycol_percent_mass >= answer.glycol_percent_volume - 1e-9  # either glycol is denser than water
    for name in ("density_kg_per_m3", "dynamic_viscosity_mpa_s", "heat_capacity_j_per_kg_k"):
        assert reported[name] is None or reported[name] > 0


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(["propylene-glycol", "ethylene-glycol"]), st.floats(5, 40), st.floats(1, 15))
def test_more_glycol_freezes_later(glycol: Any, share: float, more: float) -> None:
    first, second = (BASE.mix(glycol, one, 100 - one).freezing_point_c for one in (share, share + more))
    assert first is not None and second is not None
    assert second < first


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SUBSTANCES), st.sampled_from(SUBSTANCES), circumstances())
def test_answers_hold_no_figure_that_is_none(one: str, other: str, conditions: dict[str, float]) -> None:
    answer = BASE.pair(one, other, conditions=conditions)
    assert all(math.isfinite(figure) for figure in figures(answer.to_dict()))
    assert "nan" not in answer.summary.lower().split()
