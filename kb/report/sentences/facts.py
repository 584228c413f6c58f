"""Facts of requirements in words: `role:copper=yes` is "the coolant protects copper".

Owns: how the facts that imply or contradict a requirement read. Does not own: their language
(`schemas/columns/facts.py`), or whether a fact is so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.store.snapshot import Snapshot
from schemas.columns.facts import FactKind, RequiredFact, parse_facts

_METALS = MappingProxyType(
    {
        "anode": "the less noble metal",
        "cathode": "the more noble metal",
        "base": "the metal below the plating",
        "metal": "this metal",
        "iron": "iron and steel",
    }
)
_ROLES = MappingProxyType(
    {
        "biostatic": "the coolant stops growth by itself",
        "biocide": "a biocide that works at this pH is in it",
        "buffer": "the coolant holds its pH",
    }
)
_COMPARED = MappingProxyType({"=": "is", "<": "is below", "<=": "is at most", ">": "is above", ">=": "is at least"})
_ENDS = MappingProxyType(
    {
        "in-fluid-band": "is within the range of the coolant",
        "outside-fluid-band": "is outside the range of the coolant",
        "fluid:service-interval": "the interval after which the coolant is changed",
        "additive:dose-high": "the highest dose of the additive",
    }
)


def facts_in_words(snapshot: Snapshot, text: str) -> str:
    """Return facts as people say them.

    Args:
        snapshot: the knowledge, for titles.
        text: facts as rows write them, `&` between facts that hold together, `;` between alternatives.
    """
    alternatives = parse_facts(text)
    return "; ".join(" and ".join(_fact(snapshot, fact) for fact in needed) for needed in alternatives)


def _fact(snapshot: Snapshot, fact: RequiredFact) -> str:
    said = _SAYING.get(fact.kind, _other)(snapshot, fact)
    return f"not: {said}" if fact.is_negated else said


def _role(_snapshot: Snapshot, fact: RequiredFact) -> str:
    does = "harms" if fact.right == "harms" else "protects"
    return _ROLES.get(fact.name) or f"the coolant {does} {_METALS.get(fact.name, fact.name)}"


def _condition(snapshot: Snapshot, fact: RequiredFact) -> str:
    quantity = snapshot.row(f"quantity/{fact.name}")
    title = quantity.title if quantity is not None else _words(fact.name)
    if fact.right.endswith("-fluid-band"):
        return f"{title} {_ENDS[fact.right]}"
    return f"{title} {_COMPARED[fact.operator]} {_ENDS.get(fact.right, fact.right)} {fact.unit}".rstrip()


def _material(snapshot: Snapshot, fact: RequiredFact) -> str:
    row = snapshot.row(fact.name)
    return f"the material is {row.title if row is not None else fact.name}"


def _fluid(snapshot: Snapshot, fact: RequiredFact) -> str:
    if fact.name == "family":
        row = snapshot.row(fact.right)
        return f"the fluid is {row.title if row is not None else fact.right}"
    return {"water": "the water is pure", "premix": "the fluid is made as coolant"}.get(
        fact.name, "one fluid fills all"
    )


def _content(_snapshot: Snapshot, fact: RequiredFact) -> str:
    return f"the fluid contains {'no ' if fact.right == 'no' else ''}{_words(fact.name)}"


def _part(_snapshot: Snapshot, fact: RequiredFact) -> str:
    if fact.name == "radiator-core":
        return "it is no core of a radiator" if fact.right == "no" else "it is the core of a radiator"
    return f"{_words(fact.name)} {'missing' if fact.right == 'no' else 'present'}"


def _use(_snapshot: Snapshot, _fact: RequiredFact) -> str:
    return "it fills the loop"


def _other(_snapshot: Snapshot, fact: RequiredFact) -> str:
    compared = (
        f" {_COMPARED.get(fact.operator, fact.operator)} {_words(fact.right)} {fact.unit}" if fact.operator else ""
    )
    return f"{_words(fact.name)}{compared}".strip() or "stated"


def _words(name: str) -> str:
    return name.rpartition(":")[2].replace("-", " ")


_SAYING: Mapping[FactKind, Callable[[Snapshot, RequiredFact], str]] = MappingProxyType(
    {
        FactKind.ROLE: _role,
        FactKind.CONDITION: _condition,
        FactKind.MATERIAL: _material,
        FactKind.FLUID: _fluid,
        FactKind.CONTENT: _content,
        FactKind.PART: _part,
        FactKind.USE: _use,
    }
)
