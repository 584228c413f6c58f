"""The finned core: geometry, films and obstacles."""

from __future__ import annotations

from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st
from radiator_bench import Bench

from kb.formulas.heat.air_properties import air_at
from kb.formulas.heat.air_side import duct_film, fin_efficiency, louvered_film
from kb.formulas.heat.coolant_film import LAMINAR_UP_TO, TURBULENT_FROM, flat_tube_nusselt
from kb.formulas.heat.core_resistance import (
    Obstacle,
    core_drop_pa,
    end_losses,
    louver_reynolds,
    obstacle_drop_pa,
    obstacle_loss,
)
from kb.formulas.heat.fin_core import FinCore, core_of, core_width_mm, share_of_core, tube_volume_ml
from kb.formulas.heat.louver_fin import BRIDGE_FROM, BRIDGE_TO, LouverFin, louver_factors
from kb.store.snapshot import Snapshot
from schemas.tables.radiators import Radiator

AIR = air_at(25.0)


def test_areas_of_a_core_by_hand(snapshot: Snapshot) -> None:
    """12 tubes of 2 mm and 13 rows of fins of 7.3 mm, 10 walls an inch of 0.06 mm, 240 mm long, 20 mm deep."""
    radiator = snapshot.get(Radiator, "radiator/240x30-low")
    core = core_of(radiator)
    walls = 240 / 2.54
    assert core_width_mm(radiator) == pytest.approx(12 * 2 + 13 * 7.3)
    assert core.face_m2 == pytest.approx(0.240 * 0.1189)
    assert core.fin_m2 == pytest.approx(2 * 13 * walls * 7.3e-3 * 20e-3)
    assert core.tube_m2 == pytest.approx(2 * 12 * walls * 2.48e-3 * 20e-3)
    assert core.free_m2 == pytest.approx(13 * walls * 2.48e-3 * 7.24e-3)
    assert core.hydraulic_diameter_m == pytest.approx(4 * core.free_m2 * 0.02 / core.air_m2)
    assert core.parallel_channels == 6
    assert tube_volume_ml(radiator) == pytest.approx(12 * 1.6 * 19.6 * 240 / 1000)


@given(share=st.floats(0.05, 1.0))
def test_a_share_of_a_core_keeps_its_shape(snapshot: Snapshot, share: float) -> None:
    whole = core_of(snapshot.get(Radiator, "radiator/240x30-low"))
    part = share_of_core(whole, share)
    assert part.free_share == pytest.approx(whole.free_share)
    assert part.air_m2 / part.free_m2 == pytest.approx(whole.air_m2 / whole.free_m2)


@pytest.mark.parametrize("radiator", ["120x30-low", "120x30-medium", "120x30-high", "480x80-low"])
def test_pressure_and_film_rise_with_the_flow_everywhere(snapshot: Snapshot, radiator: str) -> None:
    model = Bench(snapshot).model(radiator)
    flows = [model.core.face_m2 * 0.02 * step for step in range(1, 200)]
    drops = [core_drop_pa(model.core, model.factors, AIR, flow) for flow in flows]
    films = [louvered_film(model.core, model.factors, AIR, flow) for flow in flows]
    assert films == sorted(films)
    assert all(drop > 0.98 * highest for drop, highest in zip(drops, accumulate(drops, max), strict=True))
    steady = [drop for flow, drop in zip(flows, drops, strict=True) if not _bridged(model.core, flow)]
    assert steady == sorted(steady)
    assert core_drop_pa(model.core, model.factors, AIR, 0.0) == 0


def _bridged(core: FinCore, flow: float) -> bool:
    """Where the amendment bridges two branches the drop of dense fins dips by up to two percent."""
    return BRIDGE_FROM < louver_reynolds(core, AIR, flow) < BRIDGE_TO


def test_denser_fins_take_more_pressure_at_equal_flow(snapshot: Snapshot) -> None:
    models = [Bench(snapshot).model(f"120x30-{density}") for density in ("low", "medium", "high")]
    for flow in (0.003, 0.01, 0.03):
        drops = [core_drop_pa(model.core, model.factors, AIR, flow) for model in models]
        assert drops == sorted(drops)


def test_louvers_do_more_than_a_plain_passage_in_fast_air(snapshot: Snapshot) -> None:
    model = Bench(snapshot).model("120x30-medium")
    assert louvered_film(model.core, model.factors, AIR, 3 * model.core.face_m2) > 2 * duct_film(model.core, AIR)


def test_a_thick_short_fin_is_nearly_perfect_and_a_thin_long_one_is_not() -> None:
    assert fin_efficiency(50.0, 390.0, 1.0, 5.0) > 0.999
    assert fin_efficiency(100.0, 100.0, 0.03, 15.0) < 0.5
    assert fin_efficiency(0.0, 390.0, 0.06, 7.0) == 1


@pytest.mark.parametrize("edge", [LAMINAR_UP_TO, TURBULENT_FROM])
def test_the_film_in_the_tubes_has_no_step(edge: float) -> None:
    below, above = (flat_tube_nusselt(edge * (1 + side), 4.8, 0.08, 90.0) for side in (-1e-9, 1e-9))
    assert below == pytest.approx(above, rel=1e-6)


@given(st.floats(1.0, 20000.0), st.floats(1.001, 3.0))
def test_the_film_in_the_tubes_never_falls_with_the_flow(reynolds: float, factor: float) -> None:
    slow, fast = (flat_tube_nusselt(value, 4.8, 0.08, 90.0) for value in (reynolds, reynolds * factor))
    assert fast >= slow


def test_an_open_core_loses_nothing_at_its_ends() -> None:
    assert end_losses(1.0) == 0
    assert end_losses(0.5) == 0.5


def test_the_less_open_the_greater_the_loss() -> None:
    for kind in Obstacle:
        losses = [obstacle_loss(kind, share) for share in (0.9, 0.7, 0.5, 0.3)]
        assert losses == sorted(losses)
        assert losses[0] > 0
    assert obstacle_drop_pa(2.0, 0.0144, AIR, 0.0144) == pytest.approx(AIR.density_kg_per_m3)
    for share in (0.0, 1.0):
        with pytest.raises(ValueError, match="open share"):
            obstacle_loss(Obstacle.GRILLE, share)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"fin_thickness": 0.01}, "too thin"),
        ({"fin_pitch": 9.0, "fin_thickness": 0.1}, "farther apart"),
        ({"louver_pitch": 0.0}, "above 0"),
    ],
)
def test_fins_beyond_the_correlation_are_refused(change: dict[str, float], words: str) -> None:
    fin = LouverFin(1.2, 6.5, 28.0, 1.5, 8.0, 0.08, 16.0, 16.0, 2.0, 2.4325)
    with pytest.raises(ValueError, match=words):
        louver_factors(fin._replace(**change))
