"""The descriptor of a release: `datapackage.json`.

Owns: row classes -> Data Package, version 2 of the standard of that name (datapackage.org: Data Package, Data Resource,
Table Schema), with the properties it defines for types, constraints, primary and foreign keys, licences and sources.
Does not own: the columns (`schemas/tables/`).

Beyond the standard, which allows further properties: `unit` is the unit of a column, and `refersTo` names the tables
whose ids a column holds where the standard's foreign keys cannot: several tables, or several ids in one cell.
The text of the standard was read in its public repository; no validator of it was run.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from typing import Any

from kb.store.frozen import BuiltTables
from schemas.columns.columns import Field, fields_of
from schemas.tables import ROW_CLASSES
from schemas.tables.sources import AddressKind, Source

PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
DATA_LICENCE = "https://creativecommons.org/licenses/by/4.0/"
CONTRIBUTORS = "the wetted contributors"
TITLE = "wetted: are the parts of a custom liquid-cooling loop compatible?"
_TYPES = {float: "number", int: "integer", bool: "boolean", date: "date", tuple: "list"}


def data_package(tables: BuiltTables, csv_files: Mapping[str, bytes]) -> bytes:
    """Return the descriptor of the CSV files of a release.

    Args:
        tables: the tables.
        csv_files: table name -> content of its CSV file.
    """
    package = {
        "$schema": PROFILE,
        "name": "wetted-tables",
        "id": f"sha256:{tables.digest}",
        "title": TITLE,
        "version": tables.version,
        "licenses": [{"name": "CC-BY-4.0", "path": DATA_LICENCE, "title": "Creative Commons Attribution 4.0"}],
        "contributors": [{"title": CONTRIBUTORS, "roles": ["creator"]}],
        "sources": [_source(source) for source in tables.rows[Source.table]],
        "resources": [_resource(name, content) for name, content in csv_files.items()],
    }
    return (json.dumps(package, indent=2, ensure_ascii=False) + "\n").encode()


def _source(source: Source) -> dict[str, str]:
    """Return a source in the words of the standard: `path` is a URL; an address of another kind has its own name."""
    title = f"{source.publisher}: {source.title}" if source.publisher else source.title
    version = ", ".join(part for part in (source.edition, source.year) if part)
    described = {"title": title} | ({"version": version} if version else {})
    if source.address and source.address_kind:
        is_url = source.address_kind is AddressKind.URL
        described["path" if is_url else source.address_kind.value] = source.address
    return described


def _resource(table: str, content: bytes) -> dict[str, Any]:
    return {
        "name": table,
        "type": "table",
        "title": table.replace("_", " "),
        "description": (ROW_CLASSES[table].__doc__ or "").strip(),
        "path": f"csv/{table}.csv",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "bytes": len(content),
        "hash": f"sha256:{hashlib.sha256(content).hexdigest()}",
        "schema": table_schema(table),
    }


def table_schema(table: str) -> dict[str, Any]:
    """Return the Table Schema of a table.

    >>> table_schema("tubes")["foreignKeys"][0]
    {'fields': ['family_id'], 'reference': {'resource': 'families', 'fields': ['id']}}
    """
    fields = fields_of(ROW_CLASSES[table])
    keys = [_foreign_key(table, field) for field in fields if _is_foreign_key(field)]
    schema: dict[str, Any] = {"fields": [_field(field) for field in fields], "primaryKey": ["id"]}
    return schema | ({"foreignKeys": keys} if keys else {})


def _is_foreign_key(field: Field) -> bool:
    return len(field.column.refers_to) == 1 and field.kind is not tuple


def _foreign_key(table: str, field: Field) -> dict[str, Any]:
    target = field.column.refers_to[0]
    resource = {} if target == table else {"resource": target}  # the standard leaves it out for a table's own rows
    return {"fields": [field.name], "reference": {**resource, "fields": ["id"]}}


def _field(field: Field) -> dict[str, Any]:
    column = field.column
    described: dict[str, Any] = {
        "name": field.name,
        "type": _TYPES.get(field.kind, "string"),
        "title": column.title,
        "description": column.description,
        "example": column.example,
    }
    if field.kind is bool:
        described |= {"trueValues": ["yes"], "falseValues": ["no"]}
    if field.kind is tuple:
        described |= {"delimiter": " ", "itemType": "string"}
    if column.unit:
        described["unit"] = column.unit
    if column.refers_to and not _is_foreign_key(field):
        described["refersTo"] = list(column.refers_to)
    constraints = _constraints(field)
    return described | ({"constraints": constraints} if constraints else {})


def _constraints(field: Field) -> dict[str, Any]:
    column = field.column
    stated: dict[str, Any] = {
        "required": not field.nullable and field.kind is not tuple,
        "unique": column.unique,
        "pattern": column.pattern,
        "enum": list(field.choices) if field.kind is not bool else [],
    }
    bounds = {
        "minimum": column.at_least,
        "exclusiveMinimum": column.above,
        "maximum": column.at_most,
        "exclusiveMaximum": column.below,
    }
    return {name: value for name, value in stated.items() if value} | {
        name: value for name, value in bounds.items() if value is not None
    }
