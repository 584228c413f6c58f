"""Fluids: coolants, waters and what else may touch the parts.

Owns: the columns of `kb/tables/fluids.csv`. Does not own: reading, checking across tables, or using the rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, ClassVar

from schemas.columns.columns import Column
from schemas.columns.provenance import id_column
from schemas.tables.roles import WithRoles


class FluidBase(StrEnum):
    """What a fluid mainly is."""

    WATER = "water"
    PROPYLENE_GLYCOL = "propylene-glycol"
    ETHYLENE_GLYCOL = "ethylene-glycol"
    ALCOHOL = "alcohol"
    OIL = "oil"


class ShareBasis(StrEnum):
    """What a share refers to."""

    VOLUME = "volume"
    MASS = "mass"
    NONE = "none"


class Stated(StrEnum):
    """Whether something is so, is not so, or is not known."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class FluidUse(StrEnum):
    """What a fluid is for."""

    COOLANT = "coolant"
    ENGINE_COOLANT = "engine-coolant"
    BASE_WATER = "base-water"
    CONCENTRATE = "concentrate"
    DIELECTRIC = "dielectric"
    CLEANER = "cleaner"
    NEVER = "never"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fluid(WithRoles):
    """Fluids: coolants, waters and what else may touch the parts."""

    table: ClassVar[str] = "fluids"

    id: Annotated[str, id_column("fluid", "propylene-glycol-inhibited-premix")]
    family_id: Annotated[
        str,
        Column(
            title="family",
            description="The nearest family the row belongs to.",
            example="family/propylene-glycol-inhibited",
            refers_to=("families",),
        ),
    ]
    title: Annotated[
        str,
        Column(
            title="title", description="What people call it, in words.", example="inhibited propylene glycol, premixed"
        ),
    ]
    base: Annotated[
        FluidBase | None,
        Column(title="base", description="What the fluid mainly is besides water.", example="propylene-glycol"),
    ]
    glycol_share_percent: Annotated[
        float | None,
        Column(
            title="glycol share",
            description="Share of glycol in the fluid.",
            example="25",
            unit="%",
            quantity="glycol-share",
            at_least=0.0,
            at_most=100.0,
        ),
    ]
    share_basis: Annotated[
        ShareBasis,
        Column(title="basis of the share", description="Whether the share is by volume or by mass.", example="volume"),
    ]
    inhibited: Annotated[
        Stated, Column(title="inhibited", description="Whether it carries corrosion inhibitors.", example="yes")
    ]
    biocide: Annotated[
        Stated,
        Column(
            title="biocide", description="Whether it carries a biocide or is biostatic by its share.", example="yes"
        ),
    ]
    particles: Annotated[
        Stated, Column(title="particles", description="Whether solid particles float in it.", example="no")
    ]
    dyed: Annotated[Stated, Column(title="dyed", description="Whether it carries a dye.", example="no")]
    service_interval_months: Annotated[
        float | None,
        Column(
            title="change after",
            description="Months after which it is usually changed.",
            example="24",
            unit="months",
            quantity="months-in-service",
            above=0.0,
            at_most=120.0,
        ),
    ]
    protects_from_percent: Annotated[
        float | None,
        Column(
            title="protects from",
            description="Share of glycol by volume from which its inhibitors protect and growth stops; empty if it "
            "hangs on no share.",
            example="25",
            unit="%",
            quantity="glycol-share",
            at_least=0.0,
            at_most=100.0,
        ),
    ]
    protects_iron_from_percent: Annotated[
        float | None,
        Column(
            title="protects iron from",
            description="Share of glycol by volume from which its inhibitors protect iron and steel, where that is "
            "more than for other metals.",
            example="40",
            unit="%",
            quantity="glycol-share",
            at_least=0.0,
            at_most=100.0,
        ),
    ]
    use: Annotated[
        FluidUse,
        Column(
            title="use",
            description="What it is for; what is no coolant ranks behind those that are.",
            example="coolant",
        ),
    ]
