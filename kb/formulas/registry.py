"""The registry of formulas: which function an id of formulas.csv means, and what its worked example puts in.

Owns: id -> function and arguments of the example. Does not own: the functions (one subject a file); title, equation,
symbols, validity, source and result of the example (rows of formulas.csv).
A check holds the ids of both together, a test the results.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.coolant.expansion import expansion_ml, expansion_room_ml, shut_in_pressure_bar
from kb.formulas.coolant.glycol import share_by_mass_percent, share_by_volume_percent
from kb.formulas.coolant.leak_test import pressure_per_kelvin_bar, pressure_test_bar
from kb.formulas.coolant.mixing_amounts import dose_mg, mix_amounts
from kb.formulas.fit import (
    counts,
    fan_screws,
    o_ring_compression,
    port_fit,
    radiator_stack,
    soft_tube,
    thread_geometry,
    thread_mating,
)
from kb.formulas.fit.fan_screws import Clamped
from kb.formulas.fit.tolerance_stack import root_sum_square
from kb.formulas.flow import minor_losses, pump_curve, tube_flow
from kb.formulas.flow.flat_tube_flow import flat_tube_friction
from kb.formulas.flow.flow_elements import MeasuredPart, Pump
from kb.formulas.flow.flow_paths import FlowGraph, Link
from kb.formulas.flow.pipe_network import Branch, solve_network
from kb.formulas.flow.reference_point import coolant_factor, reference_drop_kpa
from kb.formulas.flow.tube_friction import darcy_friction_factor, tube_drop_kpa
from kb.formulas.galvanic import anode_rate_factor, area_ratio, couple_voltage, environments_failed
from kb.formulas.heat.air_properties import Air, air_at
from kb.formulas.heat.air_side import air_conductance, duct_film, fin_efficiency, louvered_film
from kb.formulas.heat.coolant_film import coolant_film, flat_tube_nusselt
from kb.formulas.heat.core_resistance import Obstacle, core_drop_pa, end_losses, obstacle_drop_pa, obstacle_loss
from kb.formulas.heat.effectiveness import Section, crossflow_effectiveness, exchange, series_conductance
from kb.formulas.heat.fan_curve import curve_of_points
from kb.formulas.heat.fan_laws import (
    flow_at_speed,
    power_at_speed,
    pressure_at_speed,
    sound_at_speed,
    sounds_together,
    speed_share_percent,
)
from kb.formulas.heat.fin_core import FinCore
from kb.formulas.heat.heat_circuit import HeatRejection, balance_heat
from kb.formulas.heat.louver_fin import LouverFin, colburn_j, fanning_f, louver_factors
from kb.formulas.heat.operating_point import operating_point
from kb.formulas.heat.probability import wish_probability_percent
from kb.formulas.heat.rectangular_duct import developed_nusselt, laminar_friction_constant
from kb.formulas.heat.temperatures import (
    coolant_to_air_delta_t_k,
    resistance_at_flow,
    surface_temperature_c,
    temperature_margin_k,
    warm_end_c,
)


@dataclass(frozen=True, slots=True)
class RegisteredFormula:
    """A formula as code.

    Attributes:
        function: numbers in, numbers out; its docstring says symbols, validity, errors and source.
        arguments: what the worked example puts in.
        read: picks the number of the example out of what the function returns.
    """

    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    read: Callable[[Any], float] = float

    def worked_example(self) -> float:
        """Return the result of the worked example, in the unit of the formula."""
        return self.read(self.function(*self.arguments))


_WATER = Coolant(25.0, 997.05, 0.89, 4181.0, 0.6065)  # rounded, 25 degC
_CLAMPED = Clamped(25.0, 0.3, 0.42)
_PUMP = pump_curve.pump_curve([(0.0, 40.0), (20.0, 0.0)], 5.0, 2.5)
_FIN = LouverFin(1.2, 6.5, 28.0, 1.5, 8.0, 0.08, 16.0, 16.0, 2.0, 2.432548)
_AIR = Air(1.184, 0.0000184, 0.0262, 1006.0)  # rounded, 25 degC
_CORE = FinCore(
    face_m2=0.0144,
    free_m2=0.0108,
    fin_m2=0.4,
    tube_m2=0.06,
    hydraulic_diameter_m=0.00243,
    coolant_m2=0.05,
    channel_m2=0.000024,
    channel_diameter_m=0.0028,
    channel_aspect=0.08,
    channel_length_m=0.12,
    parallel_channels=12.0,
    passes=2,
    fin=_FIN,
)
_O_RING = FlowGraph([Link("block", "a", "b", 4.0), Link("radiator", "b", "a", 4.0)])
_LOOP = (Branch("pump", "a", "b", Pump(_PUMP, 1.0)), Branch("block", "b", "a", MeasuredPart(5.0, 10.0, 1.0)))

_FIT = {
    "formula/stated-value": RegisteredFormula(counts.stated_value, (650.0,)),
    "formula/count": RegisteredFormula(counts.count_of, (("pump", "standby pump"),)),
    "formula/differing": RegisteredFormula(counts.differing, ("M3", "6-32 UNC")),
    "formula/size-difference": RegisteredFormula(counts.size_difference_mm, (124.5, 105.0)),
    "formula/excess": RegisteredFormula(counts.excess, (12.5, 10.0)),
    "formula/root-sum-square": RegisteredFormula(root_sum_square, ((3.0, 4.0),)),
    "formula/socket-clearance": RegisteredFormula(o_ring_compression.socket_clearance_mm, (12.2, 12.0)),
    "formula/o-ring-compression": RegisteredFormula(o_ring_compression.o_ring_compression_percent, (3.43, 15.9, 10.0)),
    "formula/o-ring-stretch": RegisteredFormula(o_ring_compression.o_ring_stretch_percent, (12.42, 12.7)),
    "formula/barb-interference": RegisteredFormula(soft_tube.barb_interference_percent, (6.858, 6.35)),
    "formula/od-on-barb": RegisteredFormula(soft_tube.od_on_barb_mm, (10.0, 16.0, 10.4)),
    "formula/wall-thinning": RegisteredFormula(soft_tube.wall_thinning_percent, (10.0, 16.0, 10.4)),
    "formula/clamping-squeeze": RegisteredFormula(soft_tube.clamping_squeeze_percent, (10.0, 16.0, 10.4, 15.4)),
    "formula/thread-pitch": RegisteredFormula(thread_geometry.pitch_mm, (19.0,)),
    "formula/thread-triangle-height": RegisteredFormula(thread_geometry.triangle_height_mm, (1.0, 55.0)),
    "formula/whitworth-thread-height": RegisteredFormula(thread_geometry.whitworth_height_mm, (1.337,)),
    "formula/npt-thread-height": RegisteredFormula(thread_geometry.npt_height_mm, (1.4111,)),
    "formula/metric-pitch-diameter": RegisteredFormula(thread_geometry.metric_pitch_diameter_mm, (10.0, 1.0)),
    "formula/metric-minor-diameter": RegisteredFormula(thread_geometry.metric_minor_mm, (10.0, 1.0)),
    "formula/npt-pitch-diameter": RegisteredFormula(thread_geometry.npt_small_end_pitch_diameter_mm, (13.716, 18.0)),
    "formula/thread-pitch-diameter": RegisteredFormula(
        thread_geometry.basic_pitch_diameter_mm, (13.716, 1.4111, 60.0, 0.0625, 5.786)
    ),
    "formula/diameter-along-taper": RegisteredFormula(
        thread_geometry.diameter_along_taper_mm, (12.1257, 5.786, 0.0625)
    ),
    "formula/thread-angle-difference": RegisteredFormula(thread_mating.form_angle_difference_deg, (55.0, 60.0)),
    "formula/thread-pitch-difference": RegisteredFormula(thread_mating.pitch_difference_mm, (1.3368, 1.4111)),
    "formula/pitch-diameter-clearance": RegisteredFormula(thread_mating.pitch_diameter_clearance_mm, (19.772, 19.793)),
    "formula/pitch-error-on-diameter": RegisteredFormula(thread_mating.pitch_error_on_diameter, (1.0, 55.0)),
    "formula/turns-until-binding": RegisteredFormula(thread_mating.turns_until_binding, (0.3617, 1.4111, 0.0625, 0.0)),
    "formula/thread-crest-overlap": RegisteredFormula(thread_mating.crest_overlap_percent, (13.157, 11.445, 0.856)),
    "formula/largest-bore": RegisteredFormula(thread_mating.largest_bore_mm, (11.445, 1.0)),
    "formula/wall-under-thread": RegisteredFormula(thread_mating.wall_under_thread_mm, (11.445, 9.0)),
    "formula/bore-over-name": RegisteredFormula(thread_mating.bore_over_name, (9.445, 6.35)),
    "formula/engaged-turns": RegisteredFormula(port_fit.engaged_turns, (5.0, 12.0, 1.337)),
    "formula/bottoming-clearance": RegisteredFormula(port_fit.bottoming_clearance_mm, (5.0, 12.0)),
    "formula/seat-clearance": RegisteredFormula(port_fit.seat_clearance_mm, (19.0, 18.0)),
    "formula/collar-gap": RegisteredFormula(port_fit.collar_gap_mm, (25.0, 20.0, 21.0)),
    "formula/screw-engagement": RegisteredFormula(fan_screws.engagement_diameters, (30.0, _CLAMPED, 3.0)),
    "formula/screw-gap": RegisteredFormula(fan_screws.least_gap_mm, (30.0, _CLAMPED, 6.5)),
    "formula/longest-screw": RegisteredFormula(fan_screws.longest_length_mm, (_CLAMPED, 6.5, 0.5)),
    "formula/fans-depth": RegisteredFormula(radiator_stack.fans_depth_mm, (25.0, 1.0, 2)),
    "formula/stack-clearance": RegisteredFormula(radiator_stack.stack_room_mm, (60.0, 30.0, 26.0)),
    "formula/bend-depth": RegisteredFormula(radiator_stack.port_need_mm, (25.0, 30.0, 40.0, 16.0)),
    "formula/port-clearance": RegisteredFormula(radiator_stack.port_clearance_mm, (90.0, 25.0, 48.0)),
}
_CHEMISTRY = {
    "formula/couple-voltage": RegisteredFormula(couple_voltage, (-0.76, -0.36)),
    "formula/couple-matrix": RegisteredFormula(environments_failed, (0.0, 1.0, 0.0)),
    "formula/area-ratio": RegisteredFormula(area_ratio, (300.0, 100.0)),
    "formula/anode-rate-factor": RegisteredFormula(anode_rate_factor, (300.0, 100.0)),
    "formula/temperature-margin": RegisteredFormula(temperature_margin_k, (60.0, 40.0)),
    "formula/glycol-share-by-volume": RegisteredFormula(share_by_volume_percent, (1.0, 3.0, 95.0)),
    "formula/glycol-share-by-mass": RegisteredFormula(share_by_mass_percent, (50.0, 1113.0, 998.2)),
}
_FLOW = {
    "formula/coolant-velocity": RegisteredFormula(tube_flow.velocity_m_per_s, (4.0, 10.0)),
    "formula/reynolds-number": RegisteredFormula(tube_flow.reynolds_number, (4.0, 10.0, _WATER)),
    "formula/dynamic-pressure": RegisteredFormula(tube_flow.dynamic_pressure_kpa, (4.0, 10.0, _WATER)),
    "formula/column-pressure": RegisteredFormula(tube_flow.column_pressure_kpa, (500.0, _WATER)),
    "formula/coolant-pressure": RegisteredFormula(tube_flow.coolant_pressure_bar, (12.0, 3.0)),
    "formula/tube-friction-factor": RegisteredFormula(darcy_friction_factor, (100000.0, 0.001, 10.0)),
    "formula/tube-pressure-drop": RegisteredFormula(tube_drop_kpa, (4.0, 10.0, 2000.0, 0.0, _WATER)),
    "formula/local-loss": RegisteredFormula(minor_losses.local_drop_kpa, (4.0, 10.0, 1.5, 0.0, _WATER)),
    "formula/loss-on-bore": RegisteredFormula(minor_losses.coefficient_on_bore, (1.0, 8.0, 16.0)),
    "formula/sharp-contraction": RegisteredFormula(minor_losses.contraction_coefficient, (3.0, 2.0)),
    "formula/sudden-expansion": RegisteredFormula(minor_losses.expansion_coefficient, (6.35, 12.7)),
    "formula/flow-factor": RegisteredFormula(minor_losses.coefficient_of_flow_factor, (2.312, 15.0)),
    "formula/power-law-drop": RegisteredFormula(reference_drop_kpa, (2.0, 4.0, 8.0, 2.0)),
    "formula/coolant-factor": RegisteredFormula(
        coolant_factor, (1.75, _WATER, Coolant(30.0, 1020.0, 2.1, 3850.0, 0.45))
    ),
    "formula/rectangular-duct-friction": RegisteredFormula(laminar_friction_constant, (0.5,)),
    "formula/flat-tube-friction": RegisteredFormula(flat_tube_friction, (960.0, 0.0)),
    "formula/pump-head": RegisteredFormula(pump_curve.head_kpa, (_PUMP, 5.0, 0.5)),
    "formula/pump-flow-share": RegisteredFormula(pump_curve.pump_flow_share_percent, (4.0, 0.5, 16.0)),
    "formula/pump-speed-margin": RegisteredFormula(pump_curve.pump_speed_margin_percent, (40.0, 1200.0, 4800.0)),
    "formula/hydraulic-power": RegisteredFormula(pump_curve.hydraulic_power_w, (5.0, 30.0)),
    "formula/flow-balance": RegisteredFormula(solve_network, (_LOOP, "a"), lambda state: state.flows_l_min["block"]),
}
_HEAT = {
    "formula/air-density": RegisteredFormula(air_at, (25.0, 101_325.0), lambda air: air.density_kg_per_m3),
    "formula/air-viscosity": RegisteredFormula(air_at, (25.0, 101_325.0), lambda air: air.viscosity_pa_s * 1e6),
    "formula/air-conductivity": RegisteredFormula(
        air_at, (25.0, 101_325.0), lambda air: air.conductivity_w_per_m_k * 1e3
    ),
    "formula/fan-flow-at-speed": RegisteredFormula(flow_at_speed, (100.0, 1.25)),
    "formula/fan-pressure-at-speed": RegisteredFormula(pressure_at_speed, (16.0, 1.25)),
    "formula/power-at-speed": RegisteredFormula(power_at_speed, (1.0, 1.25)),
    "formula/sound-at-speed": RegisteredFormula(sound_at_speed, (20.0, 1.1)),
    "formula/sounds-together": RegisteredFormula(sounds_together, ((30.0, 30.0),)),
    "formula/speed-share": RegisteredFormula(speed_share_percent, (900.0, 1200.0)),
    "formula/louver-heat-transfer": RegisteredFormula(colburn_j, (_FIN, 200.0)),
    "formula/louver-friction": RegisteredFormula(fanning_f, (_FIN, 500.0)),
    "formula/fin-efficiency": RegisteredFormula(fin_efficiency, (60.0, 380.0, 0.06, 8.0)),
    "formula/core-end-losses": RegisteredFormula(end_losses, (0.75,)),
    "formula/core-pressure-drop": RegisteredFormula(core_drop_pa, (_CORE, louver_factors(_FIN), _AIR, 0.02)),
    "formula/louver-film": RegisteredFormula(louvered_film, (_CORE, louver_factors(_FIN), _AIR, 0.02)),
    "formula/duct-film": RegisteredFormula(duct_film, (_CORE, _AIR)),
    "formula/air-conductance": RegisteredFormula(air_conductance, (_CORE, 60.0, 380.0)),
    "formula/filter-loss": RegisteredFormula(obstacle_loss, (Obstacle.FILTER, 0.5, 100.0)),
    "formula/obstacle-drop": RegisteredFormula(obstacle_drop_pa, (2.1, 0.0144, _AIR, 0.02)),
    "formula/fan-balance": RegisteredFormula(
        operating_point,
        (curve_of_points([(0, 20), (108, 0)]), lambda flow: 20_000 * flow**2),
        lambda point: 3600 * point.flow_m3_per_s,
    ),
    "formula/rectangular-duct-nusselt": RegisteredFormula(developed_nusselt, (0.7,)),
    "formula/flat-tube-nusselt": RegisteredFormula(flat_tube_nusselt, (1000.0, 4.3, 0.08, 90.0)),
    "formula/coolant-film": RegisteredFormula(
        coolant_film, (_CORE, _WATER, 4.0), lambda film: film.conductance_w_per_k
    ),
    "formula/series-conductance": RegisteredFormula(series_conductance, (3.0, 6.0)),
    "formula/crossflow-effectiveness": RegisteredFormula(crossflow_effectiveness, (5.0, 0.7)),
    "formula/radiator-conductance": RegisteredFormula(
        exchange, ((Section(20.0, 15.0),), 300.0, 1), lambda found: found.conductance_w_per_k
    ),
    "formula/heat-balance": RegisteredFormula(
        balance_heat,
        (_O_RING, {"block": 280.0}, {"radiator": HeatRejection(20.0, 30.0, 25.0, {})}, 70.0),
        lambda state: state.inlets_c["radiator"],
    ),
    "formula/coolant-to-air-delta-t": RegisteredFormula(coolant_to_air_delta_t_k, ((33.5, 31.0), 22.0)),
    "formula/warm-end": RegisteredFormula(warm_end_c, (38.0, 15.0, 12.0)),
    "formula/wish-probability": RegisteredFormula(wish_probability_percent, (12.5, 7.9, 9.7, 12.5)),
    "formula/thermal-resistance": RegisteredFormula(resistance_at_flow, (0.08, 0.5, 0.4)),
    "formula/surface-temperature": RegisteredFormula(surface_temperature_c, (36.0, 200.0, 0.125)),
}
_FILL = {
    "formula/tube-contents": RegisteredFormula(tube_flow.contents_ml, (10.0, 1000.0)),
    "formula/loop-contents": RegisteredFormula(tube_flow.loop_contents_ml, ((250.0, 120.0, 78.5),)),
    "formula/coolant-growth": RegisteredFormula(expansion_ml, (1000.0, 998.207, 992.216)),
    "formula/expansion-space": RegisteredFormula(expansion_room_ml, (80.0, 6.0)),
    "formula/shut-in-pressure": RegisteredFormula(shut_in_pressure_bar, (20.0, 6.0, 20.0, 40.0)),
    "formula/pressure-per-kelvin": RegisteredFormula(pressure_per_kelvin_bar, (0.5, 25.0), lambda bar: 1000 * bar),
    "formula/air-test-pressure": RegisteredFormula(pressure_test_bar, (0.5, 80.0)),
    "formula/concentrate-amount": RegisteredFormula(
        mix_amounts, (950.0, 25.0, 95.0), lambda amounts: amounts.concentrate_ml
    ),
    "formula/additive-dose": RegisteredFormula(dose_mg, (800.0, 250.0)),
}

FORMULAS: Mapping[str, RegisteredFormula] = MappingProxyType({**_FIT, **_CHEMISTRY, **_FLOW, **_HEAT, **_FILL})
