"""A property of a material is always given in one unit.

Owns: the unit of every property. Does not own: the values (`property_bounds.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty, PropertyName

_UNITS: Mapping[PropertyName, str] = MappingProxyType(
    {
        PropertyName.SEAWATER_POTENTIAL: "V",
        PropertyName.SEAWATER_POTENTIAL_AG_AGCL: "mV",
        PropertyName.ANODIC_INDEX: "V",
        PropertyName.THERMAL_CONDUCTIVITY: "W/(m K)",
        PropertyName.LINEAR_EXPANSION: "1e-6/K",
        PropertyName.SERVICE_TEMPERATURE_MAX: "degC",
        PropertyName.SERVICE_TEMPERATURE_MAX_WET: "degC",
        PropertyName.SOFTENING_TEMPERATURE: "degC",
        PropertyName.ZINC_SHARE: "%",
        PropertyName.DENSITY: "kg/m3",
    }
)

CODE = "MAT-001"
PROMISE = "A property of a material is always given in one unit."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every property in another unit."""
    for row in tables.of(MaterialProperty):
        unit = _UNITS[row.property]
        if row.unit != unit:
            what = f"{row.property.value} is given in {unit}, not in {row.unit}"
            yield tables.fault(row, "unit", CODE, what, f"convert the value and write {unit}")
