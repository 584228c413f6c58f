"""What is known where substances meet: what the filling does for the metals, what it is, what the asker stated.

Owns: facts of materials, fluids and additives for requirements. Does not own: evaluating them
(`kb/evidence/requirements.py`) or the roles themselves (columns of fluids.csv and additives.csv).
Only what is there counts: an additive without a stated dose is taken at its usual one, an unknown role is not `no`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from kb.evidence.comparisons import COMPARE
from kb.parts.part import Element
from schemas.columns.facts import FactKind, RequiredFact
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid, FluidUse, Stated
from schemas.tables.roles import Growth, HoldsPh, Protects
from schemas.tables.wetted_materials import WettedRole

PH = "quantity/ph"
GLYCOL_SHARE = "quantity/glycol-share"
MONTHS_IN_SERVICE = "quantity/months-in-service"
_CHLORINE = "chlorine-biocide"
_OXIDISED = frozenset({"azole", "nitrite"})  # what chlorine takes away

ROLE_OF_FAMILY: Mapping[str, str] = MappingProxyType(
    {
        "family/copper-alloy": "copper",
        "family/aluminium": "aluminium",
        "family/ferrous": "iron",
        "family/tin-and-solder": "solder",
        "family/zinc-metal": "zinc",
    }
)
NEEDS_NONE = frozenset(
    {
        "family/nickel-metal",
        "family/chromium-metal",
        "family/stainless-steel",
        "family/titanium-metal",
        "family/noble-metal",
    }
)


class Setting(NamedTuple):
    """In what setting a material meets a fluid.

    Attributes:
        roles: surfaces that are of the material; none of a material that is asked for by itself.
        is_running: whether the loop runs with the fluid; `None` if that is not known.
    """

    roles: frozenset[WettedRole] = frozenset()
    is_running: bool | None = None


NO_SETTING = Setting()


@dataclass(frozen=True, slots=True)
class SubstanceFacts:
    """A source of facts about materials in a filling.

    Attributes:
        filling: the fluid as mixed, with its additives; `None` if none is named.
        materials: what it touches; of a couple both metals.
        stated: quantity id -> value the asker stated.
        anode: of a couple: the metal that corrodes, if it is known.
        base: the metal under a plating, if it is known.
        setting: in what setting they meet.
    """

    filling: Element | None
    materials: tuple[Element, ...]
    stated: Mapping[str, float] = field(default_factory=dict)
    anode: Element | None = None
    base: Element | None = None
    setting: Setting = NO_SETTING

    def value(self, fact: RequiredFact) -> bool | None:
        """Return whether a fact is so; `None` if that is not known."""
        answer = _ANSWERS.get(fact.kind)
        return None if answer is None else answer(self, fact)

    def protects(self, metal: str) -> Protects:
        """Return what the filling as mixed does for a metal.

        Args:
            metal: copper, aluminium, iron, solder or zinc.
        """
        roles = {self._role(one, metal) for one in self._substances()}
        for role in (Protects.HARMS, Protects.YES, Protects.UNKNOWN, Protects.PARTLY):
            if role in roles:
                return role
        return Protects.NO if roles else Protects.UNKNOWN

    def _substances(self) -> Iterator[Fluid | Additive]:
        """Yield the rows of the fluid and of what was put into it."""
        for element in (self.filling, *self.filling.additives) if self.filling is not None else ():
            if isinstance(element.row, Fluid | Additive):
                yield element.row

    def _role(self, row: Fluid | Additive, metal: str) -> Protects:
        """Return what one substance does for a metal, as diluted, at this acidity and beside what takes it away."""
        role: Protects = getattr(row, f"role_{metal}")
        if role is not Protects.YES:
            return role
        if not self._is_in_window(row) or self._is_oxidised(row):
            return Protects.NO
        return Protects.PARTLY if isinstance(row, Fluid) and self.is_thin(metal) else role

    def _is_in_window(self, row: Fluid | Additive) -> bool:
        """Return whether nothing speaks against the acidity at which a substance works."""
        ph = self.stated.get(PH)
        if ph is None and isinstance(row, Additive) and self.filling is not None:
            usual = self.filling.usual.get(PH)
            ph = usual.value if usual is not None else None
        return ph is None or (row.ph_low or 0.0) <= ph <= (row.ph_high or 14.0)

    def _is_oxidised(self, row: Fluid | Additive) -> bool:
        """Return whether chlorine takes away what a substance works with."""
        has_chlorine = any(_CHLORINE in one.contents for one in self._substances())
        return has_chlorine and not _OXIDISED.isdisjoint(row.contents)

    def is_thin(self, metal: str = "") -> bool:
        """Return whether the share of glycol is too small for the fluid to protect a metal, or to stop growth."""
        share = self.stated.get(GLYCOL_SHARE)
        row = self.filling.row if self.filling is not None else None
        if share is None or not isinstance(row, Fluid):
            return False
        of_iron = row.protects_iron_from_percent if metal == "iron" else None
        return share < max(of_iron or 0.0, row.protects_from_percent or 0.0)


def protection_of(facts: SubstanceFacts, material: Element) -> Protects:
    """Return what the filling does for one material; metals that need no inhibitor count as protected."""
    for family in material.families:
        if family in ROLE_OF_FAMILY:
            return facts.protects(ROLE_OF_FAMILY[family])
        if family in NEEDS_NONE:
            return Protects.YES
    return Protects.UNKNOWN


def is_proven_for_all(facts: SubstanceFacts) -> bool:
    """Return whether a filling is there that protects every one of the metals; an unknown role proves nothing."""
    return facts.filling is not None and all(protection_of(facts, metal) is Protects.YES for metal in facts.materials)


def _role_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    if fact.name in _GROWTH:
        return _GROWTH[fact.name](facts)
    if facts.filling is None:
        return None
    role = _role_named(facts, fact.name)
    if role is None:
        return None
    if role is Protects.UNKNOWN and fact.right != Protects.UNKNOWN:
        return None
    return role.value == fact.right


def _role_named(facts: SubstanceFacts, name: str) -> Protects | None:
    if name in ROLE_OF_FAMILY.values():
        return facts.protects(name)
    if name == "base":
        return protection_of(facts, facts.base) if facts.base is not None else facts.protects("copper")
    metals = _metals_named(facts, name)
    roles = [protection_of(facts, metal) for metal in metals]
    return next((role for role in _WORST_FIRST if role in roles), None)


def _metals_named(facts: SubstanceFacts, name: str) -> tuple[Element, ...]:
    """Return the metals that `metal`, `anode` or `cathode` means; both where nobody knows which corrodes."""
    if facts.anode is None or len(facts.materials) < 2:  # noqa: PLR2004 - a couple
        return facts.materials
    if name == "cathode":
        return tuple(one for one in facts.materials if one is not facts.anode)
    return (facts.anode,)


_WORST_FIRST = (Protects.HARMS, Protects.NO, Protects.PARTLY, Protects.UNKNOWN, Protects.YES)


def _biostatic(facts: SubstanceFacts) -> bool | None:
    growths = {row.growth for row in facts._substances()}
    if Growth.BIOSTATIC in growths:
        return not facts.is_thin()
    return None if Growth.UNKNOWN in growths or not growths else False


def _biocide(facts: SubstanceFacts) -> bool | None:
    rows = list(facts._substances())
    killing = [row for row in rows if row.growth is Growth.BIOCIDAL]
    if killing:
        return any(facts._is_in_window(row) for row in killing)
    return None if any(row.growth is Growth.UNKNOWN for row in rows) or not rows else False


def _buffer(facts: SubstanceFacts) -> bool | None:
    held = {row.holds_ph for row in facts._substances()}
    if HoldsPh.YES in held:
        return True
    return None if HoldsPh.UNKNOWN in held or not held else False


_GROWTH: Mapping[str, Callable[[SubstanceFacts], bool | None]] = MappingProxyType(
    {"biostatic": _biostatic, "biocide": _biocide, "buffer": _buffer}
)


def _condition_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    value = facts.stated.get(f"quantity/{fact.name}")
    if value is None:
        return _held_ph(facts, fact) if fact.name == "ph" else None
    if fact.right in ("in-fluid-band", "outside-fluid-band"):
        inside = _in_band(facts, value)
        return inside if inside is None or fact.right == "in-fluid-band" else not inside
    bound = _interval(facts) if fact.right == "fluid:service-interval" else fact.number
    return None if bound is None or fact.operator not in COMPARE else COMPARE[fact.operator](value, bound)


def _held_ph(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    """Return what a fresh fluid that holds its pH says of it while nobody measured: it lies in the fluid's band."""
    row = _fluid_row(facts)
    is_fresh = not facts.stated.get(MONTHS_IN_SERVICE)
    if not is_fresh or row is None or row.holds_ph is not HoldsPh.YES or row.ph_low is None or row.ph_high is None:
        return None
    if fact.right == "in-fluid-band":
        return True
    if fact.number is None or fact.operator not in COMPARE:
        return None
    ends = {COMPARE[fact.operator](end, fact.number) for end in (row.ph_low, row.ph_high)}
    return True if ends == {True} else None


