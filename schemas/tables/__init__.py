"""The tables: one row class a file.

Owns: the list of tables and their order of loading. Does not own: columns (one file each) or contents (`kb/tables/`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from schemas.tables.additives import Additive
from schemas.tables.aliases import Alias
from schemas.tables.assumptions import Assumption
from schemas.tables.blocks import Block
from schemas.tables.cautions import Caution
from schemas.tables.disputes import Dispute
from schemas.tables.evidence import Evidence
from schemas.tables.families import Family
from schemas.tables.fan_points import FanPoint
from schemas.tables.fans import Fan
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.fluids import Fluid
from schemas.tables.formulas import Formula
from schemas.tables.limits import Limit
from schemas.tables.maintenance import Maintenance
from schemas.tables.material_properties import MaterialProperty
from schemas.tables.materials import Material
from schemas.tables.messages import Message
from schemas.tables.metal_couples import MetalCouple
from schemas.tables.metal_groups import MetalGroup
from schemas.tables.ports import Port
from schemas.tables.procedures import Procedure
from schemas.tables.pump_points import PumpPoint
from schemas.tables.pumps import Pump
from schemas.tables.quantities import Quantity
from schemas.tables.radiators import Radiator
from schemas.tables.renamed_ids import RenamedId
from schemas.tables.requirements import Requirement
from schemas.tables.reservoirs import Reservoir
from schemas.tables.resistances import Resistance
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.tables.seals import Seal
from schemas.tables.sources import Source
from schemas.tables.thread_tolerances import ThreadTolerance
from schemas.tables.threads import Thread
from schemas.tables.tolerances import Tolerance
from schemas.tables.tubes import Tube
from schemas.tables.wetted_materials import WettedMaterial

_ROW_CLASSES: tuple[type[Any], ...] = (
    Source,
    Formula,
    Quantity,
    Caution,
    Requirement,
    Family,
    Thread,
    ThreadTolerance,
    Port,
    Tube,
    Seal,
    Fitting,
    FittingEnd,
    Pump,
    PumpPoint,
    Block,
    Reservoir,
    Resistance,
    Tolerance,
    Material,
    MaterialProperty,
    MetalGroup,
    MetalCouple,
    Fluid,
    FluidProperty,
    Radiator,
    Fan,
    FanPoint,
    Additive,
    WettedMaterial,
    Procedure,
    Maintenance,
    Rule,
    RuleCondition,
    Dispute,
    Limit,
    Assumption,
    Alias,
    Evidence,
    Message,
    RenamedId,
)

ROW_CLASSES: Mapping[str, type[Any]] = MappingProxyType({row_class.table: row_class for row_class in _ROW_CLASSES})
