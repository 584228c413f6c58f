"""The small language of `implied_by` and `contradicted_by`: alternatives of facts that must hold together.

Owns: cell text -> typed facts. Does not own: whether a fact is so (`kb/evidence/requirements.py`).
`a ; b` means that one is enough, `a & b` that both are needed, `not a` that `a` is known and false.
"""

from __future__ import annotations

import re
from enum import StrEnum
from typing import NamedTuple, TypeAlias


class FactKind(StrEnum):
    """What a fact speaks of; `statement` is only what the asker says."""

    STATEMENT = "statement"
    USE = "use"
    MATERIAL = "material"
    PART = "part"
    CONDITION = "condition"
    MEASURED = "measured"
    RATED = "rated"
    NAMED = "named"
    COMPUTED = "computed"
    FLUID = "fluid"
    ROLE = "role"
    CONTENT = "content"


class RequiredFact(NamedTuple):
    """One fact of a requirement.

    Attributes:
        kind: what it speaks of.
        name: what exactly, such as `hose-clamp`; empty for a statement.
        operator: `=`, `<`, `<=`, `>`, `>=` or `+`; empty where the fact just is.
        right: what it is compared with, without its unit; empty where the fact just is.
        unit: unit of the right-hand side.
        is_negated: whether the fact must be known and false.
    """

    kind: FactKind
    name: str
    operator: str = ""
    right: str = ""
    unit: str = ""
    is_negated: bool = False

    @property
    def text(self) -> str:
        """The fact as it is written."""
        named = f"{self.kind}:{self.name}" if self.name else self.kind.value
        return f"{'not ' if self.is_negated else ''}{named}{self.operator}{self.right} {self.unit}".strip()

    @property
    def number(self) -> float | None:
        """The right-hand side as a number; `None` if it is a word."""
        try:
            return float(self.right)
        except ValueError:
            return None


Alternatives: TypeAlias = tuple[tuple[RequiredFact, ...], ...]

_FACT = re.compile(
    r"(?P<negated>not )?(?P<kind>[a-z]+)(?::(?P<name>[a-z0-9/-]+))?"
    r"(?:(?P<operator><=|>=|=|<|>|\+)(?P<right>-?[a-z0-9./:+-]+)(?: (?P<unit>[A-Za-z/%]+))?)?"
)


class FactsError(ValueError):
    """A text that holds no facts of this language; the message says which part and why."""


def parse_facts(text: str) -> Alternatives:
    """Return the alternatives that a cell holds, each with the facts that are needed together; none if it is empty.

    Raises:
        FactsError: if a part is no fact.

    >>> [[fact.text for fact in needed] for needed in parse_facts("role:copper=yes & condition:ph>=7.5 ; statement")]
    [['role:copper=yes', 'condition:ph>=7.5'], ['statement']]
    """
    if not text.strip():
        return ()
    return tuple(tuple(_fact(part.strip()) for part in one.split("&")) for one in text.split(";"))


def _fact(text: str) -> RequiredFact:
    found = _FACT.fullmatch(text)
    kinds = ", ".join(FactKind)
    if found is None or found["kind"] not in list(FactKind):
        raise FactsError(f"{text[:60]!r} is no fact; write one of {kinds}, a colon and what it speaks of")
    if (found["kind"] == FactKind.STATEMENT) is bool(found["name"]):
        raise FactsError(f"{text[:60]!r}: a statement stands alone, and every other fact says what it speaks of")
    name, sign, right, unit = (found[part] or "" for part in ("name", "operator", "right", "unit"))
    return RequiredFact(FactKind(found["kind"]), name, sign, right, unit, bool(found["negated"]))
