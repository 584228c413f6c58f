"""How an answer becomes JSON and comes back from it.

Owns: the base of all answers. Does not own: their fields (`schemas/answers/*.py`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from pydantic import TypeAdapter


class Described:
    """What a field of an answer means, for the JSON schema: `Annotated[str, Described("...")]`.

    Beside `pydantic.Field` it needs no library, so that an answer can be made without loading one.
    """

    def __init__(self, description: str, **more: Any) -> None:
        """Describe a field.

        Args:
            description: what it means.
            more: further keywords of JSON Schema, such as `examples`.
        """
        self._said = {"description": description, **more}

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        """Return the schema of the field with its description; pydantic asks for it."""
        return {**handler(schema), **self._said}


class AnswerModel:
    """Base of everything we answer: frozen dataclasses with slots, written by one cached serialiser a class.

    Nothing is validated when an answer is made; what is read back with `from_json` is.
    """

    __slots__ = ()

    def to_json(self, indent: int | None = None) -> str:
        """Return the answer as JSON text.

        Args:
            indent: blanks a level; `None` for one line.
        """
        return self.to_json_bytes(indent).decode()

    def to_json_bytes(self, indent: int | None = None) -> bytes:
        """Return the answer as JSON in UTF-8."""
        return _adapter(type(self)).dump_json(self, indent=indent)

    def to_dict(self) -> dict[str, Any]:
        """Return the answer as JSON would hold it: dictionaries, lists, texts, numbers."""
        found: dict[str, Any] = _adapter(type(self)).dump_python(self, mode="json")
        return found

    @classmethod
    def from_json(cls, text: str | bytes) -> Self:
        """Return the answer that a JSON text holds; fields that are not known here are left out.

        Raises:
            pydantic.ValidationError: if a field is missing or of another type.
        """
        found: Self = _adapter(cls).validate_json(text)
        return found

    @classmethod
    def from_dict(cls, value: Any) -> Self:
        """Return the answer that a dictionary as of JSON holds.

        Raises:
            pydantic.ValidationError: as for JSON.
        """
        found: Self = _adapter(cls).validate_python(value)
        return found

    @classmethod
    def json_schema(cls, ref_template: str = "#/$defs/{model}") -> dict[str, Any]:
        """Return the JSON schema of the answer as it is written."""
        return _adapter(cls).json_schema(mode="serialization", ref_template=ref_template)


_ADAPTERS: dict[type[AnswerModel], TypeAdapter[Any]] = {}


def _adapter(model: type[AnswerModel]) -> TypeAdapter[Any]:
    found = _ADAPTERS.get(model)
    if found is None:
        from pydantic import TypeAdapter  # noqa: PLC0415 - 70 ms, which whoever only decides never needs

        found = _ADAPTERS[model] = TypeAdapter(model)
    return found
