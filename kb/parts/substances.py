"""Substances as elements: rows of materials, fluids and additives with what rules need of them.

Owns: row -> `Element` for substances. Does not own: finding parts an asker means (`kb/parts/resolver.py`).
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from kb.parts.part import SUBSTANCES, Element, ElementKind
from kb.store.snapshot import Snapshot
from schemas.columns.columns import fields_of
from schemas.columns.provenance import Basis, Confidence
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid, ShareBasis, Stated
from schemas.tables.materials import Material

Substance = Material | Fluid | Additive
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_WIDEST_FAMILY: Mapping[str, tuple[type[Substance], str]] = {
    "metal": (Material, "family/metal"),
    "plastic": (Material, "family/plastic"),
    "elastomer": (Material, "family/elastomer"),
    "fluid": (Fluid, "family/fluid"),
    "additive": (Additive, "family/additive"),
}
_NOBODY_SAYS: Mapping[str, Any] = {
    "share_basis": ShareBasis.NONE,
    "inhibited": Stated.UNKNOWN,
    "biocide": Stated.UNKNOWN,
    "particles": Stated.UNKNOWN,
    "dyed": Stated.UNKNOWN,
    "role": "",
    "source_id": "",
    "basis": Basis.FROM_MEMORY,
    "confidence": Confidence.LOW,
    "checked_on": date.min,
}
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
    own = (row.id,) if snapshot.row(row.id) is not None else ()
    families = own + snapshot.families(row.family_id)
    usual = {} if isinstance(row, Material) else snapshot.usual_fluid(families)
    sides = snapshot.rule_sides(families)
    return Element(_KINDS[type(row)], label, row, families, sides, usual=usual, stated=stated or {})


def material_element(snapshot: Snapshot, material_id: str) -> Element:
    """Return an archetype of a material as an element; made once.

    Raises:
        KeyError: if there is no such material.
    """
    row = snapshot.row(material_id)
    stranger = outside_tables(material_id) if row is None else None
    if isinstance(stranger, Material):
        return substance_element(snapshot, stranger, stranger.id)  # not kept: askers invent such ids
    if not isinstance(row, Material):
        raise KeyError(material_id)
    return snapshot.derive(("material-element", material_id), lambda: substance_element(snapshot, row, row.id))


def outside_tables(substance_id: str) -> Substance | None:
    """Return a row for a substance that no table holds, of which only the widest family is known from its id.

    Returns:
        A row without any figure; `None` if the id is not one of a substance.
    """
    prefix, _, slug = substance_id.partition("/")
    if not _SLUG.fullmatch(slug) or prefix not in _WIDEST_FAMILY:
        return None
    row_class, family = _WIDEST_FAMILY[prefix]
    blank: dict[str, Any] = {field.name: None for field in fields_of(row_class)}
    known = {**blank, **_NOBODY_SAYS, "id": substance_id, "family_id": family, "title": substance_id}
    return row_class(**{name: value for name, value in known.items() if name in blank})


def is_outside_tables(snapshot: Snapshot, element: Element) -> bool:
    """Return whether an element stands for a substance that no table holds."""
    return element.kind in SUBSTANCES and snapshot.row(element.row.id) is None


def dosed(fluid: Element, additives: Sequence[Element]) -> Element:
    """Return a fluid with additives in it: what they usually bring (a biocide, for one) counts for the fluid.

    Args:
        fluid: the fluid.
        additives: what was put into it.
    """
    brought = {quantity: row for additive in additives for quantity, row in additive.usual.items()}
    return dataclasses.replace(fluid, usual={**fluid.usual, **brought}) if brought else fluid
