"""Below which number no value of a unit can lie, by physics alone.

Owns: the least possible value of a unit. Does not own: a check of its own, or what is usual (rows of the tables).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

ABSOLUTE_ZERO_DEGC = -273.15  # definition of the degree Celsius

# Concentrations, amounts, speeds and times; lengths, pressures and percentages may be differences and go below zero.
_NEVER_NEGATIVE = ("mg/l", "ug/l", "uS/cm", "kg/m3", "months", "l/min", "m3/h", "m/s", "rpm", "N")
FLOORS: Mapping[str, float] = MappingProxyType({"degC": ABSOLUTE_ZERO_DEGC, **dict.fromkeys(_NEVER_NEGATIVE, 0.0)})
