"""Counts and comparisons: how many things there are, whether two names differ, how far two numbers lie apart.

Owns: the plainest formulas, for numbers that are counted, compared or taken as they are.
Does not own: what is counted (`kb/loops/structure.py` and its neighbours) or limits.
"""

from __future__ import annotations

from collections.abc import Collection


def stated_value(value: float) -> float:
    """Return a number that nothing is computed from, as it was stated, measured or assumed: x = s.

    Args:
        value: s [any unit].

    Validity: as good as what was stated.
    Source: definition.

    >>> stated_value(650.0)
    650.0
    """
    return value


def count_of(things: Collection[object]) -> float:
    """Return how many things there are [1]: N = sum(1 for each thing).

    Args:
        things: what is counted, each once.

    Validity: exact.
    Source: definition.

    >>> count_of(["pump", "standby pump"])
    2.0
    """
    return float(len(things))


def differing(first: str, second: str) -> float:
    """Return 1 if two names differ, 0 if they are the same [1].

    Args:
        first: one name, such as a thread or a pattern of coupling.
        second: the other name.

    Validity: names of one list, each thing under one name.
    Source: definition.

    >>> differing("M3", "6-32 UNC"), differing("M3", "M3")
    (1.0, 0.0)
    """
    return float(first != second)


def size_difference_mm(first: float, second: float) -> float:
    """Return how far two sizes differ [mm]: |a - b|.

    Args:
        first: a [mm].
        second: b [mm].

    Validity: nominal sizes; tolerances are left to the limit.
    Source: definition.

    >>> size_difference_mm(124.5, 105.0)  # holes of 140 mm and 120 mm fans
    19.5
    """
    return abs(first - second)


def excess(value: float, reference: float) -> float:
    """Return how far a number lies above another one, in their unit: e = x - w; below zero it lies under it.

    Args:
        value: x, as found.
        reference: w, as wanted or stated, in the same unit.

    Validity: both of the same quantity.
    Source: definition.

    >>> excess(12.5, 10.0)
    2.5
    """
    return value - reference
