"""What the questions' models accept and their generated JSON Schema cannot say by itself.

Owns: completing the schemas of questions for the description. Does not own: the questions (`schemas/questions.py`).
"""

from __future__ import annotations

from typing import Any

from schemas.questions import INLINE_KINDS

_SAYS_WHAT_IT_IS = ({"required": ["kind"]}, {"required": ["is"], "properties": {"is": {"type": "string"}}})


def complete_questions(schemas: dict[str, Any]) -> None:
    """Complete the schemas of questions, in place.

    Lengths under their bare names are added, an inline part has to say what it is, and objects whose names follow a
    pattern take no other names.

    Args:
        schemas: component name -> schema, as generated.
    """
    for part in INLINE_KINDS.values():
        schema = schemas[part.__name__]
        schema["properties"] |= {name: _length(name) for name in part.lengths}
        schema["anyOf"] = list(_SAYS_WHAT_IT_IS)
    for schema in schemas.values():
        for described in schema.get("properties", {}).values():
            if "patternProperties" in described:
                described["additionalProperties"] = False


def _length(name: str) -> dict[str, Any]:
    described = f"In place of {name}_mm: the length as text with its unit, such as 3/8 in or 12 mm."
    return {"type": "string", "description": described, "examples": ["3/8 in"]}
