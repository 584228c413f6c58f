"""Blocks by what they cool: resistance to flow, thermal resistance, contents, ports.

Owns: the columns of `kb/tables/blocks.csv`. Does not own: reading, checking across tables, or using the rows.
What a block is made of stands in wetted_materials.csv under its family.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import Sourced, id_column


def _kelvin_per_watt(title: str, description: str, example: str) -> Column:
    return Column(
        title=title,
        description=description,
        example=example,
        unit="K/W",
        quantity="thermal-resistance",
        above=0.0,
        at_most=10.0,
    )


def _drop(title: str, description: str, example: str) -> Column:
    return Column(
        title=title,
        description=description,
        example=example,
        unit="kPa",
        quantity="stated-pressure",
        above=0.0,
        at_most=200.0,
    )


def _share(title: str, description: str, example: str) -> Column:
    return Column(title=title, description=description, example=example, unit="%", at_least=0.0, at_most=100.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block(Sourced):
    """Blocks by what they cool: resistance to flow, thermal resistance, contents, ports."""

    table: ClassVar[str] = "blocks"

    id: Annotated[str, id_column("block", "cpu-micro-fin")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/block-cpu",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str, Column(title="title", description="What people call it, in words.", example="CPU block, micro-fin")
    ]
    reference_flow_l_min: Annotated[
        float,
        Column(
            title="reference flow",
            description="Flow of water at 25 degC that drop and thermal resistance belong to.",
            example="4",
            unit="l/min",
            quantity="stated-flow",
            above=0.0,
            at_most=100.0,
        ),
    ]
    drop_kpa: Annotated[float, _drop("drop", "What a usual block of this kind takes at the reference flow.", "9")]
    drop_low_kpa: Annotated[float, _drop("drop, low", "What an open block of this kind takes.", "5")]
    drop_high_kpa: Annotated[float, _drop("drop, high", "What a restrictive block of this kind takes.", "16")]
    drop_exponent: Annotated[
        float,
        Column(
            title="exponent of the drop",
            description="How the drop grows with the flow: 1 laminar, 2 fully turbulent.",
            example="1.8",
            at_least=1.0,
            at_most=2.0,
        ),
    ]
    thermal_resistance_low_k_per_w: Annotated[
        float,
        _kelvin_per_watt(
            "thermal resistance, low",
            "Of a good block: surface of the cooled part over coolant, per watt, the paste included.",
            "0.04",
        ),
    ]
    thermal_resistance_high_k_per_w: Annotated[
        float, _kelvin_per_watt("thermal resistance, high", "Of a poor block, or paste laid badly.", "0.1")
    ]
    thermal_exponent: Annotated[
        float,
        Column(
            title="exponent of the thermal resistance",
            description="How the thermal resistance falls with the flow: R ~ Q^-m; 0 if it does not.",
            example="0.25",
            at_least=0.0,
            at_most=1.0,
        ),
    ]
    core_share_percent: Annotated[
        float, _share("share of the core", "Share of the heat that the core gives to the block.", "78")
    ]
    memory_share_percent: Annotated[
        float, _share("share of the memory", "Share of the heat that the memory gives to the block.", "12")
    ]
    vrm_share_percent: Annotated[
        float,
        _share("share of the VRM", "Share of the heat that the voltage regulator (VRM) gives to the block.", "10"),
    ]
    port_id: Annotated[
        str,
        Column(title="ports", description="Its inlet and outlet.", example="port/g-1-4-loop", refers_to=("ports",)),
    ]
    volume_ml: Annotated[
        float,
        Column(
            title="contents",
            description="Coolant in it.",
            example="20",
            unit="ml",
            quantity="part-volume",
            above=0.0,
            at_most=2000.0,
        ),
    ]
