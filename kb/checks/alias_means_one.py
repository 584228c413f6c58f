"""Words that mean a part for sure mean one part only.

Owns: finding words with two sure meanings. Does not own: their spelling (`alias_words_plain.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.aliases import Alias, AliasRelation

CODE = "ALI-002"
PROMISE = "Words that mean a part for sure mean one part only."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active alias of relation `same` whose words another one claims for another part."""
    first: dict[str, Alias] = {}
    for alias in tables.active(Alias):
        if alias.relation is AliasRelation.SAME:
            earlier = first.setdefault(alias.words, alias)
            if earlier.part_id != alias.part_id:
                what = f"{alias.words!r} means {earlier.part_id} by {earlier.id}"
                yield tables.fault(alias, "relation", CODE, what, "write also-sold-as or often-confused in one of them")
