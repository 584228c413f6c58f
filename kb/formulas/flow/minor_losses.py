"""What bends, fittings and changes of bore take from the flow, as loss coefficients.

Owns: loss coefficients from geometry, their change of bore, and the drop they make.
Does not own: coefficients that are only known by kind of part (resistances.csv).
A loss coefficient K means nothing without the bore whose dynamic pressure it multiplies; every function says which.
"""

from __future__ import annotations

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.tube_flow import dynamic_pressure_kpa, reynolds_number

LIBRARY = "fluids"
_SMALLEST_CRANE_RATIO = 1.0


def local_drop_kpa(
    flow_l_min: float, bore_mm: float, coefficient: float, laminar_coefficient: float, coolant: Coolant
) -> float:
    """Return the drop [kPa] of a local loss: (K + K1 / Re) rho w^2 / 2, with the sign of the flow.

    Args:
        flow_l_min: flow [l/min]; negative backwards.
        bore_mm: the bore that K, K1, Re and w refer to [mm], above 0.
        coefficient: K, loss coefficient at high Reynolds numbers.
        laminar_coefficient: K1, what viscosity adds; 0 if unknown.
        coolant: rho and mu.

    Raises:
        ZeroDivisionError: if the bore is 0.

    Validity: steady flow; neighbours less than some ten bores apart disturb one another and their losses do not add.
    Source: definition; the form with K1 after Hooper (1981).

    >>> from kb.formulas.coolant.coolant import water_at
    >>> round(local_drop_kpa(4.0, 10.0, 1.5, 0.0, water_at(25.0)), 3)
    0.539
    """
    reynolds = reynolds_number(flow_l_min, bore_mm, coolant)
    if reynolds < 1e-9:  # noqa: PLR2004 - nothing moves
        return 0.0
    total = coefficient + laminar_coefficient / reynolds
    drop = total * dynamic_pressure_kpa(flow_l_min, bore_mm, coolant)
    return drop if flow_l_min > 0 else -drop


def coefficient_on_bore(coefficient: float, from_bore_mm: float, to_bore_mm: float) -> float:
    """Return a loss coefficient referred to another bore: K (d2 / d1)^4.

    Args:
        coefficient: K on the first bore.
        from_bore_mm: d1 [mm], above 0.
        to_bore_mm: d2 [mm].

    Raises:
        ZeroDivisionError: if the first bore is 0.

    Source: the same drop written with two dynamic pressures; Crane TP-410 divides by the ratio to the fourth power.

    >>> coefficient_on_bore(1.0, 8.0, 16.0)
    16.0
    """
    return coefficient * (to_bore_mm / from_bore_mm) ** 4


def contraction_coefficient(wide_bore_mm: float, narrow_bore_mm: float) -> float:
    """Return K of a sharp contraction, on the narrow bore: 0.5 (1 - b^2), b = d2 / d1; 0 where nothing narrows.

    Args:
        wide_bore_mm: d1, before [mm], above 0.
        narrow_bore_mm: d2, after [mm].

    Raises:
        ZeroDivisionError: if the wide bore is 0.

    Validity: square edges, turbulent; other handbooks give up to 40 % more.
    Source: Crane TP-410, as implemented in package fluids.

    >>> contraction_coefficient(12.7, 6.35)
    0.375
    """
    from fluids.fittings import contraction_sharp  # noqa: PLC0415

    if narrow_bore_mm >= wide_bore_mm:
        return 0.0
    return float(contraction_sharp(wide_bore_mm, narrow_bore_mm, method="Crane"))


def expansion_coefficient(narrow_bore_mm: float, wide_bore_mm: float) -> float:
    """Return K of a sudden expansion, on the narrow bore: (1 - b^2)^2, b = d1 / d2; 0 where nothing widens.

    Args:
        narrow_bore_mm: d1, before [mm].
        wide_bore_mm: d2, after [mm], above 0.

    Raises:
        ZeroDivisionError: if the wide bore is 0.

    Validity: turbulent; the whole jump at one place.
    Source: Borda and Carnot, as in Crane TP-410 and package fluids.

    >>> expansion_coefficient(6.35, 12.7)
    0.5625
    """
    from fluids.fittings import diffuser_sharp  # noqa: PLC0415

    if narrow_bore_mm >= wide_bore_mm:
        return 0.0
    return float(diffuser_sharp(narrow_bore_mm, wide_bore_mm))


def narrow_passage_coefficient(before_mm: float, narrow_mm: float, after_mm: float) -> float:
    """Return K, on the narrow bore, of a short narrow hole between two wider ones, such as a fitting in a tube.

    Args:
        before_mm: bore before [mm], above 0.
        narrow_mm: bore of the hole [mm].
        after_mm: bore after [mm], above 0.

    Validity and source: sum of `contraction_coefficient` and `expansion_coefficient`.

    >>> round(narrow_passage_coefficient(10.0, 8.0, 10.0), 3)
    0.31
    """
    return contraction_coefficient(before_mm, narrow_mm) + expansion_coefficient(narrow_mm, after_mm)


def bend_coefficient(radius_over_bore: float, angle_deg: float, bore_mm: float) -> float:
    """Return K of a smooth bend, on the bore, the friction of its length included.

    Args:
        radius_over_bore: r/d, radius of the middle line over the bore, 1 or more; a tighter one counts as 1.
        angle_deg: how far the tube turns [deg], above 0.
        bore_mm: d [mm], above 0; the handbook's friction factor of clean steel belongs to it.

    Validity: r/d 1 to 20; handbooks differ by a third (0.29 to 0.38 at r/d 1.5), this one is the highest of them; a
    kinked tube has no coefficient at all. The handbook's smallest pipe is 15 mm: smaller bores are extrapolated.
    Source: Crane TP-410, bends, as implemented in package fluids.

    >>> round(bend_coefficient(1.5, 90.0, 12.7), 3)
    0.382
    """
    from fluids.fittings import bend_rounded_Crane  # noqa: PLC0415

    ratio = max(radius_over_bore, _SMALLEST_CRANE_RATIO)
    return float(bend_rounded_Crane(Di=bore_mm * 1e-3, angle=angle_deg, bend_diameters=ratio))


def coefficient_of_flow_factor(flow_factor_m3_per_h: float, bore_mm: float) -> float:
    """Return K, on a bore, of a part whose flow factor Kv is printed: 1.6e9 d^4 / Kv^2 with d in m.

    Args:
        flow_factor_m3_per_h: Kv, flow of water at 1 bar of drop [m3/h], above 0. Cv of US sheets is Kv / 0.865.
        bore_mm: d [mm].

    Raises:
        ZeroDivisionError: if Kv is 0.

    Source: definition of Kv, as implemented in package fluids; Crane TP-410M example 7-2.

    >>> round(coefficient_of_flow_factor(500.0, 154.0), 1)
    3.6
    """
    from fluids.fittings import Kv_to_K  # noqa: PLC0415

    return float(Kv_to_K(flow_factor_m3_per_h, bore_mm * 1e-3))
