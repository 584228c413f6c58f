"""What a solved network promises: what enters leaves, cycles close, more resistance never means more flow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.coolant.coolant import Coolant, water_at
from kb.formulas.flow.flow_elements import Chain, Clogged, Element, LocalLoss, MeasuredPart, Pump, TubeLength
from kb.formulas.flow.pipe_network import (
    CLOSED_TO,
    SMALLEST_KPA,
    Branch,
    NetworkError,
    NetworkState,
    closed,
    replaced,
    solve_network,
)
from kb.formulas.flow.pump_curve import PumpCurve, head_kpa, pump_curve

WATER: Coolant = water_at(30.0)
CURVE: PumpCurve = pump_curve([(0, 38), (4, 36), (8, 32), (12, 26), (16, 17), (20, 6), (22, 0)], 5.0, 1.5)
PUMP = Pump(CURVE, 1.0)
BLOCK = MeasuredPart(4.0, 8.0, 1.8)
TUBE = TubeLength(10.0, 500.0, 0.0015, WATER)
ROUNDING = 1e-12  # of the largest power

part = st.builds(
    MeasuredPart,
    reference_flow_l_min=st.floats(1, 10),
    reference_drop_kpa=st.floats(0.2, 30),
    exponent=st.floats(1, 2),
)
tube = st.builds(
    TubeLength,
    bore_mm=st.floats(5, 20),
    length_mm=st.floats(20, 2000),
    roughness_mm=st.floats(0, 0.05),
    coolant=st.just(WATER),
)
loss = st.builds(
    LocalLoss,
    bore_mm=st.floats(4, 15),
    coefficient=st.floats(0.05, 10),
    laminar_coefficient=st.floats(0, 2000),
    coolant=st.just(WATER),
)
element = st.one_of(part, tube, loss)
speed = st.floats(0.1, 1.0)


@st.composite
def networks(draw: st.DrawFn) -> tuple[Branch, ...]:
    """Draw a ring with pumps and parts, and some branches across it."""
    size = draw(st.integers(3, 8))
    ring: list[Element] = [draw(element) for _ in range(size)]
    ring[0] = Chain((Pump(CURVE, draw(speed)), ring[0]))
    if draw(st.booleans()):
        ring[1] = Chain((Pump(CURVE, draw(st.floats(0, 1))), ring[1]))
    nodes = [f"n{at}" for at in range(size)]
    branches = [Branch(f"r{at}", nodes[at], nodes[(at + 1) % size], one) for at, one in enumerate(ring)]
    for at in range(draw(st.integers(0, 4))):
        start, end = draw(st.sampled_from(nodes)), draw(st.sampled_from(nodes))
        branches.append(Branch(f"x{at}", start, end, draw(element)))
    return tuple(branches)


def left_at_nodes(branches: Sequence[Branch], state: NetworkState) -> dict[str, float]:
    left: dict[str, float] = defaultdict(float)
    for branch in branches:
        left[branch.start] -= state.flows_l_min[branch.name]
        left[branch.end] += state.flows_l_min[branch.name]
    return left


def ring(*elements: Element) -> tuple[Branch, ...]:
    size = len(elements)
    return tuple(Branch(f"e{at}", f"n{at}", f"n{(at + 1) % size}", one) for at, one in enumerate(elements))


@settings(max_examples=80, deadline=None)
@given(networks())
def test_what_enters_a_node_leaves_it(branches: tuple[Branch, ...]) -> None:
    state = solve_network(branches, "n0")
    largest = max(abs(flow) for flow in state.flows_l_min.values())
    assert all(abs(left) <= 1e-9 * largest for left in left_at_nodes(branches, state).values())


@settings(max_examples=80, deadline=None)
@given(networks())
def test_every_branch_takes_the_difference_of_its_nodes(branches: tuple[Branch, ...]) -> None:
    """Holds in the tree by making; in the other branches only if the cycles close."""
    state = solve_network(branches, "n0")
    largest = max(abs(drop) for drop in state.drops_kpa.values())
    for branch in branches:
        difference = state.pressures_kpa[branch.start] - state.pressures_kpa[branch.end]
        assert branch.element.drop_kpa(state.flows_l_min[branch.name]) == state.drops_kpa[branch.name]
        assert state.drops_kpa[branch.name] == pytest.approx(difference, abs=1e-9 * max(largest, 1))


@settings(max_examples=60, deadline=None)
@given(networks())
def test_what_the_pumps_give_the_resistances_take(branches: tuple[Branch, ...]) -> None:
    """Tellegen: the power of all branches together is what flows around cycles times the pressure left there."""
    state = solve_network(branches, "n0")
    flows = [abs(flow) for flow in state.flows_l_min.values()]
    drops = [abs(drop) for drop in state.drops_kpa.values()]
    power = sum(state.flows_l_min[branch.name] * state.drops_kpa[branch.name] for branch in branches)
    assert state.loop_error_kpa <= max(CLOSED_TO * sum(drops), SMALLEST_KPA)
    assert abs(power) <= state.loop_error_kpa * sum(flows) + ROUNDING * max(flows) * max(drops)


@settings(max_examples=60, deadline=None)
@given(networks())
def test_the_order_of_branches_and_the_reference_change_no_flow(branches: tuple[Branch, ...]) -> None:
    """A bridge nearly in balance fixes its flow only to the root of what pressure remains: hence the tolerance."""
    first = solve_network(branches, "n0").flows_l_min
    again = solve_network(branches[::-1], "n2").flows_l_min
    largest = max(abs(flow) for flow in first.values())
    for name, flow in first.items():
        assert again[name] == pytest.approx(flow, abs=1e-4 * max(largest, 0.1))


@settings(max_examples=60, deadline=None)
@given(st.lists(element, min_size=2, max_size=6), st.integers(0, 5), st.floats(1.1, 20))
def test_more_resistance_never_means_more_flow(parts: list[Element], which: int, times: float) -> None:
    before = ring(PUMP, *parts)
    name = f"e{1 + which % len(parts)}"
    after = replaced(before, name, lambda one: Clogged(one, times))
    assert solve_network(after, "n0").flows_l_min["e0"] <= solve_network(before, "n0").flows_l_min["e0"] + 1e-9


@settings(max_examples=60, deadline=None)
@given(st.lists(element, min_size=1, max_size=5), speed, speed)
def test_a_faster_pump_never_means_less_flow(parts: list[Element], one: float, other: float) -> None:
    slow, fast = sorted((one, other))
    flows = [solve_network(ring(Pump(CURVE, at), *parts), "n0").flows_l_min["e0"] for at in (slow, fast)]
    assert flows[0] <= flows[1] + 1e-9


@given(element)
@settings(max_examples=40, deadline=None)
def test_two_equal_branches_split_equally(one: Element) -> None:
    branches = (
        Branch("pump", "a", "b", PUMP),
        Branch("left", "b", "c", one),
        Branch("right", "b", "c", one),
        Branch("back", "c", "a", TUBE),
    )
    flows = solve_network(branches, "a").flows_l_min
    assert flows["left"] == pytest.approx(flows["pump"] / 2, rel=1e-6)
    assert flows["right"] == pytest.approx(flows["pump"] / 2, rel=1e-6)


def test_of_two_unequal_branches_the_open_one_gets_more() -> None:
    branches = (
        Branch("pump", "a", "b", PUMP),
        Branch("open", "b", "a", MeasuredPart(4.0, 4.0, 2.0)),
        Branch("tight", "b", "a", MeasuredPart(4.0, 16.0, 2.0)),
    )
    flows = solve_network(branches, "a").flows_l_min
    assert flows["open"] == pytest.approx(2 * flows["tight"], rel=1e-9)  # root of four


def test_one_branch_less_leaves_more_for_the_other_and_less_for_the_whole() -> None:
    branches = (
        Branch("pump", "a", "b", PUMP),
        Branch("cpu", "b", "c", BLOCK),
        Branch("one", "c", "a", BLOCK),
        Branch("other", "c", "a", BLOCK),
    )
    both, single = solve_network(branches, "a").flows_l_min, solve_network(closed(branches, "one"), "a").flows_l_min
    assert single["other"] > both["other"]
    assert single["pump"] < both["pump"]


def test_the_operating_point_is_where_head_meets_drop() -> None:
    state = solve_network(ring(PUMP, BLOCK, TUBE), "n0")
    flow = state.flows_l_min["e0"]
    assert head_kpa(CURVE, flow, 1.0) == pytest.approx(BLOCK.drop_kpa(flow) + TUBE.drop_kpa(flow), rel=1e-9)


def test_a_second_pump_in_series_adds_its_head() -> None:
    one, two = (solve_network(ring(*[PUMP] * count, BLOCK, BLOCK), "n0") for count in (1, 2))
    assert two.flows_l_min["e0"] > one.flows_l_min["e0"]
    assert two.drops_kpa["e0"] == pytest.approx(two.drops_kpa["e1"])
    assert -two.drops_kpa["e0"] - two.drops_kpa["e1"] == pytest.approx(two.drops_kpa["e2"] + two.drops_kpa["e3"])


def test_a_second_pump_beside_the_first_shares_the_flow() -> None:
    branches = (Branch("p", "a", "b", PUMP), Branch("q", "a", "b", PUMP), Branch("block", "b", "a", BLOCK))
    state = solve_network(branches, "a")
    assert state.flows_l_min["p"] == pytest.approx(state.flows_l_min["block"] / 2, rel=1e-9)
    assert state.flows_l_min["block"] > solve_network(closed(branches, "q"), "a").flows_l_min["block"]


def test_a_dead_pump_beside_a_running_one_is_flowed_through_backwards() -> None:
    branches = (Branch("p", "a", "b", PUMP), Branch("q", "a", "b", Pump(CURVE, 0.0)), Branch("block", "b", "a", BLOCK))
    assert solve_network(branches, "a").flows_l_min["q"] < 0


def test_a_dead_pump_in_series_costs_flow_but_does_not_stop_it() -> None:
    both = ring(PUMP, PUMP, BLOCK)
    dead = replaced(both, "e1", lambda _: Pump(CURVE, 0.0))
    alone = ring(PUMP, BLOCK)
    flows = [solve_network(one, "n0").flows_l_min["e0"] for one in (dead, alone, both)]
    assert 0 < flows[0] < flows[1] < flows[2]


def test_without_a_running_pump_nothing_moves() -> None:
    state = solve_network(ring(Pump(CURVE, 0.0), BLOCK, TUBE), "n0")
    assert set(state.flows_l_min.values()) == {0.0}
    assert set(state.pressures_kpa.values()) == {0.0}


def test_a_closed_valve_in_the_only_way_stops_the_flow() -> None:
    """Behind the pump stands its head at no flow."""
    branches = ring(PUMP, BLOCK, TUBE)
    state = solve_network(closed(branches, "e2"), "n0")
    assert state.flows_l_min["e0"] == 0
    assert state.pressures_kpa["n2"] == pytest.approx(38)


def test_a_dead_end_has_no_flow() -> None:
    state = solve_network((*ring(PUMP, BLOCK), Branch("end", "n1", "drain", TUBE)), "n0")
    assert state.flows_l_min["end"] == 0
    assert state.pressures_kpa["drain"] == state.pressures_kpa["n1"]


def test_two_circuits_are_solved_side_by_side() -> None:
    other = tuple(
        branch._replace(name=f"z{branch.name}", start="z" + branch.start, end="z" + branch.end)
        for branch in ring(PUMP, BLOCK, BLOCK)
    )
    state = solve_network((*ring(PUMP, BLOCK), *other), "n0")
    assert state.flows_l_min["ze0"] == pytest.approx(solve_network(other, "zn0").flows_l_min["ze0"], rel=1e-9)


def test_a_pump_turned_round_drives_the_loop_backwards() -> None:
    turned = (Branch("pump", "b", "a", PUMP), Branch("block", "a", "b", BLOCK), Branch("other", "b", "c", BLOCK))
    assert solve_network(turned, "a").flows_l_min["pump"] > 0
    against = (Branch("pump", "b", "a", PUMP), Branch("block", "b", "a", BLOCK))
    assert solve_network(against, "a").flows_l_min["block"] < 0


def test_the_highest_pressure_stands_behind_the_pump_and_the_lowest_before_it() -> None:
    state = solve_network(ring(TUBE, PUMP, TUBE, BLOCK, TUBE), "n0")
    assert max(state.pressures_kpa, key=lambda node: state.pressures_kpa[node]) == "n2"
    assert min(state.pressures_kpa, key=lambda node: state.pressures_kpa[node]) == "n1"


def test_a_name_that_stands_twice_is_refused() -> None:
    with pytest.raises(NetworkError, match="one name"):
        solve_network((Branch("p", "a", "b", PUMP), Branch("p", "b", "a", BLOCK)), "a")


def test_a_reference_outside_the_network_is_refused() -> None:
    with pytest.raises(NetworkError, match="no branch touches"):
        solve_network(ring(PUMP, BLOCK), "elsewhere")


def test_changing_what_is_not_there_is_refused() -> None:
    with pytest.raises(NetworkError, match="no branch is called"):
        closed(ring(PUMP, BLOCK), "valve")


def test_branches_side_by_side_share_the_flow_however_many_they_are() -> None:
    """More of them than are solved number by number."""
    count = 60
    beside = tuple(Branch(f"b{at}", "n1", "n0", MeasuredPart(4.0, 8.0 + at, 1.8)) for at in range(count))
    branches = (Branch("pump", "n0", "n1", PUMP), *beside)
    state = solve_network(branches, "n0")
    drops = [state.drops_kpa[branch.name] for branch in beside]
    assert drops == pytest.approx([drops[0]] * count, rel=1e-9)
    assert sum(state.flows_l_min[branch.name] for branch in beside) == pytest.approx(state.flows_l_min["pump"])
    assert abs(state.flows_l_min["b0"]) > abs(state.flows_l_min[f"b{count - 1}"]) > 0