def _fluid_row(facts: SubstanceFacts) -> Fluid | None:
    row = facts.filling.row if facts.filling is not None else None
    return row if isinstance(row, Fluid) else None


def _in_band(facts: SubstanceFacts, ph: float) -> bool | None:
    row = _fluid_row(facts)
    if row is None or row.ph_low is None or row.ph_high is None:
        return None
    return row.ph_low <= ph <= row.ph_high


def _interval(facts: SubstanceFacts) -> float | None:
    row = _fluid_row(facts)
    return row.service_interval_months if row is not None else None


def _material_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    if not facts.materials:
        return None
    return any(fact.name in material.families for material in facts.materials)


def _fluid_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    row = _fluid_row(facts)
    if row is None or facts.filling is None:
        return None
    if fact.name == "family":
        return fact.right in facts.filling.families
    if fact.name == "water":
        return row.use is FluidUse.BASE_WATER and "family/pure-water" in facts.filling.families
    if fact.name == "premix":
        return row.use in (FluidUse.COOLANT, FluidUse.ENGINE_COOLANT)
    return True if fact.name == "count" and facts.setting.is_running else None


def _content_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    row = _fluid_row(facts)
    if fact.name == "particles" and row is not None and row.particles is not Stated.UNKNOWN:
        return row.particles.value == fact.right
    is_there = any(fact.name in one.contents for one in facts._substances())
    return fact.right == "yes" if is_there else None


def _use_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    return facts.setting.is_running if fact.name == "filling" else None


def _part_fact(facts: SubstanceFacts, fact: RequiredFact) -> bool | None:
    if fact.name != "radiator-core":
        return None
    return (WettedRole.CORE in facts.setting.roles) is (fact.right != "no")


_ANSWERS: Mapping[FactKind, Callable[[SubstanceFacts, RequiredFact], bool | None]] = MappingProxyType(
    {
        FactKind.ROLE: _role_fact,
        FactKind.CONDITION: _condition_fact,
        FactKind.MATERIAL: _material_fact,
        FactKind.FLUID: _fluid_fact,
        FactKind.CONTENT: _content_fact,
        FactKind.USE: _use_fact,
        FactKind.PART: _part_fact,
    }
)
