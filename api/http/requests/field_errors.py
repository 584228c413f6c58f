"""What the validator found, said to the asker: one useful message a place, in the asker's own field names.

Owns: pydantic's errors -> `FieldProblem`, for service and command line alike. Does not own: validating, or refusals
of the knowledge base.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Any

from api.http.requests.echo import LONGEST_ECHO, clipped
from api.http.requests.field_names import allowed_names, nearest_names
from schemas.answers.problems import FieldProblem
from schemas.questions.loop import PORT_FORM
from schemas.questions.questions import END_FORM, WORD_FORM

Path = tuple[str | int, ...]
Found = Mapping[str, Any]

MOST_PROBLEMS = 20  # told at once; nothing is worked out for the rest
_QUOTED = re.compile("'([^']+)'")
_WANTED = MappingProxyType(
    {
        "string_type": "text",
        "int_type": "a whole number",
        "int_parsing": "a whole number",
        "int_from_float": "a whole number",
        "int_parsing_size": "a smaller whole number",
        "float_type": "a number",
        "float_parsing": "a number",
        "bool_type": "true or false",
        "bool_parsing": "true or false",
        "dict_type": "an object",
        "model_type": "an object",
        "model_attributes_type": "an object",
        "part_type": "text or an object",
        "tuple_type": "a list",
        "list_type": "a list",
    }
)
_FORMS: Mapping[str, str] = MappingProxyType(
    {
        PORT_FORM: "write the part, a dot and its port, such as pump.out",
        WORD_FORM: "write it on one line without control characters",
        END_FORM: "name the end with a letter from a to f",
    }
)
_SAYINGS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "string_too_long": ("is longer than {max_length} characters", "shorten it to {max_length} characters"),
        "string_too_short": ("is shorter than {min_length} characters", "give at least {min_length} characters"),
        "string_pattern_mismatch": ("has a form that is not allowed here", "{form}"),
        "greater_than": ("is not above {gt}", "give a number above {gt}"),
        "greater_than_equal": ("is below {ge}", "give {ge} or more"),
        "less_than": ("is not below {lt}", "give a number below {lt}"),
        "less_than_equal": ("is above {le}", "give {le} or less"),
        "finite_number": ("is not a finite number", "give a finite number"),
        "literal_error": ("is none of the allowed words", "give {expected}"),
        "enum": ("is none of the allowed words", "give {expected}"),
        "too_long": ("has more than {max_length} entries", "give at most {max_length}"),
        "too_short": ("has fewer than {min_length} entries", "give at least {min_length}"),
    }
)


_KIND_ERRORS = frozenset({"union_tag_invalid", "union_tag_not_found"})


def field_problems(found: Sequence[Found], model: Any, asked: Any) -> tuple[FieldProblem, ...]:
    """Return one problem for every place that the validator complains about, of the first `MOST_PROBLEMS` places.

    Args:
        found: entries of `pydantic.ValidationError.errors()`, locations relative to the question.
        model: the question's model, for the names that would have been valid.
        asked: the question as it was asked.

    >>> from pydantic import ValidationError
    >>> from schemas.questions.questions import PairQuestion
    >>> asked = {"a": 5, "b": "thread/g-1-4"}
    >>> try:
    ...     PairQuestion.model_validate(asked)
    ... except ValidationError as error:
    ...     [problem] = field_problems(error.errors(), PairQuestion, asked)
    >>> problem.field, problem.what, problem.fix
    ('a', '5 is not text or an object', 'give text or an object')
    """

    @cache
    def allowed(path: Path) -> tuple[str, ...]:
        return allowed_names(model, path, asked)

    return tuple(_problem(path, group, allowed) for path, group in _first_places(found, asked).items())


def _first_places(found: Sequence[Found], asked: Any) -> dict[Path, list[Found]]:
    """Return what was found at each of the first places, in the order in which they were found."""
    places: dict[Path, list[Found]] = {}
    for one in _each_once(found):
        path = _path_asked(one, asked)
        if path not in places and len(places) == MOST_PROBLEMS:
            break
        places.setdefault(path, []).append(one)
    return places


def _each_once(found: Sequence[Found]) -> Iterator[Found]:
    """Yield what was found, but not lists called too short only because what stands in them was refused."""
    around: set[Path] = set()
    if any(one["type"] == "too_short" for one in found):
        around = {one["loc"][:depth] for one in found for depth in range(len(one["loc"]))}
    return (one for one in found if one["type"] != "too_short" or one["loc"] not in around)


def _path_asked(found: Found, asked: Any) -> Path:
    """Return the location as the asker sees it: union branches, validator names and added units taken out."""
    path: list[str | int] = []
    here = asked
    for step in found["loc"]:
        name = _name_asked(step, here)
        if name is not None:
            path.append(name)
            here = here[name]
    if found["type"] == "missing":
        path.append(found["loc"][-1])
    if found["type"] in _KIND_ERRORS:
        path.append(str(found["ctx"]["discriminator"]).strip("'"))
    return tuple(path)


def _name_asked(step: str | int, here: Any) -> str | int | None:
    if isinstance(here, list):
        return step if isinstance(step, int) and step < len(here) else None
    if not isinstance(here, dict):
        return None
    if step in here:
        return step
    bare = str(step).removesuffix("_mm")
    return bare if bare in here else None


def _problem(path: Path, group: Sequence[Found], allowed: Callable[[Path], tuple[str, ...]]) -> FieldProblem:
    field = clipped(".".join(map(str, path)))
    lead = next((one for one in group if one["type"] not in _WANTED), None)
    if lead is None:
        what, fix = _wrong_type(group)
        return FieldProblem(field=field, what=what, fix=fix)
    if lead["type"] == "extra_forbidden":
        near = nearest_names(str(path[-1])[:LONGEST_ECHO], allowed(path[:-1]))
        return FieldProblem(field=field, what="there is no such field here", fix=_use_one_of(near), nearest=near)
    what, fix = _SAY.get(lead["type"], _say_other)(lead)
    return FieldProblem(field=field, what=what, fix=fix, nearest=_nearest_words(lead))


def _nearest_words(found: Found) -> tuple[str, ...]:
    """Return the allowed words closest to one that is not allowed."""
    context = found.get("ctx", {})
    words = _QUOTED.findall(context.get("expected", context.get("expected_tags", "")))
    word = context.get("tag", found["input"])
    return nearest_names(word[:LONGEST_ECHO], words) if words and isinstance(word, str) else ()


def _use_one_of(near: Sequence[str]) -> str:
    return "use " + " or ".join(near) + ", or leave it out" if near else "leave it out"


def _wrong_type(group: Sequence[Found]) -> tuple[str, str]:
    wanted = " or ".join(dict.fromkeys(_WANTED[one["type"]] for one in group))
    return f"{shown(group[0]['input'])} is not {wanted}", f"give {wanted}"


def _say_known(found: Found) -> tuple[str, str]:
    what, fix = _SAYINGS[found["type"]]
    context = found.get("ctx", {})
    form = _FORMS.get(context.get("pattern", ""), "use small letters, digits and hyphens")
    return f"{shown(found['input'])} {what.format(**context)}", fix.format(**context, form=form)


def _say_missing(_: Found) -> tuple[str, str]:
    return "the field is missing", "give it"


def _say_wrong_kind(found: Found) -> tuple[str, str]:
    context = found["ctx"]
    return f"{shown(context['tag'])} is none of the allowed words", f"give {context['expected_tags']}"


def _say_refused(found: Found) -> tuple[str, str]:
    """Split the text of a validator of ours, `what; fix`."""
    what, _, fix = str(found["ctx"]["error"]).partition("; ")
    return clipped(what, 2 * LONGEST_ECHO), clipped(fix, 2 * LONGEST_ECHO) or "change it"


def _say_other(found: Found) -> tuple[str, str]:
    return clipped(str(found["msg"]), 2 * LONGEST_ECHO), "change it"


_SAY: Mapping[str, Callable[[Found], tuple[str, str]]] = MappingProxyType(
    {
        **dict.fromkeys(_SAYINGS, _say_known),
        "missing": _say_missing,
        "union_tag_not_found": _say_missing,
        "union_tag_invalid": _say_wrong_kind,
        "value_error": _say_refused,
    }
)


def shown(value: Any) -> str:
    """Return a value of the asker's, short and without control characters.

    >>> shown("a" * 100), shown({"a": 1}), shown([1])
    ("'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa…", 'an object', 'a list')
    """
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list | tuple):
        return "a list"
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "null"}[value]
    return clipped(repr(value[:LONGEST_ECHO] if isinstance(value, str) else value), LONGEST_ECHO // 2)
