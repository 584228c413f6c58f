"""How much of the possible heat a core moves: effectiveness and number of transfer units.

Owns: crossflow of one pass, passes side by side, the bound no radiator exceeds. Does not own: conductances.
The exact form for two unmixed streams is used, not the textbook approximation, which lies up to two percent off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

_ENDLESS = 1e-9
_LARGEST_UNITS = 500.0  # the series needs longer and longer, and nothing is left to gain
_LAST_DIGIT = 1e-15


class Section(NamedTuple):
    """One part of a core with air of its own.

    Attributes:
        conductance_w_per_k: air film and coolant film behind each other [W/K].
        air_capacity_w_per_k: mass flow times heat capacity of its air [W/K]; 0 where a fan stands still.
    """

    conductance_w_per_k: float
    air_capacity_w_per_k: float


class Exchange(NamedTuple):
    """Heat per kelvin between the coolant and the air as they arrive.

    Attributes:
        conductance_w_per_k: heat over the difference of the temperatures at which coolant and air enter [W/K].
        effectiveness: that heat over the heat of warming all air to the entering coolant, or of cooling all coolant
            to the entering air, whichever is less [-].
        transfer_units: conductance of the whole core over the lesser of the two capacities [-].
    """

    conductance_w_per_k: float
    effectiveness: float
    transfer_units: float


def crossflow_effectiveness(transfer_units: float, capacity_ratio: float) -> float:
    """Return the effectiveness of crossflow with both streams unmixed [-].

    Args:
        transfer_units: UA / C_min [-], 0 or above.
        capacity_ratio: C_min / C_max [-], 0 to 1.

    Raises:
        ValueError: if the ratio is outside its range.

    Validity: constant properties and films. The series is summed to the last digit.
    Source: Mason (1954), held against the ht library in the tests; the integral of the library takes ten times as long.

    >>> round(crossflow_effectiveness(1.0, 0.5), 5)
    0.54749
    """
    if not 0 <= capacity_ratio <= 1:
        raise ValueError("the ratio of the capacities lies between 0 and 1")
    units = min(transfer_units, _LARGEST_UNITS)
    slower = units * capacity_ratio
    if slower < _ENDLESS:
        return -math.expm1(-units)  # one stream keeps its temperature, and the series would divide by 0
    return _mason_sum(units, slower) / slower


def _mason_sum(units: float, slower: float) -> float:
    """Return the sum over n of P(n + 1, N) P(n + 1, Cr N), P being the regularised incomplete gamma function."""
    part, slower_part = math.exp(-units), math.exp(-slower)
    left, slower_left = 1 - part, 1 - slower_part
    total, order = 0.0, 0
    while left * slower_left > _LAST_DIGIT * total:
        total += left * slower_left
        order += 1
        part *= units / order
        slower_part *= slower / order
        left -= part
        slower_left -= slower_part
    return total


def series_conductance(first: float, second: float) -> float:
    """Return two conductances behind each other [W/K]: 1 / (1/a + 1/b); 0 if one of them is 0.

    Args:
        first: a [W/K].
        second: b [W/K].

    Source: resistances add.

    >>> series_conductance(3.0, 6.0)
    2.0
    """
    return first * second / (first + second) if first > 0 and second > 0 else 0.0


def exchange(sections: Sequence[Section], coolant_capacity: float, passes: int) -> Exchange:
    """Return the heat per kelvin of a core whose sections and passes lie side by side, each with air of its own.

    Args:
        sections: parts of the core, one for each fan.
        coolant_capacity: mass flow times heat capacity of the coolant [W/K].
        passes: how often the coolant crosses the core and so meets every section.

    Validity: crossflow, both streams unmixed in a section, coolant mixed between sections and passes.
    Source: effectiveness and transfer units of each section, sections in series on the coolant side.

    >>> one = exchange([Section(20.0, 15.0)], 300.0, 1)
    >>> round(one.conductance_w_per_k, 2), one.conductance_w_per_k < air_bound(15.0)
    (10.87, True)
    """
    kinds: dict[Section, int] = {}
    for section in sections:
        kinds[section] = kinds.get(section, 0) + 1
    air_capacity = sum([section.air_capacity_w_per_k * count for section, count in kinds.items()])
    least = min(air_capacity, coolant_capacity)
    if least <= 0:
        return Exchange(0.0, 0.0, 0.0)
    kept = [(1 - _drop(section, coolant_capacity, passes)) ** (passes * count) for section, count in kinds.items()]
    total = coolant_capacity * (1 - math.prod(kept))
    conductance = sum([section.conductance_w_per_k * count for section, count in kinds.items()])
    return Exchange(total, total / least, conductance / least)


def _drop(section: Section, coolant_capacity: float, passes: int) -> float:
    """By how much of its excess over the air the coolant cools in one pass of one section."""
    air_capacity = section.air_capacity_w_per_k / passes
    if air_capacity <= 0 or section.conductance_w_per_k <= 0:
        return 0.0
    air_is_less = air_capacity < coolant_capacity
    least, most = (air_capacity, coolant_capacity) if air_is_less else (coolant_capacity, air_capacity)
    units = section.conductance_w_per_k / passes / least
    return crossflow_effectiveness(units, least / most) * least / coolant_capacity


def air_bound(air_capacity: float) -> float:
    """Return the heat per kelvin that no radiator exceeds [W/K]: the air leaves as warm as the coolant comes.

    Args:
        air_capacity: mass flow times heat capacity of the air [W/K].

    Source: energy balance.

    >>> round(air_bound(0.0127426 * 1.18432 * 1006.31), 2)
    15.19
    """
    return air_capacity
