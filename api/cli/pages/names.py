"""What people call the rows that an answer names by id.

Owns: looking up the words for ids while a page is written. Does not own: the words (titles and reasons in the tables).
Parts with dimensions keep their ids, as builders ask by them; substances are called by their titles.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from kb.report.sentences.findings import number_text, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.answers import CitedFact
from schemas.tables.additives import Additive
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.fluids import Fluid
from schemas.tables.limits import Limit
from schemas.tables.material_properties import MaterialProperty
from schemas.tables.materials import Material
from schemas.tables.quantities import Quantity
from schemas.tables.rules import Rule

WITH = " with "
_IN = " in "
_ID = re.compile(r"\b[a-z]+/[a-z0-9]+(?:-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class Names:
    """Finds words for ids.

    Attributes:
        snapshot: the knowledge that the answer came from.
    """

    snapshot: Snapshot

    def title(self, row_id: str) -> str:
        """Return what people call a row; its id if it has no title."""
        return row_name(self.snapshot, row_id)

    def within(self, text: str) -> str:
        """Return a text in which substances, and values of theirs, are called by titles instead of ids."""
        return _ID.sub(lambda match: self._substance(match.group()), text)

    def pair(self, place: str) -> str:
        """Return what meets at a place in a fluid, without the fluid; an additive is named.

        >>> from kb import load
        >>> Names(load().snapshot).pair("metal/copper beside metal/tin in fluid/distilled-water")
        'copper beside tin'
        """
        pair, _, other = place.rpartition(WITH if WITH in place else _IN)
        return self.within(place if other.startswith("additive/") else pair)

    def quantity(self, quantity_id: str) -> str:
        """Return what people call a quantity."""
        return self.snapshot.get(Quantity, quantity_id).title

    def why(self, row_id: str) -> str:
        """Return what a rule or limit says in words."""
        row: Any = self.snapshot.row(row_id)
        if isinstance(row, Rule):
            return row.reason
        return row.consequence if isinstance(row, Limit) else row_id

    def value(self, fact: CitedFact) -> str | None:
        """Return a value of a substance in words, with its unit; `None` if the fact is about something else."""
        row = self.snapshot.row(fact.row)
        if isinstance(row, MaterialProperty):
            return f"{self.title(row.material_id)}: {_spelt(row.property)} {_number(fact.value, row.unit)}"
        if isinstance(row, Assumption | FluidProperty):
            origin = origin_word(fact.row)
            return f"{self.quantity(row.quantity_id)} {_number(fact.value, row.unit)} ({origin})"
        return None

    def _substance(self, row_id: str) -> str:
        row = self.snapshot.row(row_id)
        if isinstance(row, MaterialProperty):
            return self.title(row.material_id)
        return row.title if isinstance(row, Material | Fluid | Additive) else row_id


def origin_word(origin: str | None) -> str:
    """Return how a value came to be known.

    >>> origin_word("fluid-property/distilled-water-ph"), origin_word("assumption/inhibited"), origin_word(None)
    ('usual', 'assumed', 'stated')
    """
    if origin is None:
        return "stated"
    return "assumed" if origin.startswith("assumption/") else "usual"


def _number(value: float | str, unit: str) -> str:
    return number_text(value, unit) if isinstance(value, float) else value


def _spelt(name: str) -> str:
    return name.replace("-", " ")
