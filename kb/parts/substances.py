"""Substances as elements: rows of materials, fluids and additives with what rules need of them.

Owns: row -> `Element` for substances. Does not own: finding parts an asker means (`kb/parts/resolver.py`).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from kb.parts.part import Element, ElementKind
from kb.store.snapshot import Snapshot
from schemas.tables.additives import Additive
from schemas.tables.families import Family
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material

Substance = Material | Fluid | Additive
_KINDS: Mapping[type[Substance], ElementKind] = {
    Material: ElementKind.MATERIAL,
    Fluid: ElementKind.FLUID,
    Additive: ElementKind.ADDITIVE,
}


def substance_element(
    snapshot: Snapshot, row: Substance, label: str, stated: Mapping[str, float] | None = None
) -> Element:
    """Return a substance as an element.

    Args:
        snapshot: the knowledge.
        row: the row of the substance.
        label: how it is named in answers.
        stated: of a fluid: quantity id -> what the asker says it is.
    """
    families = (row.id, *snapshot.families(row.family_id))
    usual = {} if isinstance(row, Material) else snapshot.usual_fluid(families)
    sides = snapshot.rule_keys(families)
    return Element(_KINDS[type(row)], label, row, families, sides, usual=usual, stated=stated or {})


def material_element(snapshot: Snapshot, material_id: str) -> Element:
    """Return an archetype of a material as an element; made once.

    Raises:
        KeyError: if there is no such material.
    """
    row = snapshot.get(Material, material_id)
    return snapshot.derive(("material-element", material_id), lambda: substance_element(snapshot, row, row.id))


def content_families(snapshot: Snapshot, word: str) -> tuple[str, ...]:
    """Return the additive or the family that a word of `contains` names, nearest first, with the families above it.

    Args:
        snapshot: the knowledge.
        word: as `contents` of a row writes it; nothing is returned for one that names neither.
    """
    additive = snapshot.row(f"additive/{word}")
    if isinstance(additive, Additive):
        return (additive.id, *snapshot.families(additive.family_id))
    family = snapshot.row(f"family/{word}")
    return snapshot.families(family.id) if isinstance(family, Family) else ()


def dosed(fluid: Element, additives: Sequence[Element]) -> Element:
    """Return a fluid with additives in it: what they usually bring (a biocide, for one) counts for the fluid.

    Args:
        fluid: the fluid.
        additives: what was put into it.
    """
    brought = {quantity: row for additive in additives for quantity, row in additive.usual.items()}
    if not additives:
        return fluid
    return dataclasses.replace(fluid, usual={**fluid.usual, **brought}, additives=(*fluid.additives, *additives))
