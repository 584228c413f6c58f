"""The rule of thumb beside the computation: so much length of radiator for each cooled part.

Owns: counting lengths and parts, and whether rule and computation agree. Does not own: the lengths themselves (rows of
assumptions.csv) or words.
The length of a radiator is the sizes of its fans in a row, whatever their size: three of 140 mm count as 420 mm. Memory
and power stages with blocks of their own are not counted as parts, as the rule speaks of processors and cards.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from kb.loops.heat.radiators import RadiatorSetup
from kb.loops.heat.sources import HeatSource
from kb.store.snapshot import Snapshot
from schemas.tables.assumptions import Assumption

STOCK = "quantity/rule-of-thumb-length-stock"
OVERCLOCKED = "quantity/rule-of-thumb-length-overclocked"
_NOT_COUNTED = frozenset({"family/block-memory", "family/block-vrm"})


class RuleOfThumb(NamedTuple):
    """What the rule asks and what there is.

    Attributes:
        asked_mm: cooled part -> length it asks for.
        overclocked: parts that run beyond stock.
        present_mm: length of all radiators whose size is known.
        rows: the rows that state the rule.
    """

    asked_mm: Mapping[str, float]
    overclocked: frozenset[str]
    present_mm: float
    rows: tuple[Assumption, ...]

    @property
    def whole_mm(self) -> float:
        """What it asks for altogether [mm]."""
        return sum(self.asked_mm.values())

    @property
    def holds(self) -> bool:
        """Whether there is as much as it asks for."""
        return self.present_mm >= self.whole_mm


def rule_of_thumb(
    snapshot: Snapshot, sources: Sequence[HeatSource], setups: Iterable[RadiatorSetup]
) -> RuleOfThumb | None:
    """Return what the rule says of a loop; `None` if it names no part that counts or the tables no longer state it.

    Args:
        snapshot: the knowledge.
        sources: the cooled parts.
        setups: the radiators.
    """
    rows = [row for quantity in (STOCK, OVERCLOCKED) if (row := snapshot.assumption(quantity)) is not None]
    counted = [source for source in sources if not _NOT_COUNTED & set(source.families)]
    if len(rows) < 2 or not counted:  # noqa: PLR2004 - one row for each state
        return None
    stock, beyond = rows
    return RuleOfThumb(
        asked_mm={source.name: (beyond if source.overclocked else stock).value for source in counted},
        overclocked=frozenset(source.name for source in counted if source.overclocked),
        present_mm=sum(one.row.fan_size_mm * one.row.fans for one in setups if one.row is not None),
        rows=tuple(rows),
    )
