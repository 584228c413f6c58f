"""Linear equations with as many unknowns, solved as arrays.

Owns: handing them to the library, and what it says of those that have no solution. Does not own: what they say.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy

    Array: TypeAlias = numpy.ndarray[tuple[int, ...], numpy.dtype[numpy.float64]]

_ALONE = 200_000  # products up to which arrays are multiplied by one thread


class NoSolutionError(ValueError):
    """Equations of which one says nothing that the others do not say."""


def solve(rows: Array) -> list[float]:
    """Return the unknowns of linear equations.

    Args:
        rows: for each equation its factors and then its right side.

    Raises:
        NoSolutionError: if the equations do not decide every unknown.

    Source: elimination by Gauss with the largest pivot of each column (LAPACK, by way of numpy).

    >>> import numpy
    >>> solve(numpy.array([[0.0, 2.0, 6.0], [1.0, 1.0, 5.0]]))
    [2.0, 3.0]
    """
    import numpy  # noqa: PLC0415 - a pair of parts has no equations

    try:
        found = numpy.linalg.solve(rows[:, :-1], rows[:, -1])
    except numpy.linalg.LinAlgError:
        raise NoSolutionError("the equations do not decide every unknown") from None
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
