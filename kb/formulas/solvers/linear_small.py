"""A few linear equations with as many unknowns.

Owns: solving them. Does not own: what they say. Up to a dozen unknowns this takes less time than handing them to a
library; those who have many more are better off there.
"""

from __future__ import annotations


class NoSolutionError(ValueError):
    """Equations of which one says nothing that the others do not say."""


def solve_small(rows: list[list[float]]) -> list[float]:
    """Return the unknowns of linear equations.

    Args:
        rows: for each equation its factors and then its right side; they are used up.

    Raises:
        NoSolutionError: if the equations do not decide every unknown.

    Source: elimination by Gauss with the largest pivot of each column.

    >>> solve_small([[0.0, 2.0, 6.0], [1.0, 1.0, 5.0]])
    [2.0, 3.0]
    """
    size = len(rows)
    for at in range(size):
        best = at
        for other in range(at + 1, size):
            if abs(rows[other][at]) > abs(rows[best][at]):
                best = other
        rows[best], rows[at] = rows[at], rows[best]
        pivot = rows[at]
        if pivot[at] == 0:
            raise NoSolutionError("the equations do not decide every unknown")
        for below in range(at + 1, size):
            row = rows[below]
            factor = row[at] / pivot[at]
            if factor:
                for column in range(at + 1, size + 1):
                    row[column] -= factor * pivot[column]
    return _substituted(rows)


def _substituted(rows: list[list[float]]) -> list[float]:
    size = len(rows)
    found = [0.0] * size
    for at in reversed(range(size)):
        row = rows[at]
        known = row[size]
        for column in range(at + 1, size):
            known -= row[column] * found[column]
        found[at] = known / row[at]
    return found
