"""Heat around any loop: energy closes, coolant mixes by flow, air passes from radiator to radiator."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.flow.flow_paths import Branch, FlowGraph, Link, links_of
from kb.formulas.heat.heat_circuit import HeatRejection, balance_heat
from kb.formulas.solvers.linear import NoSolutionError

CAPACITY = 69.3


@st.composite
def flow_graphs(draw: st.DrawFn) -> tuple[list[Link], dict[str, float], dict[str, HeatRejection]]:
    """Rings over common nodes, each with its own flow: at every node as much enters as leaves."""
    links: list[Link] = []
    heats: dict[str, float] = {}
    rejections: dict[str, HeatRejection] = {}
    nodes = draw(st.integers(3, 7))
    for ring in range(draw(st.integers(1, 4))):
        order = draw(st.permutations(range(nodes)))[: draw(st.integers(2, nodes))]
        flow = draw(st.floats(0.2, 12.0))
        for place, node in enumerate(order):
            name = f"{ring}.{place}"
            links.append(Link(name, f"n{node}", f"n{order[(place + 1) % len(order)]}", flow))
            kind = draw(st.sampled_from(("tube", "block", "radiator")))
            if kind == "block":
                heats[name] = draw(st.floats(0.1, 600.0) | st.just(0.0))
            elif kind == "radiator":
                air = draw(st.floats(1.0, 60.0))
                conductance = min(air, flow * CAPACITY) * draw(st.floats(0.01, 0.99))
                rejections[name] = HeatRejection(conductance, air, draw(st.floats(10.0, 45.0)), {})
    for name in list(rejections)[1:]:
        if draw(st.booleans()):
            other = draw(st.sampled_from([one for one in rejections if one != name]))
            rejections[name] = rejections[name]._replace(air_from={other: draw(st.floats(0.05, 0.9))})
    return links, heats, rejections


@settings(max_examples=150, deadline=None)
@given(loop=flow_graphs())
def test_energy_closes_in_every_loop_and_at_every_node(
    loop: tuple[list[Link], dict[str, float], dict[str, HeatRejection]],
) -> None:
    links, heats, rejections = loop
    state = balance_heat(FlowGraph(links), heats, rejections, CAPACITY)
    assert abs(state.balance_error) < 1e-6
    warm = sum(heats.get(name, 0.0) for name in state.inlets_c)
    assert state.heat_w == pytest.approx(warm)
    for node, mixed in state.nodes_c.items():
        entering = [link for link in links if link.end == node]
        carried = sum(link.flow_l_min * state.outlets_c[link.name] for link in entering)
        assert carried / sum(link.flow_l_min for link in entering) == pytest.approx(mixed, rel=1e-9, abs=1e-6)
    for name, rejection in state.rejected_w.items():
        air = (state.air_out_c[name] - state.air_in_c[name]) * rejections[name].air_capacity_w_per_k
        assert air == pytest.approx(rejection, rel=1e-9, abs=1e-6)
    lost = {name for name, heat in heats.items() if heat > 0} - set(state.inlets_c)
    assert lost == {*state.stranded, *state.unrejected}


def test_two_branches_mix_by_their_flows() -> None:
    links = [
        Link("hot", "a", "b", 1.0),
        Link("cold", "a", "b", 3.0),
        Link("radiator", "b", "a", 4.0),
    ]
    state = balance_heat(FlowGraph(links), {"hot": 100.0}, {"radiator": HeatRejection(10.0, 30.0, 20.0, {})}, CAPACITY)
    assert state.outlets_c["hot"] - state.inlets_c["hot"] == pytest.approx(100 / CAPACITY)
    mixed = (state.outlets_c["hot"] + 3 * state.outlets_c["cold"]) / 4
    assert state.inlets_c["radiator"] == pytest.approx(mixed) == pytest.approx(30.0)


def test_radiators_that_breathe_each_others_air_are_solved_together() -> None:
    links = [Link("block", "a", "b", 4.0), Link("one", "b", "c", 4.0), Link("two", "c", "a", 4.0)]
    fresh = {name: HeatRejection(10.0, 20.0, 25.0, {}) for name in ("one", "two")}
    fed = {"one": fresh["one"]._replace(air_from={"two": 0.5}), "two": fresh["two"]._replace(air_from={"one": 0.3})}
    alone, mutual = (
        balance_heat(FlowGraph(links), {"block": 300.0}, rejections, CAPACITY) for rejections in (fresh, fed)
    )
    assert mutual.air_in_c["one"] == pytest.approx(0.5 * 25 + 0.5 * mutual.air_out_c["two"])
    assert mutual.air_in_c["two"] == pytest.approx(0.7 * 25 + 0.3 * mutual.air_out_c["one"])
    assert mutual.inlets_c["one"] > alone.inlets_c["one"]
    assert abs(mutual.balance_error) < 1e-12


def test_heat_without_flow_or_without_a_radiator_is_named_and_never_divided_by_nothing() -> None:
    ways = [Branch("block", "a", "b"), Branch("back", "b", "a"), Branch("dry", "c", "d")]
    links = links_of(ways, {"block": 2.0, "back": 2.0, "dry": 0.0})
    state = balance_heat(FlowGraph(links), {"block": 50.0, "dry": 80.0}, {}, CAPACITY)
    assert (state.stranded, state.unrejected) == (("dry",), ("block",))
    assert not state.nodes_c


def test_a_branch_that_runs_backwards_is_turned_round() -> None:
    assert links_of([Branch("w", "a", "b")], {"w": -1.5}) == (Link("w", "b", "a", 1.5),)


def test_circuits_do_not_warm_one_another() -> None:
    links = [
        *(Link("cpu", "a", "b", 2.0), Link("first", "b", "a", 2.0)),
        *(Link("gpu", "c", "d", 3.0), Link("second", "d", "c", 3.0)),
    ]
    rejections = {name: HeatRejection(10.0, 20.0, 25.0, {}) for name in ("first", "second")}
    state = balance_heat(FlowGraph(links), {"cpu": 100.0, "gpu": 300.0}, rejections, CAPACITY)
    assert state.inlets_c["first"] == pytest.approx(35.0)
    assert state.inlets_c["second"] == pytest.approx(55.0)


def test_coolant_that_goes_round_without_a_radiator_is_balanced_too() -> None:
    links = [
        *(Link("in", "r", "a", 1.0), Link("block", "a", "b", 5.0), Link("bypass", "b", "a", 4.0)),
        *(Link("out", "b", "c", 1.0), Link("radiator", "c", "r", 1.0)),
    ]
    state = balance_heat(
        FlowGraph(links), {"block": 100.0}, {"radiator": HeatRejection(10.0, 30.0, 20.0, {})}, CAPACITY
    )
    assert state.inlets_c["radiator"] == pytest.approx(30.0)
    assert state.outlets_c["block"] - state.inlets_c["block"] == pytest.approx(100 / CAPACITY / 5)
    assert abs(state.balance_error) < 1e-12


def test_where_rounding_leaves_a_place_without_inflow_no_temperatures_are_made_up() -> None:
    links = [Link("block", "a", "b", 1.1e-6), Link("radiator", "b", "c", 1.1e-6)]
    with pytest.raises(NoSolutionError):
        balance_heat(FlowGraph(links), {"block": 10.0}, {"radiator": HeatRejection(1.0, 30.0, 20.0, {})}, CAPACITY)
