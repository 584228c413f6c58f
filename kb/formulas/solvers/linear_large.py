"""Dozens or hundreds of linear equations, solved as arrays.

Owns: solving them on one core. Does not own: what they say, or few of them (`kb/formulas/solvers/linear_small.py`).
A library would wake threads for so many, which at this size wait for one another longer than they work and take the
cores from other questions.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from kb.formulas.solvers.linear_small import NoSolutionError

if TYPE_CHECKING:
    import numpy

    Array: TypeAlias = numpy.ndarray[tuple[int, ...], numpy.dtype[numpy.float64]]

_ALONE = 200_000  # products up to which arrays are multiplied by one thread


def solve_large(rows: Array) -> list[float]:
    """Return the unknowns of linear equations.

    Args:
        rows: for each equation its factors and then its right side; they are used up.

    Raises:
        NoSolutionError: if the equations do not decide every unknown.

    Source: elimination by Gauss with the largest pivot of each column.

    >>> import numpy
    >>> solve_large(numpy.array([[0.0, 2.0, 6.0], [1.0, 1.0, 5.0]]))
    [2.0, 3.0]
    """
    import numpy  # noqa: PLC0415 - hardly any loop has so many

    size = len(rows)
    for at in range(size):
        best = at + int(abs(rows[at:, at]).argmax())
        if best != at:
            rows[[at, best]] = rows[[best, at]]
        pivot = rows[at]
        if pivot[at] == 0:
            raise NoSolutionError("the equations do not decide every unknown")
        below = rows[at + 1 :]
        below[:, at + 1 :] -= numpy.multiply.outer(below[:, at] / pivot[at], pivot[at + 1 :])
    found = numpy.zeros(size)
    for at in reversed(range(size)):
        row = rows[at]
        found[at] = (row[size] - (row[at + 1 : size] * found[at + 1 :]).sum()) / row[at]
    return [float(value) for value in found]


def squared(factors: Array, weights: Array) -> Array:
    """Return an array times weights times itself turned over.

    Args:
        factors: a row for each equation.
        weights: for each column.

    Source: definition.

    >>> import numpy
    >>> squared(numpy.array([[1.0, 1.0], [0.0, 2.0]]), numpy.array([1.0, 3.0])).tolist()
    [[4.0, 6.0], [6.0, 12.0]]
    """
    import numpy  # noqa: PLC0415 - hardly any loop has so many

    weighted, turned = factors * weights, factors.T
    rows = max(1, _ALONE // factors.size)
    return numpy.concatenate([weighted[at : at + rows] @ turned for at in range(0, len(factors), rows)])
