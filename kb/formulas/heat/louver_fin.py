"""Corrugated louvered fins between flat tubes: heat transfer factor j and friction factor f.

Owns: the two correlations as functions of geometry and Reynolds number. Does not own: areas
(`kb/formulas/heat/fin_core.py`) or where the air speed comes from (`kb/formulas/heat/operating_point.py`). The
Reynolds number is formed with the louver pitch and the speed in the narrowest section. f is the Fanning factor, a
quarter of the Darcy factor. The louver angle enters j as a share of 90 degrees and f as plain degrees: one geometry,
two readings. The friction correlation of 2000 consists of two branches that do not meet: at Re 150 it falls by some
ten percent. The amendment of 2006 bridges Re 130 to 230, so that nothing that looks for a balance of pressures can
fall into a step.
"""

from __future__ import annotations

import math
from typing import NamedTuple

LOWEST_HEAT_REYNOLDS = 100.0
BRIDGE_FROM, BRIDGE_TO = 130.0, 230.0
_RIGHT_ANGLE_DEG = 90.0
_HEAT_POWER = -0.49


class LouverFin(NamedTuple):
    """Geometry of one louvered fin, in the symbols of the correlations.

    Attributes:
        louver_pitch: Lp [mm].
        louver_length: Ll [mm].
        louver_angle_deg: theta [degrees].
        fin_pitch: Fp [mm].
        fin_height: Fl, between two tubes [mm].
        fin_thickness: df [mm].
        fin_depth: Fd, along the air [mm].
        tube_depth: Td, along the air [mm].
        tube_height: Dm, outside height of a flat tube [mm].
        hydraulic_diameter: Dh of the finned passage [mm].
    """

    louver_pitch: float
    louver_length: float
    louver_angle_deg: float
    fin_pitch: float
    fin_height: float
    fin_thickness: float
    fin_depth: float
    tube_depth: float
    tube_height: float
    hydraulic_diameter: float

    @property
    def tube_pitch(self) -> float:
        """Tp = Fl + Dm [mm]."""
        return self.fin_height + self.tube_height


class LouverFactors(NamedTuple):
    """The correlations with everything but the Reynolds number worked out, for many questions about one fin.

    Each branch is scale * Re^power * ln(share * Re)^log_power.

    Attributes:
        heat_scale: of j.
        slow_scale: of f for Re below 150.
        slow_power: the same.
        fast_scale: of f for Re from 150.
        fast_power: the same.
        creeping_below: Re [-] at which the slow branch falls as 1 / Re; below it the branch would fall faster than any
            real flow.
        bridge_ends: f squared where the bridge between both branches begins and ends.
    """

    heat_scale: float
    slow_scale: float
    slow_power: float
    fast_scale: float
    fast_power: float
    creeping_below: float
    bridge_ends: tuple[float, float]

    def colburn_j(self, reynolds: float) -> float:
        """Return j [-]; see `colburn_j`."""
        return float(self.heat_scale * reynolds**_HEAT_POWER)

    def fanning_f(self, reynolds: float) -> float:
        """Return f [-]; see `fanning_f`."""
        if self.creeping_below <= reynolds <= BRIDGE_FROM:
            return _slow_branch(self.slow_scale, self.slow_power, reynolds)
        if reynolds >= BRIDGE_TO:
            return self.fast_branch(reynolds)
        if reynolds > BRIDGE_FROM:
            weight = 3.6 - 0.02 * reynolds
            slow, fast = self.bridge_ends
            return math.sqrt(((1 + weight) * slow + (1 - weight) * fast) / 2)
        return self.slow_branch(self.creeping_below) * self.creeping_below / reynolds

    def slow_branch(self, reynolds: float) -> float:
        """Return f [-] of the branch for Re below 150, above 2."""
        return _slow_branch(self.slow_scale, self.slow_power, reynolds)

    def fast_branch(self, reynolds: float) -> float:
        """Return f [-] of the branch for Re from 150 to 5000."""
        return _fast_branch(self.fast_scale, self.fast_power, reynolds)


def _slow_branch(scale: float, power: float, reynolds: float) -> float:
    return float(scale * reynolds**power * math.log(0.5 * reynolds) ** -3.01)


def _fast_branch(scale: float, power: float, reynolds: float) -> float:
    return float(scale * reynolds**power * math.log(0.3 * reynolds) ** -2.966)


