"""A dimension with its tolerance: nominal, least and largest value, and the rows they come from.

Owns: finding the tolerance that holds for a dimension. Does not own: tolerances (rows of tolerances.csv).
"""

from __future__ import annotations

from functools import partial
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.tree import Fact, Finding, Missing, RequirementCheck, Rival
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.column_words import column_words
from schemas.tables.sources import Source
from schemas.tables.tolerances import Tolerance, ToleranceDimension
from schemas.tables.tubes import Tube

DIMENSION_MISSING = Gap.DIMENSION_MISSING.value
TOLERANCE_MISSING = Gap.TOLERANCE_MISSING.value
_SIGN_OF_WALL = MappingProxyType({"id_mm": -1, "od_mm": 1})


class TolerancedDimension(NamedTuple):
    """A dimension between its extremes.

    Attributes:
        nominal: nominal value [mm].
        low: least value [mm].
        high: largest value [mm].
        facts: the cells it cites.
        has_tolerance: whether a tolerance is known; if not, low and high equal nominal.
        rivals: tolerances of other sources that are not used.
    """

    nominal: float
    low: float
    high: float
    facts: tuple[Fact, ...]
    has_tolerance: bool
    rivals: tuple[Rival, ...] = ()


def toleranced_dimension(snapshot: Snapshot, element: Element, column: str) -> TolerancedDimension | Missing:
    """Return a dimension of an element with its tolerance, or what is missing.

    A tolerance the asker gave speaks first, then one written for the part, then for the nearest family; among rows
    for the same subject the source with the better rank.

    Args:
        snapshot: the knowledge.
        element: whose dimension.
        column: column that holds the nominal value [mm]; its tolerance is filed under the same name.
    """
    return element.derive(column, partial(_toleranced_dimension, snapshot, element, column))


def _toleranced_dimension(snapshot: Snapshot, element: Element, column: str) -> TolerancedDimension | Missing:
    dimension = ToleranceDimension(column.removesuffix("_mm").replace("_", "-"))
    fact = element.fact(column) or _from_other_two(element, column)
    if fact is None:
        return Missing(element.label, column_words(column)[0], column)
    nominal = float(fact.value)
    for name, deviation in element.stated_tolerances:
        if name == dimension.value:
            given = Fact(element.label, f"{name}_tolerance_mm", deviation, "", "")
            return TolerancedDimension(nominal, nominal - deviation, nominal + deviation, (fact, given), True)
    rows = _tolerances(snapshot, element, dimension, nominal)
    if not rows:
        return TolerancedDimension(nominal, nominal, nominal, (fact,), False)
    row, *others = rows
    minus, plus = _deviations(row, nominal)
    locator = row.locator or ""
    facts = (
        fact,
        Fact(row.id, "minus_mm", minus, row.source_id, locator),
        Fact(row.id, "plus_mm", plus, row.source_id, locator),
    )
    rivals = (Rival(row.id, tuple(other.id for other in others)),) if others else ()
    return TolerancedDimension(nominal, nominal - minus, nominal + plus, facts, True, rivals)


def _from_other_two(element: Element, column: str) -> Fact | None:
    """Return the diameter of a tube that follows from its other diameter and its wall; sources print two of three."""
    if not isinstance(element.row, Tube) or column not in _SIGN_OF_WALL:
        return None
    other = element.fact("od_mm" if column == "id_mm" else "id_mm")
    wall = element.fact("wall_mm")
    if other is None or wall is None:
        return None
    value = float(other.value) + _SIGN_OF_WALL[column] * 2 * float(wall.value)
    return Fact(other.row_id, column, value, other.source_id, f"from {other.column} and wall_mm")


def _tolerances(snapshot: Snapshot, element: Element, dimension: ToleranceDimension, size: float) -> list[Tolerance]:
    """Return the tolerances of the nearest subject that has any for this size, the best ranked source first."""
    for subject in element.families:
        rows = [row for row in snapshot.tolerances(subject, dimension) if _holds_for(row, size)]
        if len(rows) == 1:
            return rows
        if rows:
            return sorted(rows, key=lambda row: (snapshot.get(Source, row.source_id).rank, row.id))
    return []


def rivals_of(*toleranced: TolerancedDimension) -> tuple[Rival, ...]:
    """Return the tolerances that are not used for any of the dimensions."""
    return tuple(rival for one in toleranced for rival in one.rivals)


def _holds_for(row: Tolerance, size: float) -> bool:
    return (row.from_mm is None or row.from_mm <= size) and (row.to_mm is None or size <= row.to_mm)


def _deviations(row: Tolerance, nominal: float) -> tuple[float, float]:
    share = (row.percent or 0.0) / 100 * nominal
    return max(row.minus_mm or 0.0, share), max(row.plus_mm or 0.0, share)


def missing_findings(place: str, *toleranced: TolerancedDimension | Missing) -> list[Finding]:
    """Return a finding for every dimension that is missing (unknown) or has no tolerance (conditional)."""
    found = []
    for one in toleranced:
        if isinstance(one, Missing):
            found.append(Finding(DIMENSION_MISSING, Judgement.GAP, place, (one,)))
        elif not one.has_tolerance:
            fact = one.facts[0]
            missing = Missing(fact.row_id, f"tolerance of the {column_words(fact.column)[0]}", "")
            measured = RequirementCheck("requirement/tube-measured")
            found.append(Finding(TOLERANCE_MISSING, Judgement.WARNING, place, (missing, fact), requirement=measured))
    return found
