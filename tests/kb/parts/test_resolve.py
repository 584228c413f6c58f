"""From what an asker writes to parts: what fills gaps, what is refused, and what is never guessed."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.knowledge_base import KnowledgeBase
from kb.parts.part import Element, ElementKind, Part
from kb.parts.resolver import Resolver
from kb.store.faults import QuestionError
from schemas.questions.questions import PartRef
from schemas.tables.threads import ThreadGender

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)


@pytest.fixture(scope="module")
def resolver(base: KnowledgeBase) -> Resolver:
    return Resolver(base.snapshot)


def part(resolver: Resolver, reference: Any) -> Part:
    return resolver.part(REFERENCE.validate_python(reference), "a")


def only(resolver: Resolver, reference: Any) -> Element:
    (element,) = part(resolver, reference).elements
    return element


def refusal(resolver: Resolver, reference: Any) -> QuestionError:
    with pytest.raises(QuestionError) as refused:
        part(resolver, reference)
    return refused.value


class TestArchetypes:
    def test_every_archetype_can_be_resolved_and_has_something_to_join(self, base: KnowledgeBase) -> None:
        resolver = Resolver(base.snapshot)
        for part_id in base.snapshot.ids():
            assert resolver.archetype(part_id, "a").elements, part_id

    def test_archetype_is_built_once(self, resolver: Resolver) -> None:
        assert part(resolver, "thread/g-1-4") is part(resolver, "thread/g-1-4")

    def test_fitting_has_its_ends_in_the_order_of_their_letters(self, resolver: Resolver) -> None:
        ends = part(resolver, "fitting/rigid-12-g-1-4").elements
        assert [end.kind for end in ends] == [ElementKind.MALE_THREAD, ElementKind.RIGID_COMPRESSION]
        assert [end.label[-5:] for end in ends] == ["end a", "end b"]

    def test_port_is_the_internal_side(self, resolver: Resolver) -> None:
        assert only(resolver, "port/g-1-4-loop").gender is ThreadGender.INTERNAL

    @pytest.mark.parametrize("row", ["family/tube", "source/iso-228-1", "end/plug-g-1-4-a", "limit/pumps"])
    def test_row_that_is_no_part_is_refused(self, resolver: Resolver, row: str) -> None:
        assert refusal(resolver, row).field == "a"


class TestOverrides:
    def test_archetype_fills_the_gaps_and_the_given_value_is_marked(self, resolver: Resolver) -> None:
        tube = only(resolver, {"is": "tube/soft-10x16", "id_mm": 9.8})
        assert (tube.row.id_mm, tube.row.od_mm) == (9.8, 16)
        assert tube.given == {"id_mm"}

    def test_both_diameters_given_drop_the_walls_old_value(self, resolver: Resolver) -> None:
        tube = only(resolver, {"is": "tube/copper-en-1057-12x1", "id_mm": 10.4, "od_mm": 12})
        assert tube.row.wall_mm is None

    def test_given_pitch_drops_the_old_threads_per_inch(self, resolver: Resolver) -> None:
        row = only(resolver, {"is": "thread/g-1-4", "pitch_mm": 1.5}).row
        assert (row.pitch_mm, row.threads_per_inch) == (1.5, None)

    @pytest.mark.parametrize("given", [{"major_mm": 13.0}, {"threads_per_inch": 18}, {"form_angle_deg": 60}])
    def test_changed_thread_keeps_no_diameter_that_followed_from_the_old_one(
        self, resolver: Resolver, given: dict[str, float]
    ) -> None:
        row = only(resolver, {"is": "thread/g-1-4", **given}).row
        assert (row.pitch_diameter_mm, row.minor_mm) == (None, None)

    def test_diameters_that_are_given_stay(self, resolver: Resolver) -> None:
        row = only(resolver, {"is": "thread/g-1-4", "major_mm": 13.0, "pitch_diameter_mm": 12.2}).row
        assert (row.pitch_diameter_mm, row.minor_mm) == (12.2, None)

    def test_named_side_alone_changes_no_dimension(self, resolver: Resolver) -> None:
        row = only(resolver, {"is": "thread/g-1-4", "gender": "external"}).row
        assert (row.pitch_diameter_mm, row.minor_mm) == (12.301, 11.445)

    def test_end_described_anew_replaces_that_end_only(self, resolver: Resolver) -> None:
        end = {"kind": "barb", "barb_od_mm": 11.0}
        first, second = part(resolver, {"is": "fitting/barb-10-g-1-4", "ends": {"b": end}}).elements
        assert first.thread.row.id == "thread/g-1-4"
        assert (second.row.barb_od_mm, second.given) == (11.0, {"barb_od_mm", "end_kind"})

    def test_port_takes_its_way_of_sealing_from_its_thread(self, resolver: Resolver) -> None:
        port = only(resolver, {"kind": "port", "thread": "thread/rp-1-4"})
        assert port.families[0] == "family/port-thread-sealed"

    def test_dimension_nobody_gave_stays_unknown(self, resolver: Resolver) -> None:
        tube = only(resolver, {"kind": "tube", "od": "1/2 in"})
        assert tube.row.od_mm == 12.7
        assert tube.fact("id_mm") is tube.fact("wall_mm") is None


class TestRefusals:
    @pytest.mark.parametrize(
        ("reference", "field"),
        [
            ({"is": "tube/none"}, "a.is"),
            ({"kind": "tube", "is": "thread/g-1-4"}, "a.is"),
            ({"kind": "tube", "family": "family/thread"}, "a.family"),
            ({"kind": "port"}, "a.thread"),
            ({"kind": "port", "thread": "tube/soft-10x16"}, "a.thread"),
            ({"kind": "fitting"}, "a.ends"),
            ({"kind": "fitting", "ends": {"a": {"kind": "male-thread"}}}, "a.ends.a.thread"),
            ({"kind": "fitting", "ends": {"a": {"kind": "rigid-compression", "seal": "seal/none"}}}, "a.ends.a.seal"),
            ({"kind": "tube", "id_mm": 10, "od_mm": 8}, "a.id_mm"),
            ({"is": "tube/soft-10x16", "od_mm": 9}, "a.id_mm"),
            ({"kind": "tube", "od_mm": 10, "od_tolerance_mm": 10}, "a.od_tolerance_mm"),
        ],
    )
    def test_refusal_names_the_field_and_the_remedy(self, resolver: Resolver, reference: Any, field: str) -> None:
        refused = refusal(resolver, reference)
        assert refused.field == field
        assert refused.what
        assert refused.fix

    def test_nearest_ids_are_of_the_kind_asked_for(self, resolver: Resolver) -> None:
        nearest = refusal(resolver, {"is": "tube/soft-10x15"}).nearest
        assert nearest
        assert all(one.startswith("tube/") for one in nearest)