def louver_factors(fin: LouverFin) -> LouverFactors:
    """Work out the correlations of one fin.

    Args:
        fin: its geometry.

    Raises:
        ValueError: if a length is not above 0, the fin is thinner than about 1 % of its pitch (a logarithm of the
            correlation is negative there), or the pitch is larger than the fin is high.

    Validity and source: as `colburn_j` and `fanning_f`.
    """
    if min(fin) <= 0:
        raise ValueError("every length and the angle of a louvered fin must be above 0")
    thickness_share = fin.fin_thickness / fin.fin_pitch
    if math.log(thickness_share**0.5 + 0.9) <= 0:
        raise ValueError("the fin is too thin for its pitch: the friction correlation ends there")
    if fin.fin_pitch > fin.fin_height:
        raise ValueError("the fins stand farther apart than they are high: the friction correlation ends there")
    slow_scale, slow_power = _slow_scale(fin, thickness_share), -0.805 * fin.fin_pitch / fin.fin_height
    fast_scale, fast_power = _fast_scale(fin, thickness_share), 0.6049 - 1.064 / fin.louver_angle_deg**0.2
    slow_end = _slow_branch(slow_scale, slow_power, BRIDGE_FROM)
    fast_end = _fast_branch(fast_scale, fast_power, BRIDGE_TO)
    return LouverFactors(
        heat_scale=_heat_scale(fin),
        slow_scale=slow_scale,
        slow_power=slow_power,
        fast_scale=fast_scale,
        fast_power=fast_power,
        creeping_below=min(BRIDGE_FROM, 2 * math.exp(3.01 / (1 + slow_power))),
        bridge_ends=(slow_end**2, fast_end**2),
    )


def _heat_scale(fin: LouverFin) -> float:
    pitch = fin.louver_pitch
    return float(
        (fin.louver_angle_deg / _RIGHT_ANGLE_DEG) ** 0.27
        * (fin.fin_pitch / pitch) ** -0.14
        * (fin.fin_height / pitch) ** -0.29
        * (fin.tube_depth / pitch) ** -0.23
        * (fin.louver_length / pitch) ** 0.68
        * (fin.tube_pitch / pitch) ** -0.28
        * (fin.fin_thickness / pitch) ** -0.05
    )


def _slow_scale(fin: LouverFin, thickness_share: float) -> float:
    return float(
        14.39
        * math.log(1 + fin.fin_pitch / fin.louver_pitch) ** 3.04
        * math.log(thickness_share**0.48 + 0.9) ** -1.435
        * (fin.hydraulic_diameter / fin.louver_pitch) ** -3.01
        * (fin.fin_pitch / fin.louver_length) ** -0.308
        * (fin.fin_depth / fin.louver_length) ** -0.308
        * math.exp(-0.1167 * fin.tube_pitch / fin.tube_height)
        * fin.louver_angle_deg**0.35
    )


def _fast_scale(fin: LouverFin, thickness_share: float) -> float:
    return float(
        4.97
        * math.log(thickness_share**0.5 + 0.9) ** -0.527
        * (fin.hydraulic_diameter / fin.louver_pitch) ** -2.966
        * (fin.fin_pitch / fin.louver_length) ** (-0.7931 * fin.tube_pitch / fin.fin_height)
        * (fin.tube_pitch / fin.tube_height) ** -0.0446
        * math.log(1.2 + (fin.louver_pitch / fin.fin_pitch) ** 1.4) ** -3.553
        * fin.louver_angle_deg**-0.477
    )


def colburn_j(fin: LouverFin, reynolds: float) -> float:
    """Return the Colburn factor j [-] = h / (rho v cp) Pr^(2/3) of a corrugated louvered fin.

    Args:
        fin: its geometry.
        reynolds: Re with the louver pitch and the speed in the narrowest section, above 0.

    Raises:
        ValueError: as `louver_factors`.

    Validity: Re 100 to 3000. Below 100 the air follows the fins rather than the louvers and real fins fall short of
    the formula (Achaichia and Cowell 1988; Kim and Cho 2008, abstracts); `kb/formulas/heat/air_side.py` allows for it.
    Source: Chang and Wang, Int. J. Heat Mass Transfer 40 (1997) 533, equation 9; the paper was not opened, exponents
    remembered and found the same in public code.

    >>> fin = LouverFin(1.2, 6.5, 28.0, 1.5, 8.0, 0.08, 16.0, 16.0, 2.0, 2.432548)
    >>> round(colburn_j(fin, 200.0), 7)
    0.0334394
    """
    return louver_factors(fin).colburn_j(reynolds)


def fanning_f(fin: LouverFin, reynolds: float) -> float:
    """Return the Fanning friction factor f [-] of a corrugated louvered fin, without a step.

    Args:
        fin: its geometry.
        reynolds: Re as in `colburn_j`, above 0.

    Raises:
        ValueError: as `louver_factors`.

    Validity: Re up to 5000. The logarithm of the slow branch grows without bound towards Re 2, while f Re of a real
    passage never falls as the flow grows; from where the branch itself falls as 1 / Re (Re 60 to 130 for usual fins) it
    is therefore continued as creeping flow, f in proportion to 1 / Re. That lies within some percent of the branch down
    to Re 50.
    Towards Re 230 the bridge of dense fins falls so fast that the pressure drop dips by up to two percent.
    Source: Chang, Hsu, Lin and Wang, Int. J. Heat Mass Transfer 43 (2000) 2237, with the amendment in 49 (2006) 4250;
    the papers were not opened, both branches and the bridge as found in public code.

    >>> fin = LouverFin(1.2, 6.5, 28.0, 1.5, 8.0, 0.08, 16.0, 16.0, 2.0, 2.432548)
    >>> round(fanning_f(fin, 500.0), 7)
    0.0798856
    """
    return louver_factors(fin).fanning_f(reynolds)
