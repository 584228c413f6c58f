"""Loops made up at random: parts of all kinds, joined in a ring or anyhow, with numbers anywhere within their bounds.

Owns: the strategy. Does not own: what is promised of the answers (`promises.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from schemas.questions.choices import Section

PORT = "port/g-1-4-loop"
PORTS = st.sampled_from([("in", "out"), ("in",), ("out",), ("a", "b", "c"), ("in", "out", "in-2", "out-2")])
FLUIDS = st.sampled_from(
    [
        "fluid/distilled-water",
        "fluid/propylene-glycol-inhibited-premix",
        "fluid/propylene-glycol-inhibited",
        "fluid/mineral-oil",
        "fluid/acetone",
    ]
)
FITTINGS = st.sampled_from(["fitting/compression-10x16-g-1-4", "fitting/elbow-45-g-1-4", "fitting/plug-g-1-4"])
TUBES = st.sampled_from(["tube/soft-10x16", "tube/copper-b88-3-8-l", "tube/petg-12x10"])
ACTIVE = st.sampled_from(
    [
        "fitting/tee-g-1-4-female",
        "fitting/y-g-1-4-female",
        "fitting/ball-valve-g-1-4-female",
        "fitting/cross-g-1-4-female",
    ]
)
FANS = st.sampled_from(["fan/low-speed-120", "fan/static-pressure-120", "fan/balanced-140"])
RADIATORS = st.sampled_from(["radiator/120x30-low", "radiator/240x60-high", "radiator/480x45-medium"])
BLOCKS = st.sampled_from(["block/cpu-micro-fin", "block/gpu-full-cover", "block/memory"])
PUMPS = st.sampled_from(["pump/medium-12-v-high-flow", "pump/strong-24-v", "pump/aquarium-mains"])
RESERVOIRS = st.sampled_from(["reservoir/tube-150", "reservoir/tube-250"])


def number(low: float, high: float) -> SearchStrategy[float]:
    """Numbers within bounds, their ends often."""
    return st.sampled_from([low, high]) | st.floats(low, high)


DROP = st.fixed_dictionaries({"flow_l_min": number(0.01, 1000), "drop_kpa": number(1e-6, 1000)})
LENGTH = number(0.01, 199)
PLACE = st.fixed_dictionaries({}, optional={"depth_mm": LENGTH, "fan_size_mm": LENGTH, "port_clearance_mm": LENGTH})
FAN_SETUP = st.fixed_dictionaries(
    {"is": FANS},
    optional={
        "count": st.integers(0, 4),
        "stopped": st.integers(0, 4),
        "arrangement": st.sampled_from(["push", "pull", "push-pull"]),
        "speed_rpm": number(0, 20_000),
        "speed_max_rpm": number(0.001, 20_000),
        "flow_max_m3_per_h": number(0.001, 10_000),
        "pressure_max_pa": number(0.001, 5000),
    },
)
SCREWS = st.fixed_dictionaries(
    {"length_mm": LENGTH},
    optional={"thread": st.just("m3"), "washer_mm": number(0, 49), "behind_plate_mm": number(0, 99)},
)


def _device(kind: str, archetypes: SearchStrategy[str], **more: SearchStrategy[Any]) -> SearchStrategy[dict[str, Any]]:
    optional = {"is": archetypes, "volume_ml": number(0, 100_000), "height_mm": number(-19_999, 19_999), **more}
    ports = PORTS.map(lambda names: dict.fromkeys(names, PORT))
    return st.fixed_dictionaries({"kind": st.just(kind), "ports": ports}, optional=optional)


CURVE = st.tuples(number(0.001, 1000), number(0.001, 1000)).map(lambda ends: [[0, ends[0]], [ends[1], 0]])
HEAT = number(0, 500) | number(0, 100_000)
PART = st.one_of(
    _device("block", BLOCKS, drop=DROP, heat_w=HEAT, thermal_resistance_k_per_w=number(1e-9, 10), place=PLACE),
    _device("pump", PUMPS, speed_percent=number(0, 100), curve=CURVE, head_max_kpa=number(1e-6, 1000)),
    _device(
        "radiator",
        RADIATORS,
        drop=DROP,
        fans=FAN_SETUP,
        fins_per_inch=number(0.001, 59.9),
        thickness_mm=LENGTH,
        air_c=number(-20, 60),
        place=PLACE,
        screws=SCREWS,
    ),
    _device("reservoir", RESERVOIRS, air_ml=number(0, 100_000)),
    _device("filter", st.nothing(), drop=DROP, clogged_times=number(1, 1000)),
    st.fixed_dictionaries({"kind": st.just("fitting"), "is": ACTIVE}, optional={"closed": st.just(True)}),
)
RUN = st.fixed_dictionaries(
    {},
    optional={
        "tube": TUBES,
        "length_mm": number(0.001, 19_999),
        "bends_deg": number(0, 3600),
        "fittings_from": st.lists(FITTINGS, max_size=2),
        "fittings_to": st.lists(FITTINGS, max_size=2),
    },
)
REST = st.fixed_dictionaries(
    {},
    optional={
        "fluid": FLUIDS,
        "air_c": number(-20, 60),
        "target": st.fixed_dictionaries({"coolant_to_air_delta_t_k": number(0.001, 60)}),
        "sections": st.lists(st.sampled_from([one.value for one in Section]), min_size=1, unique=True),
        "detail": st.just("all"),
    },
)


def ports_of(name: str, part: Mapping[str, Any]) -> list[str]:
    """Return the ports of a part that runs lead to."""
    return [f"{name}.{port}" for port in (("a", "b") if part["kind"] == "fitting" else part["ports"])]


@st.composite
def loops(draw: st.DrawFn) -> dict[str, Any]:
    """A loop, in a ring or anyhow."""
    parts = {f"part-{at}": part for at, part in enumerate(draw(st.lists(PART, min_size=1, max_size=8)))}
    radiators = [name for name, part in parts.items() if part["kind"] == "radiator"]
    for name in radiators[1:]:
        parts[name]["air_from"] = {radiators[0]: draw(number(0, 100))}
    ends = [(ports_of(name, part)[0], ports_of(name, part)[-1]) for name, part in parts.items()]
    pairs = [(out, into) for (_, out), (into, _) in zip(ends, [*ends[1:], ends[0]], strict=True)]
    every = [port for name, part in parts.items() for port in ports_of(name, part)]
    pairs += draw(st.lists(st.tuples(st.sampled_from(every), st.sampled_from(every)), max_size=4))
    runs = [{"from": start, "to": end, **draw(RUN)} for start, end in pairs if start != end]
    return {"parts": parts, "runs": runs, **draw(REST)}
