"""What a new row could be called, what spec sheets call the part, and which source could be meant.

Owns: proposals from what is already known of a row. Does not own: deciding (the curator does) or judging the row.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import count
from types import MappingProxyType
from typing import Any

from kb.store.typed_rows import Tables
from schemas.columns.sizes import plain_characters
from schemas.tables import ROW_CLASSES
from schemas.tables.families import Family
from schemas.tables.kinds import prefixes_of

LONGEST_SLUG = 60
_NAMING_COLUMNS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "tubes": ("family_id", "designation"),
        "threads": ("designation",),
        "seals": ("designation",),
        "thread_tolerances": ("thread_id", "side", "tolerance_class"),
        "fitting_ends": ("fitting_id", "position"),
        "pump_points": ("pump_id",),
        "fan_points": ("fan_id",),
        "resistances": ("family_id", "direction"),
        "tolerances": ("subject_id", "dimension"),
        "material_properties": ("material_id", "property"),
        "fluid_properties": ("subject_id", "quantity_id"),
        "wetted_materials": ("subject_id", "role"),
        "rules": ("subject_id", "object_id"),
        "rule_conditions": ("rule_id", "quantity_id"),
        "evidence": ("subject", "relation"),
        "disputes": ("rule_id",),
        "requirements": ("sentence",),
        "limits": ("quantity_id", "family_id"),
        "assumptions": ("quantity_id",),
        "metal_groups": ("material_id", "group"),
        "metal_couples": ("group", "other_group"),
        "aliases": ("words",),
        "messages": ("sentence",),
        "renamed_ids": ("old_id",),
    }
)
_NAMES, _REMARKS = ("id", "title", "designation"), ("publisher", "edition", "note")
_NUMBERED = ("pump_points", "fan_points")
_BETWEEN_SIZES = re.compile(r"(?<=\d) ?x ?(?=\d)")
_IDLE_WORDS = re.compile(r"\b(mm|in|the|a|an|of|for|to|and|with|fitting|tube)\b")


def slug(text: str) -> str:
    """Return a text as the second half of an id.

    >>> slug("3/8 x 5/8 in"), slug("compression fitting for 10 x 16 mm tube, G 1/4")
    ('3-8x5-8', 'compression-10x16-g-1-4')
    """
    sizes = _BETWEEN_SIZES.sub("x", plain_characters(text))
    full = _hyphened(_IDLE_WORDS.sub(" ", sizes)) or _hyphened(sizes)
    return full if len(full) <= LONGEST_SLUG else full[:LONGEST_SLUG].rpartition("-")[0]


def _hyphened(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")


def propose_id(table: str, cells: Mapping[str, str], tables: Tables, taken: Sequence[str] = ()) -> str:
    """Return an id nobody uses, made from what the row says of itself; empty if that says nothing yet.

    Args:
        table: table of the row.
        cells: column name -> text.
        tables: the tables as they are.
        taken: further ids in use.
    """
    prefix = _prefix(table, cells, tables)
    naming = [cells.get(column, "") for column in _NAMING_COLUMNS.get(table, ("title",))]
    parts = [_hyphened(text) if table == "renamed_ids" else _part(text, prefix) for text in naming]
    if not all(parts):
        return ""
    joint = _rule_joint(cells["object_id"], tables) if table == "rules" else "-"
    stem = f"{prefix}/{joint.join(parts)}"
    used = {row.id for row in tables.rows[table]} | set(taken)
    if stem not in used and table not in _NUMBERED:
        return stem
    first = 1 if table in _NUMBERED else 2
    return next(name for name in (f"{stem}-{number}" for number in count(first)) if name not in used)


def _prefix(table: str, cells: Mapping[str, str], tables: Tables) -> str:
    prefixes = prefixes_of(table)
    ancestors = _ancestors(cells.get("family_id", ""), tables) if len(prefixes) > 1 else ()
    return next((prefix for prefix in prefixes if f"family/{prefix}" in ancestors), prefixes[0])


def _ancestors(family_id: str, tables: Tables) -> tuple[str, ...]:
    parents = {row.id: row.parent_id for row in tables.of(Family)}
    chain: list[str] = []
    step: str | None = family_id
    while step and step not in chain:
        chain.append(step)
        step = parents.get(step)
    return tuple(chain)


def _part(text: str, prefix: str) -> str:
    """Return what an id or a text adds to a name: `family/tube-soft` adds `soft` to that of a tube."""
    if "/" in text and text.split("/", 1)[0] in _all_prefixes():
        return text.split("/", 1)[1].removeprefix(f"{prefix}-")
    return slug(text)


def _all_prefixes() -> frozenset[str]:
    return frozenset(prefix for table in ROW_CLASSES for prefix in prefixes_of(table))


def _rule_joint(object_id: str, tables: Tables) -> str:
    """Return what stands between the sides in the name of a rule: something is in a liquid, or with anything else."""
    family = next((row.family_id for row in tables.rows["fluids"] if row.id == object_id), object_id)
    return "-in-" if "family/fluid" in _ancestors(family, tables) else "-with-"


def propose_words(table: str, cells: Mapping[str, str]) -> str:
    """Return what a spec sheet probably calls the part, in the plain form of aliases; empty if nothing is known.

    >>> propose_words("tubes", {"designation": "9 x 13 mm", "title": "soft tube 9 x 13 mm"})
    '9/13'
    >>> propose_words("materials", {"title": "Tin bronze", "designation": "CuSn8"})
    'cusn8'
    """
    named = " ".join(plain_characters(cells.get("designation") or cells.get("title", "")).split())
    if table != "tubes":
        return named
    sizes = named.removesuffix(" mm").removesuffix(" in")
    return sizes if "/" in sizes else sizes.replace(" x ", "/")


def nearest_rows(words: str, names: Sequence[str], tables: Tables, most: int = 5) -> tuple[Any, ...]:
    """Return the rows whose id and words answer best to what was typed.

    Args:
        words: for example `EN 1057` or `soft tube`.
        names: tables to look in.
        tables: the tables as they are.
        most: how many to return.
    """
    from rapidfuzz import fuzz, utils  # noqa: PLC0415 - only this needs it

    rows = [row for name in names for row in tables.rows[name]]
    wanted = utils.default_process(words)

    def said(row: Any, columns: Sequence[str]) -> str:
        return utils.default_process(" ".join(str(getattr(row, column, None) or "") for column in columns))

    def distance(row: Any) -> tuple[float, float, int]:
        named, all_said = said(row, _NAMES), said(row, (*_NAMES, *_REMARKS))
        return -fuzz.token_set_ratio(wanted, named), -fuzz.token_set_ratio(wanted, all_said), len(named)

    return tuple(sorted(rows, key=distance)[:most])


def usual_value(table: str, column: str, like: Mapping[str, str], tables: Tables) -> str:
    """Return what most rows with the same other cells say in a column; empty if there are none.

    Args:
        table: the table.
        column: the column wanted.
        like: other columns and their texts.
        tables: the tables as they are.
    """
    rows = [row for row in tables.rows[table] if all(str(getattr(row, name)) == text for name, text in like.items())]
    said = sorted(str(getattr(row, column)) for row in rows)
    return max(said, key=said.count) if said else ""


def propose_title(table: str, cells: Mapping[str, str], tables: Tables) -> str:
    """Return the title of a tube, made of its family's title and its size; empty if there is none to make."""
    family = next((row for row in tables.of(Family) if row.id == cells.get("family_id")), None)
    if table != "tubes" or family is None or not cells.get("designation"):
        return ""
    return f"{family.title} {cells['designation']}"
