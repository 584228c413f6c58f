"""JSON Schema of every question and every answer.

Owns: pydantic models -> two files with all definitions. Does not own: the models (`schemas/questions/questions.py`,
`schemas/answers/answers.py` and their neighbours for loops), or what their generated schemas cannot say
(`schemas/questions/question_schemas.py`).
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Literal

from pydantic import TypeAdapter

from kb.parts.ranges import describe_ranges
from schemas.answers import answers
from schemas.answers import loop as loop_answers
from schemas.questions import loop as loop_questions
from schemas.questions import questions
from schemas.questions.question_schemas import complete_questions
from schemas.tables.quantities import Quantity

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def question_schemas(quantities: Sequence[Quantity]) -> bytes:
    """Return the schema of all questions; `#/$defs/PairQuestion` and so on are the single ones.

    Args:
        quantities: whose ranges hold for the numbers in them.
    """
    models = _models((questions, loop_questions), questions.Asked, "Question")
    return _schema_file("Questions", models, "validation", quantities)


def answer_schemas() -> bytes:
    """Return the schema of all answers; `#/$defs/PairAnswer` and so on are the single ones."""
    return _schema_file("Answers", _models((answers, loop_answers), answers.Answer, "Answer"), "serialization")


def _models(modules: Sequence[Any], base: type[Any], ending: str) -> list[type[Any]]:
    """Return the models of modules that end in a word, the bare base excepted, sorted by name."""
    members = [member for module in modules for member in vars(module).items()]
    found = {name: model for name, model in members if isinstance(model, type) and issubclass(model, base)}
    return [model for name, model in sorted(found.items()) if name.endswith(ending) and model is not base]


def _schema_file(
    title: str,
    models: Sequence[type[Any]],
    mode: Literal["validation", "serialization"],
    quantities: Sequence[Quantity] = (),
) -> bytes:
    _, generated = TypeAdapter.json_schemas([(model.__name__, mode, TypeAdapter(model)) for model in models])
    definitions = generated["$defs"]
    if mode == "validation":
        complete_questions(definitions)
        describe_ranges(definitions, quantities)
    schema = {
        "$schema": DIALECT,
        "title": title,
        "anyOf": [{"$ref": f"#/$defs/{model.__name__}"} for model in models],
        "$defs": dict(sorted(definitions.items())),
    }
    return (json.dumps(schema, indent=2, ensure_ascii=False) + "\n").encode()
