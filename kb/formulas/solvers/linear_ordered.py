"""Linear equations that say of every unknown how it follows from others.

Owns: finding an order of the unknowns, and solving them in it. Does not own: what the equations say.
Most unknowns follow from those before them in such an order. Only where they go round in circles, one of each circle
is taken as known and found last; so the work grows with the number of equations, not with its cube.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

from kb.formulas.solvers.linear import NoSolutionError, solve

Terms: TypeAlias = Sequence[Sequence[tuple[int, float]]]  # for each unknown, others with their factors


class Order(NamedTuple):
    """How unknowns follow from one another.

    Attributes:
        following: unknowns, each behind those it follows from.
        loose: unknowns that are taken as known first, so that there is such an order.
    """

    following: tuple[int, ...]
    loose: tuple[int, ...]


def order_of(hang_on: Sequence[Sequence[int]]) -> Order:
    """Return an order of unknowns.

    Args:
        hang_on: for each unknown those it follows from.

    >>> order_of([[1], [2], []])
    Order(following=(2, 1, 0), loose=())
    >>> order_of([[1], [0]])
    Order(following=(1,), loose=(0,))
    """
    leads_to: list[list[int]] = [[] for _ in hang_on]
    wanting = [0] * len(hang_on)
    for one, others in enumerate(hang_on):
        for other in set(others):
            leads_to[other].append(one)
            wanting[one] += 1
    by_use = iter(sorted(range(len(hang_on)), key=lambda one: -len(leads_to[one])))
    left = set(range(len(hang_on)))
    following: list[int] = []
    loose: list[int] = []
    ready = [one for one in reversed(range(len(hang_on))) if wanting[one] == 0]
    while left:
        if ready:
            known = ready.pop()
            following.append(known)
        else:
            known = next(one for one in by_use if one in left)
            loose.append(known)
        left.discard(known)
        for after in leads_to[known]:
            wanting[after] -= 1
            if wanting[after] == 0 and after in left:
                ready.append(after)
    return Order(tuple(following), tuple(loose))


def solve_ordered(order: Order, terms: Terms, constants: Sequence[float]) -> list[float]:
    """Return the unknowns: each is a constant and the sum of others times their factors.

    Args:
        order: an order of them, made of these equations.
        terms: for each unknown, others with their factors.
        constants: for each unknown.

    Raises:
        NoSolutionError: if the equations do not decide every unknown.

    Source: elimination; what is taken as known first follows from the equations that are left.

    >>> solve_ordered(order_of([[1], [0]]), [[(1, 0.5)], [(0, 1.0)]], [1.0, 2.0])
    [4.0, 6.0]
    """
    found = [0.0] * len(constants)
    if len(order.loose) == 1:
        return _with_one_loose(order, terms, constants)
    if order.loose:
        for one, value in zip(order.loose, _loose(order, terms, constants), strict=True):
            found[one] = value
    _follow(order, terms, constants, found)
    return found


def _follow(order: Order, terms: Terms, constants: Sequence[float], found: list[float]) -> None:
    for one in order.following:
        total = constants[one]
        for other, factor in terms[one]:
            total += factor * found[other]
        found[one] = total


def _value(terms: Sequence[tuple[int, float]], constant: float, found: Sequence[float]) -> float:
    return constant + sum([factor * found[other] for other, factor in terms])


def _with_one_loose(order: Order, terms: Terms, constants: Sequence[float]) -> list[float]:
    """Solve with the loose unknown at nothing, and with it alone; the answer is the one and so much of the other."""
    loose = order.loose[0]
    nothing = [0.0] * len(constants)
    without, alone = list(nothing), list(nothing)
    alone[loose] = 1.0
    _follow(order, terms, constants, without)
    _follow(order, terms, nothing, alone)
    left = 1 - _value(terms[loose], 0.0, alone)
    if left == 0:
        raise NoSolutionError("the equations do not decide every unknown")
    much = _value(terms[loose], constants[loose], without) / left
    return [one + much * other for one, other in zip(without, alone, strict=True)]


def _loose(order: Order, terms: Terms, constants: Sequence[float]) -> list[float]:
    """Find out what each loose unknown alone does to all of them, all at once."""
    import numpy  # noqa: PLC0415 - hardly any loop goes round twice

    size = len(order.loose)
    found = numpy.zeros((len(constants), size + 1))
    found[:, size] = constants
    for column, one in enumerate(order.loose):
        found[one] = 0.0
        found[one, column] = 1.0
    for one in order.following:
        row = found[one]
        for other, factor in terms[one]:
            row += factor * found[other]
    rows = numpy.zeros((size, size + 1))
    for at, one in enumerate(order.loose):
        rows[at, at] = 1.0
        for other, factor in terms[one]:
            rows[at, :size] -= factor * found[other, :size]
            rows[at, size] += factor * found[other, size]
        rows[at, size] += constants[one]
    return solve(rows)
