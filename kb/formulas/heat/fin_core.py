"""The finned core of a radiator: areas, free passage and hydraulic diameter from its dimensions.

Owns: plane geometry of tubes and fins. Does not own: what air or coolant do there.
The folded fin is taken as upright walls one fin pitch apart; louvers are slits without loss of area. Fins stand outside
the first and the last tube too, so there is one row of fins more than there are tubes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

from kb.formulas.heat.louver_fin import LouverFin

INCH_MM = 25.4
_MM = 1e-3


class CoreDimensions(Protocol):
    """The dimensions of a radiator's core: anything that has them will do."""

    @property
    def core_depth_mm(self) -> float:
        """Depth of tubes and fins along the air [mm]."""
        ...

    @property
    def core_length_mm(self) -> float:
        """Length of the finned core along the tubes [mm]."""
        ...

    @property
    def fin_height_mm(self) -> float:
        """Height of a row of fins between two tubes [mm]."""
        ...

    @property
    def fin_thickness_mm(self) -> float:
        """Thickness of the fin sheet [mm]."""
        ...

    @property
    def fins_per_inch(self) -> float:
        """Walls of the folded fin along one inch of a tube [1/in]."""
        ...

    @property
    def louver_angle_deg(self) -> float:
        """Angle of the louvers [deg]."""
        ...

    @property
    def louver_length_mm(self) -> float:
        """Length of a louver [mm]."""
        ...

    @property
    def louver_pitch_mm(self) -> float:
        """Distance from louver to louver [mm]."""
        ...

    @property
    def passes(self) -> int:
        """How often the coolant crosses the core."""
        ...

    @property
    def tube_height_mm(self) -> float:
        """Outer height of a flat tube, across the air [mm]."""
        ...

    @property
    def tube_rows(self) -> int:
        """Tubes one behind the other along the air."""
        ...

    @property
    def tube_wall_mm(self) -> float:
        """Wall of a flat tube [mm]."""
        ...

    @property
    def tube_width_mm(self) -> float:
        """Outer width of a flat tube, along the air [mm]."""
        ...

    @property
    def tubes(self) -> int:
        """Flat tubes side by side across the core."""
        ...


@dataclass(frozen=True, slots=True)
class FinCore:
    """Areas of a whole core.

    Attributes:
        face_m2: face that the air meets.
        free_m2: narrowest passage of the air.
        fin_m2: surface of the fins.
        tube_m2: bare surface of the tubes that the air touches.
        hydraulic_diameter_m: 4 * passage * depth / surface, of the air's passage.
        coolant_m2: inner surface of all tubes.
        channel_m2: inner section of one tube.
        channel_diameter_m: hydraulic diameter of one tube.
        channel_aspect: shorter over longer inner side of a tube.
        channel_length_m: length of a tube.
        parallel_channels: tubes that share the coolant in one pass.
        passes: how often the coolant crosses the core.
        fin: the louvered fin.
    """

    face_m2: float
    free_m2: float
    fin_m2: float
    tube_m2: float
    hydraulic_diameter_m: float
    coolant_m2: float
    channel_m2: float
    channel_diameter_m: float
    channel_aspect: float
    channel_length_m: float
    parallel_channels: float
    passes: int
    fin: LouverFin

    @property
    def air_m2(self) -> float:
        """All surface that the air touches [m2]."""
        return self.fin_m2 + self.tube_m2

    @property
    def free_share(self) -> float:
        """Free passage over face, sigma [-]."""
        return self.free_m2 / self.face_m2


def core_width_mm(radiator: CoreDimensions) -> float:
    """Return the width of the finned core [mm]: tubes and one more row of fins than tubes.

    Args:
        radiator: the radiator.

    Source: plane geometry.
    """
    return radiator.tubes * radiator.tube_height_mm + (radiator.tubes + 1) * radiator.fin_height_mm


def core_of(radiator: CoreDimensions) -> FinCore:
    """Return the areas of a radiator's core.

    Args:
        radiator: dimensions in mm.

    Raises:
        ValueError: if the fins leave no gap, or the walls of the tubes no passage.

    Validity: upright fins; flat tubes with square ends.
    Source: plane geometry.
    """
    pitch = INCH_MM / radiator.fins_per_inch
    gap = pitch - radiator.fin_thickness_mm
    if gap <= 0:
        raise ValueError("the fins are as thick as their pitch: no air passes")
    rows = radiator.tubes + 1
    walls = radiator.core_length_mm / pitch
    depth = radiator.core_depth_mm
    flat_depth = radiator.tube_rows * radiator.tube_width_mm
    free = rows * walls * gap * (radiator.fin_height_mm - radiator.fin_thickness_mm)
    fins = 2 * rows * walls * radiator.fin_height_mm * depth
    bare = 2 * radiator.tubes * walls * gap * flat_depth
    diameter = 4 * free * depth / (fins + bare)
    return FinCore(
        face_m2=radiator.core_length_mm * core_width_mm(radiator) * _MM**2,
        free_m2=free * _MM**2,
        fin_m2=fins * _MM**2,
        tube_m2=bare * _MM**2,
        hydraulic_diameter_m=diameter * _MM,
        fin=_fin(radiator, pitch, diameter, flat_depth),
        passes=radiator.passes,
        parallel_channels=radiator.tubes * radiator.tube_rows / radiator.passes,
        **_channel(radiator),
    )


def share_of_core(core: FinCore, share: float) -> FinCore:
    """Return a part of a core: all areas in proportion, passages and tubes as they are.

    Args:
        core: the whole core.
        share: of its face [-], above 0 to 1.

    Source: proportion.
    """
    return replace(
        core,
        face_m2=core.face_m2 * share,
        free_m2=core.free_m2 * share,
        fin_m2=core.fin_m2 * share,
        tube_m2=core.tube_m2 * share,
        coolant_m2=core.coolant_m2 * share,
    )


def _channel(radiator: CoreDimensions) -> dict[str, float]:
    height = (radiator.tube_height_mm - 2 * radiator.tube_wall_mm) * _MM
    width = (radiator.tube_width_mm - 2 * radiator.tube_wall_mm) * _MM
    length = radiator.core_length_mm * _MM
    if min(height, width) <= 0:
        raise ValueError("the tubes are no larger than their walls: no coolant passes")
    around = 2 * (height + width)
    return {
        "coolant_m2": radiator.tubes * radiator.tube_rows * around * length,
        "channel_m2": height * width,
        "channel_diameter_m": 4 * height * width / around,
        "channel_aspect": min(height, width) / max(height, width),
        "channel_length_m": length,
    }


def _fin(radiator: CoreDimensions, pitch: float, diameter: float, flat_depth: float) -> LouverFin:
    return LouverFin(
        louver_pitch=radiator.louver_pitch_mm,
        louver_length=radiator.louver_length_mm,
        louver_angle_deg=radiator.louver_angle_deg,
        fin_pitch=pitch,
        fin_height=radiator.fin_height_mm,
        fin_thickness=radiator.fin_thickness_mm,
        fin_depth=radiator.core_depth_mm,
        tube_depth=flat_depth,
        tube_height=radiator.tube_height_mm,
        hydraulic_diameter=diameter,
    )


def tube_volume_ml(radiator: CoreDimensions) -> float:
    """Return what the tubes alone hold [ml].

    Args:
        radiator: the radiator.

    Source: plane geometry.
    """
    channel = _channel(radiator)
    return radiator.tubes * radiator.tube_rows * channel["channel_m2"] * channel["channel_length_m"] * 1e6
