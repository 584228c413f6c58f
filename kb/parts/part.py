"""Parts as the engine sees them: a row, its families, what the asker gave, and the ends that can be joined.

Owns: the types `Part` and `Element`. Does not own: making them from ids or questions (`kb/parts/resolver.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, TypeVar

from kb.evidence.tree import Fact
from schemas.tables.additives import Additive
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material
from schemas.tables.ports import Port
from schemas.tables.seals import Seal
from schemas.tables.threads import Thread, ThreadGender
from schemas.tables.tubes import Tube

PartRow = Thread | Port | Tube | Fitting | Seal | Material | Fluid | Additive
ElementRow = Thread | Port | Tube | FittingEnd | Seal | Material | Fluid | Additive

Found = TypeVar("Found")


class ElementKind(StrEnum):
    """What can take part in a joint."""

    THREAD = "thread"
    PORT = "port"
    TUBE = "tube"
    SEAL = "seal"
    MALE_THREAD = "male-thread"
    FEMALE_THREAD = "female-thread"
    BARB = "barb"
    SOFT_COMPRESSION = "soft-compression"
    RIGID_COMPRESSION = "rigid-compression"
    PUSH_IN = "push-in"
    COUPLING_PLUG = "coupling-plug"
    COUPLING_SOCKET = "coupling-socket"
    MATERIAL = "material"
    FLUID = "fluid"
    ADDITIVE = "additive"


_BESIDE_THE_ROW = ("kind", "families", "rule_keys", "given", "gender", "stated_tolerances", "stated")
SUBSTANCES = frozenset({ElementKind.MATERIAL, ElementKind.FLUID, ElementKind.ADDITIVE})
_ENTERING = frozenset({ElementKind.TUBE, ElementKind.COUPLING_PLUG})
_PLACES = {kind: place for place, kind in enumerate(ElementKind)}


@dataclass(frozen=True, slots=True, eq=False)
class Element:
    """One thing that can be joined: a tube, a port, a bare thread, an O-ring or one end of a fitting.

    Attributes:
        kind: what it is.
        label: how it is named in answers.
        row: its dimensions.
        families: ids whose limits and tolerances apply, nearest first (its own id, then families).
        rule_keys: those of its ids and families (of itself, its thread and its body) that stand in any rule.
        given: columns the asker gave.
        thread: the thread of a threaded element.
        gender: which side of a screwed joint it can be; `None` for elements without thread.
        seal: the O-ring of the element.
        stated_tolerances: dimension -> plus or minus [mm] that the asker gave.
        additives: of a fluid: what was put into it.
        usual: of a fluid: quantity id -> what it usually is.
        stated: of a fluid: quantity id -> what the asker says it is.
        order: sorts the two sides of a joint: what enters first, what receives last; kind and id among equals.
        found: what was worked out of it alone, by a name; it goes when the element goes.
    """

    kind: ElementKind
    label: str
    row: ElementRow
    families: tuple[str, ...]
    rule_keys: tuple[str, ...]
    given: frozenset[str] = frozenset()
    thread: Element | None = None
    gender: ThreadGender | None = None
    seal: Element | None = None
    stated_tolerances: tuple[tuple[str, float], ...] = ()
    additives: tuple[Element, ...] = field(default=(), repr=False)
    usual: Mapping[str, FluidProperty] = field(default_factory=dict, repr=False)
    stated: Mapping[str, float] = field(default_factory=dict, repr=False)
    order: tuple[int, int, str] = field(init=False, repr=False)
    found: dict[str, Any] = field(init=False, default_factory=dict, repr=False)

    def __post_init__(self) -> None:
        """Keep the order: it is asked for in every joint."""
        entering = self.kind in _ENTERING or self.gender is ThreadGender.EXTERNAL
        side = 0 if entering else 2 if self.gender is ThreadGender.INTERNAL else 1
        object.__setattr__(self, "order", (side, _PLACES[self.kind], self.row.id))

    def derive(self, name: str, make: Callable[[], Found]) -> Found:
        """Return what is worked out of this element alone; everybody gets the same one.

        Args:
            name: names the result; the same name must always mean the same computation.
            make: works it out.
        """
        found: Found | None = self.found.get(name)
        return self.found.setdefault(name, make()) if found is None else found

    def is_like(self, other: Element) -> bool:
        """Return whether two elements are the same in all but their names."""
        return self.row is other.row and all(getattr(self, one) == getattr(other, one) for one in _BESIDE_THE_ROW)

    def fact(self, column: str) -> Fact | None:
        """Return the fact in a column, `None` if it is unknown."""
        value = getattr(self.row, column)
        if value is None:
            return None
        if column in self.given:
            return Fact(self.label, column, value, "", "")
        return Fact(self.row.id, column, value, self.row.source_id, self.row.locator or "")


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of a question.

    Attributes:
        id: the archetype's id, or the place of an inline part in the question.
        kind: thread, port, tube, fitting or seal.
        base_id: the archetype an inline part is like; the id itself for archetypes; empty for dimensions alone.
        elements: what of it can be joined.
        families: its families, nearest first.
        materials: role and material id that the asker gave for a surface of the part; `None` for no such surface.
        additives: of a fluid: additives in it.
    """

    id: str
    kind: str
    base_id: str
    elements: tuple[Element, ...] = field(repr=False)
    families: tuple[str, ...] = field(default=(), repr=False)
    materials: tuple[tuple[str, str | None], ...] = ()
    additives: tuple[Element, ...] = ()
