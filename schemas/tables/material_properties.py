"""Properties of materials: one value from one source a row; rival sources are several rows.

Owns: the columns of `kb/tables/material_properties.csv`.
Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


class PropertyName(StrEnum):
    """Properties that are kept of materials."""

    SEAWATER_POTENTIAL = "seawater-potential"
    SEAWATER_POTENTIAL_AG_AGCL = "seawater-potential-ag-agcl"
    ANODIC_INDEX = "anodic-index"
    THERMAL_CONDUCTIVITY = "thermal-conductivity"
    LINEAR_EXPANSION = "linear-expansion"
    SERVICE_TEMPERATURE_MAX = "service-temperature-max"
    SERVICE_TEMPERATURE_MAX_WET = "service-temperature-max-wet"
    SOFTENING_TEMPERATURE = "softening-temperature"
    ZINC_SHARE = "zinc-share"
    DENSITY = "density"


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialProperty(Sourced):
    """Properties of materials: one value from one source a row; rival sources are several rows."""

    table: ClassVar[str] = "material_properties"

    id: Annotated[str, id_column("property", "copper-seawater-potential")]
    material_id: Annotated[
        str, Column(title="material", description="The material.", example="metal/copper", refers_to=("materials",))
    ]
    property: Annotated[
        PropertyName, Column(title="property", description="Which property.", example="seawater-potential")
    ]
    value: Annotated[
        float, Column(title="value", description="The value, or the lower end of a range.", example="-0.36")
    ]
    value_high: Annotated[float | None, Column(title="upper value", description="Upper end of a range.", example="70")]
    unit: Annotated[
        str,
        Column(
            title="unit", description="Unit of the value.", example="V", pattern="V|mV|W/\\(m K\\)|1e-6/K|degC|%|kg/m3"
        ),
    ]
    condition: Annotated[
        str | None,
        Column(
            title="condition",
            description="Under which condition the value holds: electrode, flow, load, temperature.",
            example="against the saturated calomel electrode, flowing seawater, 25 degC",
        ),
    ]
    rank_reason: Annotated[
        str | None,
        Column(
            title="reason of the rank",
            description="Why this value speaks first although it lies outside all its rivals.",
            example="The maker of the sheet speaks before a supplier; bounds use both.",
        ),
    ]
