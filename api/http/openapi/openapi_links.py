"""Where an answer leads: what it names can be asked about next (OpenAPI link objects).

Owns: the list of links and writing them into the description. Does not own: the operations.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

_FOUND = "$response.body#/candidates/0/part"


@dataclass(frozen=True, slots=True)
class Link:
    """One step from an answer to the next question.

    Attributes:
        source: id of the operation that answered.
        name: name of the link.
        target: id of the operation to ask next.
        parameters: parameter of the next question -> where its value stands (OpenAPI runtime expression).
        text: what the step is for.
    """

    source: str
    name: str
    target: str
    parameters: Mapping[str, str]
    text: str


LINKS = (
    Link(
        "list_tables",
        "readFirstTable",
        "read_table",
        MappingProxyType({"table": "$response.body#/tables/0/table"}),
        "Read a table.",
    ),
    Link(
        "read_table",
        "readOn",
        "read_table",
        MappingProxyType({"table": "$response.body#/table", "after": "$response.body#/records/0/id"}),
        "Read on behind a row.",
    ),
    *(
        Link(source, "partnersOfFound", "read_partners", MappingProxyType({"part": _FOUND}), "Ask what fits it.")
        for source in ("read_find", "ask_find")
    ),
    *(
        Link(
            source,
            "pairWithFirst",
            "read_pair",
            MappingProxyType({"a": "$response.body#/part", "b": "$response.body#/partners/0/part"}),
            "Ask why they are compatible.",
        )
        for source in ("read_partners", "ask_partners")
    ),
)


def describe_links(described: dict[str, Any]) -> None:
    """Write the links into a description.

    Args:
        described: the description, which is changed.
    """
    by_id = {
        operation["operationId"]: operation
        for operations in described["paths"].values()
        for operation in operations.values()
    }
    for link in LINKS:
        reported = {"operationId": link.target, "parameters": dict(link.parameters), "description": link.text}
        by_id[link.source]["responses"]["200"].setdefault("links", {})[link.name] = reported
