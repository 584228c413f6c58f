"""Galvanic couples: voltage, anode and the effect of areas.

Owns: formulas of a couple. Does not own: potentials (rows of material_properties.csv), limits or verdicts
(`kb/compatibility/materials/galvanic_couples.py`).
"""

from __future__ import annotations


def couple_voltage(first_potential: float, second_potential: float) -> float:
    """Return the open-circuit voltage of a couple [V]: |E1 - E2|.

    Args:
        first_potential: E1, potential of one metal in a series [V].
        second_potential: E2, potential of the other in the same series, against the same electrode [V].

    Validity: both potentials from one series; values of different electrodes or media must never be mixed. A series
    measured in seawater ranks metals and bounds the voltage from above; it gives no rate of attack.
    Source: definition.

    >>> round(couple_voltage(-0.76, -0.36), 2)  # aluminium 6061 and copper in seawater, against calomel
    0.4
    """
    return abs(first_potential - second_potential)


def environments_failed(industrial: float, seawater: float, marine: float) -> float:
    """Return in how many of three environments a bare couple fails [-].

    Args:
        industrial: 1 if it fails in industrial air, else 0.
        seawater: 1 if it fails immersed in seawater, else 0.
        marine: 1 if it fails in sea air, else 0.

    Source: definition; the ratings are those of MIL-STD-889C (2016), Table I.

    >>> environments_failed(0.0, 1.0, 0.0)  # copper and nickel
    1.0
    """
    return industrial + seawater + marine


def anode_rate_factor(cathode_area: float, anode_area: float) -> float:
    """Return how many times faster an anode dissolves in a couple than alone: 1 + Ac / Aa.

    Args:
        cathode_area: Ac, wetted area of the more noble metal [any unit].
        anode_area: Aa, wetted area of the less noble metal [the same unit], above 0.

    Raises:
        ZeroDivisionError: if Aa is 0.

    Validity: arrival of oxygen limits the cathode on both metals; an upper bound for inhibited coolant.
    Source: Mansfeld, Corrosion 27(10), 436 (1971), catchment principle (abstract seen; this form from memory).

    >>> anode_rate_factor(300.0, 100.0)
    4.0
    """
    return 1 + cathode_area / anode_area


def area_ratio(cathode_area: float, anode_area: float) -> float:
    """Return cathode area over anode area [-]; large values concentrate the attack.

    Args:
        cathode_area: Ac [any unit].
        anode_area: Aa [the same unit], above 0.

    Raises:
        ZeroDivisionError: if Aa is 0.

    Source: definition.

    >>> area_ratio(300.0, 100.0)
    3.0
    """
    return cathode_area / anode_area
