"""What the questions' models accept and their generated JSON Schema cannot say by itself.

Owns: completing generated schemas of questions. Does not own: the questions (`schemas/questions/questions.py`,
`schemas/questions/loop.py`).
"""

from __future__ import annotations

import typing
from typing import Any

from schemas.questions.loop import AnyComponent, BranchingFitting
from schemas.questions.questions import INLINE_KINDS

_BY_ID = {"properties": {"is": {"type": "string"}}, "required": ["is"]}
_BY_PORTS = {"properties": {"ports": {"minProperties": 1}}, "required": ["ports"]}


def complete_questions(schemas: dict[str, Any]) -> None:
    """Complete the schemas of questions, in place.

    Lengths may stand under their bare names, but not twice; an inline part has to say what it is; a device of a loop
    needs ports or an id and a fitting an id; objects whose names follow a pattern take no other names.

    Args:
        schemas: component name -> schema, as generated.
    """
    for kind, part in INLINE_KINDS.items():
        schema = schemas[part.__name__]
        for name in part.lengths:
            schema["properties"][name] = _length(name)
            schema.setdefault("allOf", []).append({"not": {"required": [name, f"{name}_mm"]}})
        schema["anyOf"] = [{"required": ["kind"]}, _is_like(kind)]
    for component in typing.get_args(AnyComponent):
        schema = schemas[component.__name__]
        if component is BranchingFitting:
            schema["properties"]["ports"]["maxProperties"] = 0
        else:
            schema["anyOf"] = [_BY_ID, _BY_PORTS]
    for schema in schemas.values():
        for described in schema.get("properties", {}).values():
            if "patternProperties" in described:
                described["additionalProperties"] = False


def _is_like(kind: str) -> dict[str, Any]:
    return {"required": ["is"], "properties": {"is": {"type": "string", "pattern": f"^{kind}/"}}}


def _length(name: str) -> dict[str, Any]:
    described = f"In place of {name}_mm: the length as text with its unit, such as 3/8 in or 12 mm."
    return {"type": "string", "description": described, "examples": ["3/8 in"]}
