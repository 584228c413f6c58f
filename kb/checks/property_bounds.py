"""No property of a material lies outside what any material has.

Owns: holding values against the extremes of nature. Does not own: units (`property_units.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.checks.unit_floors import ABSOLUTE_ZERO_DEGC
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty, PropertyName

_POTENTIAL_V = (
    3.0  # the whole electrochemical series, lithium to gold, lies within 3.1 V of its zero; metals in water within less
)
_CONDUCTIVITY_W_PER_MK = 2500.0  # diamond, the best conductor of heat, stays below
_EXPANSION_1E6_PER_K = 500.0  # soft rubbers stay below
_DENSITY_KG_PER_M3 = 23000.0  # osmium, the densest element, stays below
_MELTING_DEGC = 4000.0  # no solid outlives it
_SOLID = (ABSOLUTE_ZERO_DEGC, _MELTING_DEGC)
_BOUNDS: Mapping[PropertyName, tuple[float, float]] = MappingProxyType(
    {
        PropertyName.SEAWATER_POTENTIAL: (-_POTENTIAL_V, _POTENTIAL_V),
        PropertyName.SEAWATER_POTENTIAL_AG_AGCL: (-1000 * _POTENTIAL_V, 1000 * _POTENTIAL_V),
        PropertyName.ANODIC_INDEX: (0.0, _POTENTIAL_V),
        PropertyName.THERMAL_CONDUCTIVITY: (0.0, _CONDUCTIVITY_W_PER_MK),
        PropertyName.LINEAR_EXPANSION: (0.0, _EXPANSION_1E6_PER_K),
        PropertyName.SERVICE_TEMPERATURE_MAX: _SOLID,
        PropertyName.SERVICE_TEMPERATURE_MAX_WET: _SOLID,
        PropertyName.SOFTENING_TEMPERATURE: _SOLID,
        PropertyName.ZINC_SHARE: (0.0, 100.0),
        PropertyName.DENSITY: (0.0, _DENSITY_KG_PER_M3),
    }
)

CODE = "MAT-002"
PROMISE = "No property of a material lies outside what any material has."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every value, or upper value, that no material has."""
    for row in tables.of(MaterialProperty):
        low, high = _BOUNDS[row.property]
        for column in ("value", "value_high"):
            value = getattr(row, column)
            if value is not None and not low <= value <= high:
                what = f"{value:g} {row.unit} lies outside {low:g} to {high:g}, which no material does"
                yield tables.fault(row, column, CODE, what, "hold sign, unit and decimal point against the source")
