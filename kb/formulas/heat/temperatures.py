"""Temperatures against one another: coolant-to-air temperature difference, surfaces over coolant, what materials bear.

Owns: differences of temperatures and what a thermal resistance makes of heat. Does not own: the balance of heat
(`kb/formulas/heat/heat_circuit.py`), how sure it is, or limits.
"""

from __future__ import annotations

import math
from collections.abc import Iterable


def coolant_to_air_delta_t_k(inlets_c: Iterable[float], air_c: float) -> float:
    """Return how much warmer than the air of the room the hottest coolant enters a radiator [K]: max(T_i) - T_a.

    Args:
        inlets_c: T_i, coolant that enters each radiator, at least one [degC].
        air_c: T_a, air of the room [degC].

    Raises:
        ValueError: if there is no radiator.

    Validity: steady state.
    Source: definition.

    >>> coolant_to_air_delta_t_k([33.5, 31.0], 22.0)
    11.5
    """
    return max(inlets_c) - air_c


def warm_end_c(likely_c: float, high_k: float, likely_k: float) -> float:
    """Return the coolant temperature if everything uncertain turns out badly [degC]: T + (D_h - D).

    Args:
        likely_c: T, likely temperature [degC].
        high_k: D_h, upper end of coolant-to-air temperature difference [K].
        likely_k: D, likely coolant-to-air temperature difference [K].

    Validity: as the range of coolant-to-air temperature difference: independent causes, added by the root of the sum of
    squares.
    Source: definition.

    >>> warm_end_c(38.0, 15.0, 12.0)
    41.0
    """
    return likely_c + high_k - likely_k


def resistance_at_flow(resistance_k_per_w: float, flow_ratio: float, exponent: float) -> float:
    """Return the thermal resistance of a block at another flow [K/W]: R_0 q^-m; endless without flow.

    Args:
        resistance_k_per_w: R_0, at the flow it is known at [K/W].
        flow_ratio: q, flow over that flow [1].
        exponent: m, 0 (flow does not matter) to about 1 [1].

    Validity: about a third to three times the known flow.
    Source: power law through one point; films in channels go with the flow to the power 0.3 (laminar) to 0.8.

    >>> round(resistance_at_flow(0.08, 0.5, 0.4), 4)
    0.1056
    """
    return resistance_k_per_w * float(flow_ratio**-exponent) if flow_ratio > 0 else math.inf


def surface_temperature_c(coolant_c: float, heat_w: float, resistance_k_per_w: float) -> float:
    """Return the temperature of a cooled surface [degC]: T_i + R P.

    Args:
        coolant_c: T_i, coolant that enters the block [degC].
        heat_w: P, heat of the part [W].
        resistance_k_per_w: R, surface over entering coolant, per watt [K/W].

    Validity: steady state; all heat of the part goes into its block.
    Source: definition of the thermal resistance.

    >>> surface_temperature_c(36.0, 200.0, 0.125)
    61.0
    """
    return coolant_c + resistance_k_per_w * heat_w


def temperature_margin_k(service_temperature: float, coolant_temperature: float) -> float:
    """Return how far coolant stays below the greatest service temperature of a material [K]: T_max - T.

    Args:
        service_temperature: T_max, lower end where a range is given [degC].
        coolant_temperature: T, warmest coolant [degC].

    Validity: as the service temperature: unloaded, for the time its source says.
    Source: definition.

    >>> temperature_margin_k(60.0, 40.0)
    20.0
    """
    return service_temperature - coolant_temperature
