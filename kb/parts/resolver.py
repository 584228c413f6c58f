"""From what the asker names to parts: archetypes by id, archetypes with overrides, dimensions alone.

Owns: looking parts up and building inline ones, and the errors for ids that do not exist. Does not own: the form of
questions (`schemas/questions/questions.py`) or judging. A dimension nobody gave stays unknown; it is never guessed.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

from kb.parts.near_ids import MeantBy, ids_near, near_ids, nothing_meant
from kb.parts.part import Element, ElementKind, Part, PartRow
from kb.parts.ranges import check_figures, range_error
from kb.parts.refused_ids import refused_id
from kb.parts.renamed_ids import renamed_id, renaming
from kb.parts.substances import dosed, substance_element
from kb.store.faults import QuestionError, refuse_all
from kb.store.snapshot import PART_TABLES, Snapshot
from schemas.columns.columns import fields_of
from schemas.columns.provenance import Basis, Confidence
from schemas.tables.additives import Additive
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material
from schemas.tables.ports import Port
from schemas.tables.quantities import Quantity
from schemas.tables.renamed_ids import RenamedId
from schemas.tables.requirements import Requirement
from schemas.tables.seals import Seal
from schemas.tables.threads import SealsOn, Thread, ThreadGender
from schemas.tables.tubes import NominalMeans, Tube

if TYPE_CHECKING:
    from schemas.questions.questions import (
        AnyInlinePart,
        InlineEnd,
        InlineFitting,
        InlineFluid,
        InlinePort,
        InlineThread,
        InlineTube,
    )

Row = TypeVar("Row", bound=PartRow | FittingEnd)
AnyRow = TypeVar("AnyRow")
_MOST_SHOWN = 80  # characters of a name that an error repeats

_GIVEN = {
    "source_id": "",
    "locator": None,
    "basis": Basis.MEASURED,
    "confidence": Confidence.MEDIUM,
    "checked_on": date.min,
    "note": None,
}
_KIND_OF_ROW: Mapping[type[Any], str] = {
    Thread: "thread",
    Port: "port",
    Tube: "tube",
    Fitting: "fitting",
    Seal: "seal",
    Material: "material",
    Fluid: "fluid",
    Additive: "additive",
}
_TABLE_OF_KIND: Mapping[str, str] = {kind: row_class.table for row_class, kind in _KIND_OF_ROW.items()}
_PORT_FAMILIES = {
    SealsOn.FACE: "family/port-face-sealed",
    SealsOn.THREAD: "family/port-thread-sealed",
    SealsOn.CHAMFER: "family/port-o-ring-chamfer",
}
_GENDER_OF_END = {EndKind.MALE_THREAD: ThreadGender.EXTERNAL, EndKind.FEMALE_THREAD: ThreadGender.INTERNAL}


class Resolver:
    """Finds and builds parts over one snapshot; archetypes are built once and kept."""

    def __init__(self, snapshot: Snapshot, meant_by: MeantBy = nothing_meant) -> None:
        """Prepare to build parts.

        Args:
            snapshot: the knowledge.
            meant_by: returns the ids that words can mean, for errors about words in the place of an id.
        """
        self._snapshot = snapshot
        self._meant_by = meant_by
        self._archetypes: dict[str, Part] = {}

    def part(self, reference: str | AnyInlinePart, field: str, kind: str | None = None) -> Part:
        """Return the part an asker means.

        Args:
            reference: an archetype id or an inline part.
            field: path of the reference in the question, for errors and for naming inline parts.
            kind: what it has to be, such as `port`; anything by default.

        Raises:
            QuestionError: if an id does not exist or is of another kind than needed.
        """
        if isinstance(reference, str):
            return self.archetype(reference, field, kind)
        part = self._inline(reference, field)
        if kind is not None and part.kind != kind:
            raise QuestionError(field, f"{part.id} is a {part.kind}, not a {kind}", f"name a {kind}")
        return part

    def archetype(self, part_id: str, field: str, kind: str | None = None) -> Part:
        """Return an archetype by its id.

        Args:
            part_id: the id.
            field: path of it in the question.
            kind: what it has to be; anything by default.

        Raises:
            QuestionError: if no part has this id, which names the nearest ids, or one of another kind.
        """
        found = self._archetypes.get(part_id)
        if found is None:
            row = self._snapshot.row(part_id)
            if row is None or type(row) not in _KIND_OF_ROW:
                raise self.refused(part_id, field, _tables_of(kind))
            made = self._from_row(row, part_id, part_id, frozenset())
            found = self._archetypes.setdefault(part_id, made)  # another thread may have made it meanwhile
        if kind is not None and found.kind != kind:
            raise self.refused(part_id, field, _tables_of(kind))
        return found

    def row(self, row_class: type[AnyRow], row_id: str, field: str) -> AnyRow:
        """Return a row of one table by its id.

        Args:
            row_class: the table.
            row_id: the id.
            field: path of it in the question.

        Raises:
            QuestionError: if no row has this id, which names the nearest ids, or one of another table.
        """
        row = self._snapshot.row(row_id)
        if not isinstance(row, row_class):
            raise self.refused(row_id, field, (row_class.table,))  # type: ignore[attr-defined]
        return row

    def keeps(self, part: Part) -> bool:
        """Return whether a part is an archetype of the tables."""
        return self._archetypes.get(part.id) is part

    def refused(self, written: str, field: str, tables: Iterable[str] = PART_TABLES) -> QuestionError:
        """Return the error for an id that cannot stand where it was written; see `refused_id`."""
        return refused_id(self._snapshot, self._meant_by, written, field, tables)

    def _from_row(self, row: PartRow, part_id: str, base_id: str, given: frozenset[str]) -> Part:
        kind = _KIND_OF_ROW[type(row)]
        elements: tuple[Element, ...]
        if isinstance(row, (Material, Fluid, Additive)):
            elements = (substance_element(self._snapshot, row, part_id),)
        elif isinstance(row, Fitting):
            ends = self._snapshot.ends(row.id)
            elements = tuple(self._end(end, part_id, self._families(row), frozenset()) for end in ends)
        else:
            elements = (self._element(row, part_id, given),)
        return Part(part_id, kind, base_id, elements, self._families(row))

    def _families(self, row: PartRow) -> tuple[str, ...]:
        own = (row.id,) if self._snapshot.row(row.id) is not None else ()
        return own + self._snapshot.families(row.family_id)

    def _element(self, row: Thread | Port | Tube | Seal, label: str, given: frozenset[str]) -> Element:
        families = self._families(row)
        rule_keys = self._snapshot.rule_keys
        if isinstance(row, Thread):
            both = families + self._sealing(row.seals_on) + self._side(row.gender)
            return Element(ElementKind.THREAD, label, row, families, rule_keys(both), given, None, row.gender)
        if isinstance(row, Port):
            thread = self._thread(row.thread_id)
            both = families + thread.families + self._sealing(row.seals_on) + self._side(ThreadGender.INTERNAL)
            internal = ThreadGender.INTERNAL
            return Element(ElementKind.PORT, label, row, families, rule_keys(both), given, thread, internal)
        kind = ElementKind.TUBE if isinstance(row, Tube) else ElementKind.SEAL
        return Element(kind, label, row, families, rule_keys(families), given)

    def _thread(self, thread_id: str) -> Element:
        row = self._snapshot.get(Thread, thread_id)
        families = self._families(row)
        return Element(ElementKind.THREAD, row.id, row, families, self._snapshot.rule_keys(families))

    def _sealing(self, seals_on: SealsOn | None) -> tuple[str, ...]:
        """Return the families under which rules speak of where a screwed joint is made tight."""
        return self._snapshot.families(f"family/sealed-on-{seals_on.value}") if seals_on else ()

    def _side(self, gender: ThreadGender | None) -> tuple[str, ...]:
        """Return the families under which rules speak of external and internal sides."""
        known = gender is not None and gender is not ThreadGender.EITHER
        return self._snapshot.families(f"family/side-{gender.value}") if known and gender else ()

    def _end(self, end: FittingEnd, body: str, body_families: tuple[str, ...], given: frozenset[str]) -> Element:
        own = (end.id,) if self._snapshot.row(end.id) is not None else ()
        families = own + self._snapshot.families(f"family/end-{end.end_kind.value}")
        thread = self._thread(end.thread_id) if end.thread_id else None
        seal = self._element(self._snapshot.get(Seal, end.seal_id), end.seal_id, frozenset()) if end.seal_id else None
        gender = _GENDER_OF_END.get(end.end_kind)
        on_thread = thread.families + self._sealing(end.seals_on) + self._side(gender) if thread else ()
        rule_keys = self._snapshot.rule_keys(families + body_families + on_thread)
        label = f"{body} end {end.position}"
        return Element(ElementKind(end.end_kind.value), label, end, families, rule_keys, given, thread, gender, seal)

    def _inline(self, part: AnyInlinePart, field: str) -> Part:
        from schemas.columns.figures import stated_figures  # noqa: PLC0415 - ids alone need no models of questions
        from schemas.questions.questions import InlineFitting, InlineFluid, InlineTube  # noqa: PLC0415

        check_figures(self._snapshot, stated_figures(part, field))
        if isinstance(part, InlineFitting):
            return self._inline_fitting(part, field)
        if isinstance(part, InlineFluid):
            return self._inline_fluid(part, field)
        base = self._base_row(part.is_, _ROW_OF_KIND[part.kind], f"{field}.is")
        row, given = self._merged(part, base, field)
        made = self._from_row(row, f"your {part.kind} ({field})", part.is_ or "", given)
        if isinstance(part, InlineTube):
            stated = tuple(
                (name, value)
                for name, value in (("od", part.od_tolerance_mm), ("id", part.id_tolerance_mm))
                if value is not None
            )
            made = dataclasses.replace(
                made,
                elements=tuple(dataclasses.replace(one, stated_tolerances=stated) for one in made.elements),
                materials=self.materials({"tube": part.material} if part.material else {}, field),
            )
        return made

    def _base_row(self, base_id: str | None, row_class: type[Row], field: str) -> Row | None:
        return None if base_id is None else self.row(row_class, base_id, field)

    def _merged(self, part: AnyInlinePart, base: Any, field: str) -> tuple[Any, frozenset[str]]:
        from schemas.questions.questions import InlinePort, InlineSeal, InlineThread, InlineTube  # noqa: PLC0415

        if isinstance(part, InlineTube):
            return self._merged_tube(part, base, field)
        if isinstance(part, InlineThread):
            return self._merged_thread(part, base)
        if isinstance(part, InlinePort):
            return self._merged_port(part, base, field)
        assert isinstance(part, InlineSeal)
        names = ("o_ring_id_mm", "o_ring_id_tolerance_mm", "section_mm", "section_tolerance_mm")
        blank = _blank(Seal, family_id="family/o-ring", designation="given")
        return _overridden(base or blank, part, names)

    def _merged_tube(self, part: InlineTube, base: Tube | None, field: str) -> tuple[Tube, frozenset[str]]:
        family = self.family(part.family, f"{field}.family", "family/tube")
        blank = _blank(Tube, family_id="family/tube", designation="given", title="given")
        start: Tube = base or dataclasses.replace(blank, nominal_means=NominalMeans.NEITHER)
        row, given = _overridden(start, part, ("id_mm", "od_mm", "wall_mm"))
        if {"id_mm", "od_mm"} <= given and "wall_mm" not in given:
            row = dataclasses.replace(row, wall_mm=None)
        _check_tube(part, row, field)
        return (dataclasses.replace(row, family_id=family) if family else row), given

    def _merged_thread(self, part: InlineThread, base: Thread | None) -> tuple[Thread, frozenset[str]]:
        names = ("form_angle_deg", "threads_per_inch", "pitch_mm", "major_mm", "pitch_diameter_mm", "minor_mm")
        blank = _blank(Thread, family_id="family/thread", designation="given")
        start = base or dataclasses.replace(blank, taper_on_diameter=0.0, gender=ThreadGender.EITHER)
        row, given = _overridden(start, part, (*names, "taper_on_diameter", "gauge_length_mm", "gender", "seals_on"))
        if "pitch_mm" in given:
            row = dataclasses.replace(row, threads_per_inch=None)
        elif "threads_per_inch" in given:
            row = dataclasses.replace(row, pitch_mm=None)
        if given & {"major_mm", "pitch_mm", "threads_per_inch", "form_angle_deg"}:
            row = dataclasses.replace(
                row,
                pitch_diameter_mm=row.pitch_diameter_mm if "pitch_diameter_mm" in given else None,
                minor_mm=row.minor_mm if "minor_mm" in given else None,
            )
        return row, given

    def _merged_port(self, part: InlinePort, base: Port | None, field: str) -> tuple[Port, frozenset[str]]:
        if part.thread is None and base is None:
            raise QuestionError(f"{field}.thread", "the port's thread is missing", "name it, such as thread/g-1-4")
        thread_id = part.thread or base.thread_id  # type: ignore[union-attr]
        thread = self._base_row(thread_id, Thread, f"{field}.thread")
        assert thread is not None
        seals_on = part.seals_on or (base.seals_on if base and part.thread is None else thread.seals_on)
        family = _PORT_FAMILIES.get(seals_on, "family/port")
        blank = _blank(Port, family_id=family, title="given", thread_id=thread_id, seals_on=seals_on)
        start = dataclasses.replace(base or blank, family_id=family, thread_id=thread_id, seals_on=seals_on)
        return _overridden(start, part, ("thread_depth_min_mm", "spotface_diameter_min_mm", "spotface_depth_max_mm"))

    def _inline_fitting(self, part: InlineFitting, field: str) -> Part:
        base = self._base_row(part.is_, Fitting, f"{field}.is")
        family = self.family(part.family, f"{field}.family", "family/fitting")
        if base is None and not part.ends:
            raise QuestionError(f"{field}.ends", "a fitting without ends joins nothing", "describe its ends a, b, ...")
        families = self._families(base) if base else self._snapshot.families(family or "family/fitting")
        old = {end.position: end for end in self._snapshot.ends(base.id)} if base else {}
        elements = []
        for letter in sorted({*old, *part.ends}):
            row, given = self._merged_end(part.ends.get(letter), old.get(letter), letter, f"{field}.ends.{letter}")
            elements.append(self._end(row, f"your fitting ({field})", families, given))
        materials = self.materials({role.value: one for role, one in part.materials.items()}, f"{field}.materials")
        return Part(f"your fitting ({field})", "fitting", part.is_ or "", tuple(elements), families, materials)

    def _merged_end(
        self, end: InlineEnd | None, old: FittingEnd | None, letter: str, field: str
    ) -> tuple[FittingEnd, frozenset[str]]:
        if end is None:
            assert old is not None
            return old, frozenset()
        start = old if old and old.end_kind is end.kind else _blank(FittingEnd, fitting_id="", position=letter)
        row, given = _overridden(start, end, _END_LENGTHS)
        changes: dict[str, Any] = {"end_kind": end.kind}
        if end.thread is not None:
            thread = self._base_row(end.thread, Thread, f"{field}.thread")
            changes |= {"thread_id": end.thread, "seals_on": end.seals_on or (thread.seals_on if thread else None)}
        elif end.kind in (EndKind.MALE_THREAD, EndKind.FEMALE_THREAD) and start.thread_id is None:
            raise QuestionError(f"{field}.thread", "the end's thread is missing", "name it, such as thread/g-1-4")
        elif end.seals_on is not None:
            changes["seals_on"] = end.seals_on
        if end.seal is not None:
            self._base_row(end.seal, Seal, f"{field}.seal")
            changes["seal_id"] = end.seal
        return dataclasses.replace(row, **changes), given | changes.keys()

    def materials(self, given: Mapping[str, str | None], field: str) -> tuple[tuple[str, str | None], ...]:
        """Return role and material of every surface an asker names, checked to exist; `None` means no such surface.

        Raises:
            QuestionError: if a material does not exist.
        """
        for role, material in given.items():
            if material is not None:
                self.row(Material, material, f"{field}.{role}")
        return tuple(sorted(given.items()))

    def _inline_fluid(self, part: InlineFluid, field: str) -> Part:
        base = self._base_row(part.is_, Fluid, f"{field}.is")
        if base is None:
            raise QuestionError(f"{field}.is", "the kind of fluid is missing", "name it, such as fluid/distilled-water")
        stated = self.conditions(part.properties, f"{field}.properties")
        additives = tuple(self.additive(one, f"{field}.additives.{at}") for at, one in enumerate(part.additives))
        element = dosed(substance_element(self._snapshot, base, f"your {base.title} ({field})", stated), additives)
        return Part(f"your fluid ({field})", "fluid", base.id, (element,), additives=additives)

    def additive(self, additive_id: str, field: str) -> Element:
        """Return an additive by its id.

        Raises:
            QuestionError: if no additive has this id.
        """
        row = self.row(Additive, additive_id, field)
        return substance_element(self._snapshot, row, row.id)

    def conditions(self, stated: Mapping[str, float], field: str) -> dict[str, float]:
        """Return what an asker states of quantities, by their ids.

        Args:
            stated: name of a quantity, with or without its prefix -> value in the quantity's unit.
            field: path of it in the question.

        Raises:
            QuestionError: if there is no such quantity, which names those that rules ask for, or a value lies outside
                the range of its quantity.
        """
        quantities = {name: self._quantity(name, field) for name in stated}
        places = {name: f"{field}.{name[:_MOST_SHOWN]}" for name in stated}
        errors = (range_error(quantities[name], value, places[name]) for name, value in stated.items())
        refuse_all([error for error in errors if error is not None])
        return {quantities[name].id: value for name, value in stated.items()}

    def met(self, stated: Sequence[str], field: str) -> dict[str, str]:
        """Return which requirements an asker states to be met: id -> the place in the question that says so.

        Args:
            stated: ids of requirements, with or without their prefix.
            field: path of it in the question.

        Raises:
            QuestionError: if there is no such requirement; it names the nearest.
        """
        found: dict[str, str] = {}
        errors: list[QuestionError] = []
        for at, name in enumerate(stated):
            row = self._snapshot.row(f"requirement/{name.removeprefix('requirement/')}")
            if isinstance(row, Requirement) and row.withdrawn_on is None:
                found.setdefault(row.id, f"{field}.{at}")
                continue
            near = ids_near(self._snapshot, (Requirement.table,)).to(f"requirement/{name.removeprefix('requirement/')}")
            what = f"no requirement is called {name[:_MOST_SHOWN]!r}"
            errors.append(QuestionError(f"{field}.{at}", what, "name one that an answer lists", near))
        refuse_all(errors)
        return found

    def _quantity(self, name: str, field: str) -> Quantity:
        quantity_id = f"quantity/{name.removeprefix('quantity/')}"
        quantity = self._snapshot.row(quantity_id)
        renamed = renamed_id(self._snapshot, quantity_id)
        if renamed is not None:
            raise _renamed_quantity(renamed, name, field, self._snapshot.asked_quantities)
        if not isinstance(quantity, Quantity):
            what, fix = f"no quantity is called {name[:_MOST_SHOWN]!r}", "name a quantity that rules ask for"
            raise QuestionError(f"{field}.{name[:_MOST_SHOWN]}", what, fix, self._snapshot.asked_quantities)
        return quantity

    def family(self, family_id: str | None, field: str, root: str) -> str | None:
        """Return a family id that an asker named, checked to lie under a root.

        Raises:
            QuestionError: if the family does not exist or belongs elsewhere.
        """
        if family_id is None:
            return None
        if root not in self._snapshot.families(family_id):
            renamed = renamed_id(self._snapshot, family_id)
            if renamed is not None and root in self._snapshot.families(renamed.new_id):
                raise self.refused(family_id, field, ("families",))
            known = [one for one in self._snapshot.depth if root in self._snapshot.families(one)]
            nearest = near_ids(family_id, known)
            raise QuestionError(field, f"{family_id!r} is no family under {root}", "name one of its families", nearest)
        return family_id


def _renamed_quantity(renamed: RenamedId, name: str, field: str, asked: Sequence[str]) -> QuestionError:
    """Return the error for a quantity that has another name now, spelt with or without its prefix as it was asked."""
    new = renamed.new_id if name == renamed.old_id else renamed.new_id.removeprefix("quantity/")
    return QuestionError(f"{field}.{name}", renaming(renamed), f"write {new}", (new, *asked))


def _tables_of(kind: str | None) -> tuple[str, ...]:
    return PART_TABLES if kind is None else (_TABLE_OF_KIND[kind],)


_ROW_OF_KIND: Mapping[str, type[Any]] = {kind: row_class for row_class, kind in _KIND_OF_ROW.items()}
_END_LENGTHS = (
    "thread_length_mm",
    "collar_diameter_mm",
    "bore_mm",
    "barb_od_mm",
    "collar_bore_mm",
    "socket_bore_mm",
    "groove_diameter_mm",
    "insertion_depth_mm",
    "coupling_pattern",
)


WALL_ROUNDING_MM = 0.1  # spec sheets round inside, outside and wall each to a tenth of a millimetre or finer


def _check_tube(part: InlineTube, row: Tube, field: str) -> None:
    """Refuse tubes that cannot be: no wall, or a tolerance as large as the dimension."""
    if row.id_mm is not None and row.od_mm is not None and row.id_mm >= row.od_mm:
        what = f"the inside diameter {row.id_mm:g} mm leaves no wall in the outside diameter {row.od_mm:g} mm"
        raise QuestionError(f"{field}.id_mm", what, "give the smaller diameter as id, the larger as od")
    if row.wall_mm is not None and row.od_mm is not None:
        inside = row.od_mm - 2 * row.wall_mm
        if inside <= 0 or (row.id_mm is not None and abs(inside - row.id_mm) > WALL_ROUNDING_MM):
            what = f"the wall {row.wall_mm:g} mm does not fit between the diameters"
            raise QuestionError(f"{field}.wall_mm", what, "give two of inside, outside and wall, or three that agree")
    for name in ("id", "od"):
        size, tolerance = getattr(row, f"{name}_mm"), getattr(part, f"{name}_tolerance_mm")
        if size is not None and tolerance is not None and tolerance >= size:
            what = f"the tolerance {tolerance:g} mm is as large as the diameter {size:g} mm"
            raise QuestionError(f"{field}.{name}_tolerance_mm", what, "give the deviation, not the diameter")


def _blank(row_class: type[Row], **values: Any) -> Row:
    """Return a row in which nothing is known but the values named."""
    empty = {field.name: None for field in fields_of(row_class)}
    return row_class(**{**empty, **_GIVEN, "id": "given", **values})


def _overridden(row: Row, part: Any, names: Iterable[str]) -> tuple[Row, frozenset[str]]:
    """Return the row with every value the asker gave, and the names of those values."""
    values = {name: getattr(part, name) for name in names if getattr(part, name) is not None}
    return (dataclasses.replace(row, **values) if values else row), frozenset(values)
