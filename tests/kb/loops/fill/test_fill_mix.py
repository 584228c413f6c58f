"""What is bought and poured in: ready to use, concentrate and water, additives."""

from __future__ import annotations

from typing import Any

import pytest
from fill_space_asking import fill_report, question
from hypothesis import given
from hypothesis import strategies as st

from kb.formulas.coolant.glycol import share_by_volume_percent
from kb.formulas.coolant.mixing_amounts import mix_amounts
from kb.store.snapshot import Snapshot
from schemas.answers.fill import CoolantMix

CONCENTRATE = "fluid/propylene-glycol-inhibited"


def mix(snapshot: Snapshot, fluid: Any, **conditions: float) -> CoolantMix:
    reported = fill_report(snapshot, question() | {"fluid": fluid, "conditions": conditions})
    assert reported.mix is not None
    poured = reported.mix.concentrate_ml + reported.mix.water_ml + reported.mix.premix_ml
    assert poured == pytest.approx(reported.total_ml.likely)
    return reported.mix


def test_a_premix_is_poured_in_as_bought(snapshot: Snapshot) -> None:
    reported = mix(snapshot, "fluid/propylene-glycol-inhibited-premix")
    assert reported.ready_to_use
    assert (reported.concentrate_ml, reported.water_ml) == (0, 0)
    assert reported.glycol_percent_volume == 25


def test_plain_water_is_water(snapshot: Snapshot) -> None:
    reported = mix(snapshot, "fluid/distilled-water")
    assert reported.premix_ml == reported.concentrate_ml == 0
    assert reported.freezing_point_c == 0


def test_a_concentrate_is_diluted_to_the_share_stated(snapshot: Snapshot) -> None:
    reported = mix(snapshot, CONCENTRATE, **{"glycol-share": 40})
    assert not reported.ready_to_use
    assert share_by_volume_percent(reported.concentrate_ml, reported.water_ml, 95) == pytest.approx(40)
    assert reported.glycol_percent_volume == 40


def test_a_concentrate_without_a_share_is_diluted_to_the_assumed_one_and_says_so(snapshot: Snapshot) -> None:
    reported = mix(snapshot, CONCENTRATE)
    assert share_by_volume_percent(reported.concentrate_ml, reported.water_ml, 95) == pytest.approx(25)
    assumed = fill_report(snapshot, question() | {"fluid": CONCENTRATE}).assumed
    assert "assumption/mix-share" in {one.row for one in assumed}


def test_a_share_on_the_label_counts_like_one_among_the_conditions(snapshot: Snapshot) -> None:
    label = {"is": CONCENTRATE, "properties": {"glycol-share": 30}}
    assert mix(snapshot, label).concentrate_ml == mix(snapshot, CONCENTRATE, **{"glycol-share": 30}).concentrate_ml


def test_more_glycol_freezes_later(snapshot: Snapshot) -> None:
    points = [mix(snapshot, CONCENTRATE, **{"glycol-share": share}).freezing_point_c for share in (15, 25, 40, 50)]
    assert all(point is not None and point < 0 for point in points)
    assert points == sorted(points, key=lambda point: -(point or 0))


def test_there_is_more_to_buy_than_the_loop_holds(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question())
    assert reported.mix is not None
    assert reported.mix.buy_ml == pytest.approx(reported.total_ml.high * (1 + reported.mix.reserve_percent / 100))


def test_an_oil_is_poured_in_as_bought_and_its_density_is_not_known(snapshot: Snapshot) -> None:
    reported = fill_report(snapshot, question() | {"fluid": "fluid/mineral-oil"})
    assert reported.mix is not None
    assert reported.mix.premix_ml == pytest.approx(reported.total_ml.likely)
    assert reported.mix.freezing_point_c is None
    assert reported.expansion is None
    assert reported.verdict.value == "unknown"


def test_an_additive_is_dosed_for_this_loop(snapshot: Snapshot) -> None:
    fluid = {"is": "fluid/water-inhibited", "additives": ["additive/molybdate", "additive/benzotriazole"]}
    reported = fill_report(snapshot, question() | {"fluid": fluid})
    litres = reported.total_ml.likely / 1000
    molybdate, azole = sorted(reported.additives, key=lambda one: one.id, reverse=True)
    assert molybdate.amount_low_mg == pytest.approx(150 * litres)
    assert molybdate.amount_high_mg == pytest.approx(500 * litres)
    assert azole.amount_low_mg is None  # no dose was found in a document


@given(st.floats(1, 1e5), st.floats(0, 95), st.floats(0.1, 99.9))
def test_amounts_sum_to_the_contents_and_give_the_share_back(contents: float, share: float, strength: float) -> None:
    if share > strength:
        with pytest.raises(ValueError, match="larger share"):
            mix_amounts(contents, share, strength)
        return
    amounts = mix_amounts(contents, share, strength)
    assert sum(amounts) == pytest.approx(contents)
    assert share_by_volume_percent(*amounts, strength) == pytest.approx(share, abs=1e-9)
