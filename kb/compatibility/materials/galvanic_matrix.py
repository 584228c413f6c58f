"""Two metals by the published table of dissimilar metals: bare or inhibited, in fresh water or in brackish water.

Owns: reading the ratings of a couple and choosing the environment. Does not own: the ratings (`metal_couples.csv`),
which metal is in which group (`metal_groups.csv`), or what a count of failures means (rows of limits.csv).
A bare couple is judged by how many of the three environments it fails in. With chloride above the limit for couples,
the seawater column judges as well, and by itself where a rule speaks of the couple. Where the coolant protects both
metals, a couple that an inhibitor helps is held against limits one step milder.
"""

from __future__ import annotations

from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, LimitCheck, Node, Number
from kb.formulas.galvanic import environments_failed
from kb.store.snapshot import Snapshot
from schemas.tables.metal_couples import MetalCouple, Rating
from schemas.tables.metal_groups import MetalGroup

CHLORIDE = "quantity/chloride"
_METAL = ("family/metal",)


class Rated(NamedTuple):
    """How the table rates two metals.

    Attributes:
        groups: the groups that were looked up.
        rows: a row for each pair of groups, but for those that nobody may rely on.
    """

    groups: tuple[MetalGroup, ...]
    rows: tuple[MetalCouple, ...]

    @property
    def relaxes(self) -> bool:
        """Whether an inhibitor proven for both metals makes it milder, in whatever group a metal is."""
        return all(row.relaxes for row in self.rows)

    def failures(self, quantity: str) -> Number:
        """Return in how many of the three environments the couple fails, by the worst of its rows [-]."""
        count = max(environments_failed(*(float(fails) for fails in _fails(row))) for row in self.rows)
        return Number(quantity, count, self._facts(("industrial", "seawater", "marine")))

    def seawater(self, quantity: str) -> Number:
        """Return 1 if the couple fails in seawater by any of its rows, else 0 [-]."""
        return Number(quantity, float(any(_fails(row)[1] for row in self.rows)), self._facts(("seawater",)))

    def _facts(self, columns: tuple[str, ...]) -> tuple[Fact, ...]:
        groups = [Fact(one.id, "group", one.group, one.source_id, one.locator or "") for one in self.groups]
        cells = [
            Fact(row.id, column, getattr(row, column).value, row.source_id, row.locator or "")
            for row in self.rows
            for column in columns
        ]
        return (*groups, *cells)


class Water(NamedTuple):
    """The water in which a couple is judged.

    Attributes:
        chloride: how much chloride is in it; `None` if nobody knows.
        is_proven: whether its inhibitor is proven for both metals.
    """

    chloride: Number | None = None
    is_proven: bool = False


def rate_couple(snapshot: Snapshot, one: str, other: str) -> Rated | None:
    """Return how the table rates two metals; `None` if it does not name one, or the copy at hand is not to be trusted.

    Args:
        snapshot: the knowledge.
        one: id of a metal.
        other: id of another.
    """
    firsts, seconds = snapshot.metal_groups(one), snapshot.metal_groups(other)
    found = [snapshot.metal_couple(first.group, second.group) for first in firsts for second in seconds]
    rows = {row.id: row for row in found if row is not None and Rating.UNKNOWN not in _ratings(row)}
    return Rated((*firsts, *seconds), tuple(rows.values())) if rows else None


def matrix_findings(
    snapshot: Snapshot, rated: Rated, place: str, water: Water, is_ruled: bool, *also: Node
) -> list[Finding]:
    """Judge a couple by the table.

    Args:
        snapshot: the knowledge.
        rated: how the table rates it.
        place: name of the couple.
        water: the water.
        is_ruled: whether a rule speaks of the couple; then only the seawater column is left to say.
        also: evidence to keep beside what is found.
    """
    suffix = "-relaxed" if water.is_proven and rated.relaxes else ""
    found = []
    if not is_ruled:
        number = rated.failures(f"quantity/couple-matrix{suffix}")
        found.append(judge_number(snapshot, number, _METAL, place, *also))
    if water.chloride is not None:
        chloride = judge_number(snapshot, water.chloride, _METAL, place)
        if any(isinstance(node, LimitCheck) and not node.holds for node in chloride.evidence):
            number = rated.seawater(f"quantity/couple-seawater{suffix}")
            found.append(judge_number(snapshot, number, _METAL, place, *chloride.evidence, *also))
    return found


def _ratings(row: MetalCouple) -> tuple[Rating, Rating, Rating]:
    return row.industrial, row.seawater, row.marine


def _fails(row: MetalCouple) -> tuple[bool, ...]:
    return tuple(rating is Rating.INCOMPATIBLE for rating in _ratings(row))
