"""Questions in which every field that takes a figure is filled, for tests that go through all of them.

Owns: these questions, and putting another number into one place of them. Does not own: any promise.
"""

from __future__ import annotations

import copy
from typing import Any

TUBE, FITTING, PORT = "tube/soft-10x16", "fitting/compression-10x16-g-1-4", "port/g-1-4-loop"
PORTS = {"in": PORT, "out": PORT}

LOOP: dict[str, Any] = {
    "air_c": 25,
    "fluid": {"is": "fluid/distilled-water", "properties": {"chloride": 10}},
    "target": {"coolant_to_air_delta_t_k": 10, "sound_level_db": 40},
    "parts": {
        "tank": {"kind": "reservoir", "is": "reservoir/tube-150", "air_ml": 30},
        "pump": {
            **{
                "kind": "pump",
                "is": "pump/medium-12-v-high-flow",
                "ports": PORTS,
                "speed_percent": 80,
                "height_mm": -50,
            },
            **{"head_max_kpa": 30, "flow_max_l_min": 15, "power_w": 10},
        },
        "drive": {"kind": "pump", "ports": PORTS, "curve": [[0, 30], [8, 20], [15, 0]]},
        "strainer": {"kind": "filter", "ports": PORTS, "drop": {"flow_l_min": 4, "drop_kpa": 3}, "clogged_times": 2},
        "cpu": {
            **{"kind": "block", "is": "block/cpu-micro-fin", "heat_w": 150, "volume_ml": 20},
            **{"thermal_resistance_k_per_w": 0.1, "drop": {"flow_l_min": 4, "drop_kpa": 9}, "added_weight_g": 400},
            **{"areas_cm2": {"base-plate": 20}},
        },
        "front": {"kind": "radiator", "is": "radiator/240x30-low", "fans": {"is": "fan/balanced-120"}},
        "rad": {
            **{
                "kind": "radiator",
                "is": "radiator/240x30-medium",
                "fins_per_inch": 16,
                "thickness_mm": 30,
                "air_c": 27,
            },
            "fans": {
                **{"is": "fan/balanced-120", "speed_rpm": 1000, "speed_max_rpm": 1800, "flow_max_m3_per_h": 100},
                **{"pressure_max_pa": 20, "sound_level_dba": 30, "thickness_mm": 25, "hole_spacing_mm": 105},
            },
            "obstacles": [{"kind": "filter", "open_share_percent": 45}],
            "air_from": {"front": 30},
            "drop": {"flow_l_min": 4, "drop_kpa": 2},
            "screws": {"length_mm": 30, "washer_mm": 1, "behind_plate_mm": 4},
            "place": {
                **{"depth_mm": 80, "length_mm": 300, "width_mm": 130, "fan_size_mm": 120, "hole_spacing_mm": 105},
                "port_clearance_mm": 60,
            },
        },
    },
    "runs": [
        {
            **{"from": one, "to": other, "tube": TUBE, "length_mm": 300, "bends_deg": 90, "bend_radius_mm": 40},
            **{"fittings_from": [FITTING], "fittings_to": [FITTING]},
        }
        for one, other in (
            *(("tank.out", "pump.in"), ("pump.out", "drive.in"), ("drive.out", "strainer.in")),
            *(("strainer.out", "cpu.in"), ("cpu.out", "front.in"), ("front.out", "rad.in"), ("rad.out", "tank.in")),
        )
    ],
    "spacings": [{"ports": ["cpu.in", "cpu.out"], "distance_mm": 30}],
    "conditions": {"coolant-temperature": 40},
}

INLINE: dict[str, dict[str, Any]] = {
    "tube": {
        **{"kind": "tube", "family": "family/tube-soft", "id_mm": 10, "od_mm": 16, "wall_mm": 3},
        **{"id_tolerance_mm": 0.2, "od_tolerance_mm": 0.2},
    },
    "thread": {
        **{"kind": "thread", "form_angle_deg": 55, "threads_per_inch": 19, "pitch_mm": 1.337, "major_mm": 13.157},
        **{"pitch_diameter_mm": 12.3, "minor_mm": 11.4, "taper_on_diameter": 0.0625, "gauge_length_mm": 6},
    },
    "port": {
        **{"kind": "port", "thread": "thread/g-1-4", "thread_depth_min_mm": 12},
        **{"spotface_diameter_min_mm": 20, "spotface_depth_max_mm": 1},
    },
    "seal": {
        **{"kind": "seal", "o_ring_id_mm": 11, "o_ring_id_tolerance_mm": 0.1},
        **{"section_mm": 2, "section_tolerance_mm": 0.1},
    },
    "fitting": {
        "kind": "fitting",
        "ends": {
            "a": {
                **{"kind": "male-thread", "thread": "thread/g-1-4", "thread_length_mm": 5},
                **{"collar_diameter_mm": 18, "bore_mm": 9},
            },
            "b": {"kind": "soft-compression", "barb_od_mm": 10.4, "collar_bore_mm": 15.3, "insertion_depth_mm": 12},
            "c": {"kind": "rigid-compression", "socket_bore_mm": 12.2, "groove_diameter_mm": 15.2},
        },
    },
}


def with_figure(question: dict[str, Any], path: str, value: float) -> dict[str, Any]:
    """Return a question with another number at a path such as `parts.pump.curve.0.1`."""
    changed = copy.deepcopy(question)
    *way, last = (int(step) if step.isdigit() else step for step in path.split("."))
    here: Any = changed
    for step in way:
        here = here[step]
    here[last] = value
    return changed
