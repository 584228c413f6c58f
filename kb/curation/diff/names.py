"""Under which names anything about an archetype is found: its own ids and families, and those of its surfaces.

Owns: listening to a snapshot while parts are put together. Does not own: what a changed row reaches
(`kb/curation/diff/reach.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias, TypeVar

from kb.compatibility.materials.wetted_surfaces import surfaces_of
from kb.parts.part import SUBSTANCES
from kb.parts.resolver import Resolver
from kb.parts.substances import content_families
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.fluids import Fluid
from schemas.tables.wetted_materials import WettedMaterial, WettedRole

Row = TypeVar("Row")
Pair: TypeAlias = tuple[str, str]
Names: TypeAlias = Mapping[str, frozenset[str]]

_NONE: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class PartNames:
    """Names of archetypes.

    Attributes:
        dry: part id -> names of the part itself: all that counts between two parts that are screwed or pushed together.
        wet: part id -> these and the names of its surfaces, which count where the other part is a substance.
        substances: ids of materials, fluids and additives.
    """

    dry: Names
    wet: Names
    substances: frozenset[str]

    def of_pair(self, pair: Pair) -> frozenset[str]:
        """Return all names that count for a pair."""
        names = self.wet if self.is_wet(pair) else self.dry
        return names[pair[0]] | names[pair[1]]

    def is_wet(self, pair: Pair) -> bool:
        """Return whether one side of a pair is a substance."""
        return not self.substances.isdisjoint(pair)

    def joined(self, other: PartNames) -> PartNames:
        """Return the names of parts in either of two states of the tables."""
        return PartNames(_joined(self.dry, other.dry), _joined(self.wet, other.wet), self.substances | other.substances)


def _joined(one: Names, other: Names) -> Names:
    return {part: one.get(part, _NONE) | other.get(part, _NONE) for part in {**one, **other}}


def names_of_parts(tables: BuiltTables, parts: Iterable[str]) -> PartNames:
    """Return the names under which anything about archetypes is found.

    Args:
        tables: a state of the tables.
        parts: ids of archetypes in it.
    """
    snapshot = ListeningSnapshot(tables)
    dry: dict[str, frozenset[str]] = {}
    wet: dict[str, frozenset[str]] = {}
    substances: set[str] = set()
    for part_id in parts:
        snapshot.heard.clear()
        part = Resolver(snapshot).archetype(part_id, "part")
        for element in part.elements:
            snapshot.heard.update((element.row.id, *element.families))
            substances |= {part_id} if element.kind in SUBSTANCES else set()
            if isinstance(element.row, Fluid):
                snapshot.heard.update(one for word in element.row.contents for one in content_families(snapshot, word))
        dry[part_id] = frozenset(snapshot.heard)
        for surface in surfaces_of(snapshot, part.id, part.families, {}):
            snapshot.heard.update(surface.material.families)
        wet[part_id] = frozenset(snapshot.heard)
    return PartNames(dry, wet, frozenset(substances))


class ListeningSnapshot(Snapshot):
    """A snapshot that notes under which names it is asked while a part is put together."""

    def __init__(self, tables: BuiltTables) -> None:
        super().__init__(tables)
        self.heard: set[str] = set()

    def row(self, row_id: str) -> Any | None:
        """Note the id, then answer."""
        self.heard.add(row_id)
        return super().row(row_id)

    def get(self, row_class: type[Row], row_id: str) -> Row:
        """Note the id, then answer."""
        self.heard.add(row_id)
        return super().get(row_class, row_id)

    def families(self, family_id: str) -> tuple[str, ...]:
        """Note the family and its ancestors, then answer."""
        found = super().families(family_id)
        self.heard.update((family_id, *found))
        return found

    def rule_keys(self, ancestors: Iterable[str]) -> tuple[str, ...]:
        """Note all that could stand in a rule, then answer."""
        asked = tuple(ancestors)
        self.heard.update(asked)
        return super().rule_keys(asked)

    def ends(self, fitting_id: str) -> Any:
        """Note the fitting, then answer."""
        self.heard.add(fitting_id)
        return super().ends(fitting_id)

    def usual_fluid(self, ancestors: tuple[str, ...]) -> Mapping[str, FluidProperty]:
        """Note fluid and families, then answer."""
        self.heard.update(ancestors)
        return super().usual_fluid(ancestors)

    def wetted(self, ancestors: tuple[str, ...]) -> Mapping[WettedRole, WettedMaterial]:
        """Note part and families, then answer."""
        self.heard.update(ancestors)
        return super().wetted(ancestors)

    def derive(self, key: tuple[str, ...], make: Callable[[], Row]) -> Row:  # noqa: ARG002 - the key is not needed
        """Compute every time, so that nothing is answered unheard."""
        return make()
