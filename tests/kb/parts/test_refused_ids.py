"""Ids in the wrong place: what exists is never said not to exist, and what does not exist is never judged."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import product
from typing import Any, NamedTuple

import pytest

from kb.knowledge_base import KnowledgeBase
from kb.parts.refused_ids import DEVICE_TABLES
from kb.store.faults import QuestionError
from kb.store.snapshot import PART_TABLES, Snapshot
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import (
    LONGEST_ID,
    PairQuestion,
)
from schemas.tables import ROW_CLASSES
from schemas.tables.kinds import kind_of

TUBE, FITTING, PORT, WATER = (
    "tube/soft-10x16",
    "fitting/compression-10x16-g-1-4",
    "port/g-1-4-loop",
    "fluid/distilled-water",
)


class Place(NamedTuple):
    """A place of a question where an id may stand.

    Attributes:
        field: its path in the question.
        tables: tables whose rows may stand there.
        ask: asks with an id there.
        quick: whether every id of the tables is asked for there, or some of each table.
    """

    field: str
    tables: tuple[str, ...]
    ask: Callable[[KnowledgeBase, str], object]
    quick: bool = False


def loop(**changes: Any) -> LoopQuestion:
    run = {"from": "pump.out", "to": "cpu.in", "tube": TUBE, "fittings_from": [FITTING], "fittings_to": [FITTING]}
    ports = {"in": PORT, "out": PORT}
    parts = {
        "pump": {"kind": "pump", "ports": ports, **changes.pop("pump", {})},
        "cpu": {"kind": "block", "ports": ports, **changes.pop("cpu", {})},
        **changes.pop("parts", {}),
    }
    runs = [{**run, **changes.pop("run", {})}]
    return LoopQuestion.model_validate({"parts": parts, "runs": runs, "sections": ["joints"], **changes})


def asks_of_loop(make: Callable[[str], LoopQuestion]) -> Callable[[KnowledgeBase, str], object]:
    return lambda base, one: base.loop(make(one))


def device(kind: str) -> Place:
    def make(one: str) -> LoopQuestion:
        return loop(parts={"one": {"kind": kind, "is": one}})

    return Place("parts.one.is", (f"{kind}s",), asks_of_loop(make))


def radiator(**fields: Any) -> LoopQuestion:
    return loop(parts={"one": {"kind": "radiator", "is": "radiator/240x30-low", **fields}})


PLACES = (
    Place("a", PART_TABLES, lambda base, one: base.decide_question(PairQuestion(a=one, b=WATER)), True),
    Place("b", PART_TABLES, lambda base, one: base.decide_question(PairQuestion(a=PORT, b=one)), True),
    Place("part", PART_TABLES, lambda base, one: base.partners(one)),
    Place("a", PART_TABLES, lambda base, one: base.between(one, TUBE)),
    Place("b", PART_TABLES, lambda base, one: base.between(PORT, one)),
    Place("parts.0", PART_TABLES, lambda base, one: base.fluids((one,))),
    Place(
        "additives.0",
        ("additives",),
        lambda base, one: base.fluids(("metal/copper",), additives=(one,)),
    ),
    Place("fluid", ("fluids",), lambda base, one: base.materials(one), False),
    Place("rows", ("families",), lambda base, one: base.matrix(one, "family/water")),
    Place("columns", ("families",), lambda base, one: base.matrix("family/water", one)),
    *map(device, ("block", "pump", "radiator", "reservoir")),
    Place("parts.one.is", ("fittings",), asks_of_loop(lambda one: loop(parts={"one": {"kind": "fitting", "is": one}}))),
    Place("parts.one.fans.is", ("fans",), asks_of_loop(lambda one: radiator(fans={"is": one}))),
    Place("parts.one.materials.core", ("materials",), asks_of_loop(lambda one: radiator(materials={"core": one}))),
    Place("parts.cpu.ports.in", ("ports",), asks_of_loop(lambda one: loop(cpu={"ports": {"in": one}}))),
    Place("runs.0.tube", ("tubes",), asks_of_loop(lambda one: loop(run={"tube": one}))),
    Place("runs.0.fittings_to.0", ("fittings",), asks_of_loop(lambda one: loop(run={"fittings_to": [one]}))),
    Place("plugs.cpu.out", ("fittings",), asks_of_loop(lambda one: loop(plugs={"cpu.out": one}))),
    Place("fluid", ("fluids",), asks_of_loop(lambda one: loop(fluid=one))),
)


def some(ids: tuple[str, ...]) -> tuple[str, ...]:
    """Return the first, the middle and the last."""
    return tuple(dict.fromkeys((ids[0], ids[len(ids) // 2], ids[-1])))


def refusal(base: KnowledgeBase, place: Place, one: str) -> QuestionError | None:
    try:
        place.ask(base, one)
    except QuestionError as error:
        return error
    return None


def ids_asked(snapshot: Snapshot, place: Place) -> Iterator[tuple[str, str]]:
    for table in ROW_CLASSES:
        ids = snapshot.ids((table,))
        yield from ((table, one) for one in (ids if place.quick else some(ids)))


def test_no_id_that_exists_is_said_not_to_exist_wherever_it_is_asked_for(base: KnowledgeBase) -> None:
    """Every id of every table in a pair, and some of each table in every place of every question."""
    for place in PLACES:
        for table, one in ids_asked(base.snapshot, place):
            refused = refusal(base, place, one)
            if refused is None:
                continue
            assert "has the id" not in refused.what, (place.field, one, refused.what)
            assert not refused.nearest, (place.field, one)  # or it would be taken for an id that does not exist
            if table not in place.tables:
                kind = kind_of(table).replace("-", " ")
                assert one in refused.what, (place.field, one)
                assert f" {kind};" in refused.what, (place.field, one, refused.what)
                assert refused.field == place.field


def test_pair_says_that_it_takes_no_devices_and_where_they_are_taken(base: KnowledgeBase) -> None:
    """The known case: a radiator and a fan, each of which exists."""
    refused = refusal(base, PLACES[0], "radiator/360x45-low")
    assert refused is not None
    assert refused.what == (
        "radiator/360x45-low is a radiator; this field takes a thread, port, tube, fitting, seal, material, fluid or "
        "additive"
    )
    assert refused.fix.startswith("state it in a loop")
    for table in DEVICE_TABLES:
        for one in base.snapshot.ids((table,)):
            refused = refusal(base, PLACES[0], one)
            assert refused is not None
            assert refused.fix.startswith("state it in a loop"), one


@pytest.mark.parametrize(
    ("one", "place", "fix"),
    [
        ("family/copper-alloy", PLACES[0], "metal/brass-"),
        ("end/plug-g-1-4-a", PLACES[0], "fitting/plug-g-1-4"),
        ("metal/copper", next(place for place in PLACES if place.field == "rows"), "family/copper-alloy"),
    ],
)
def test_what_has_to_do_with_an_id_of_another_kind_is_named(
    base: KnowledgeBase, one: str, place: Place, fix: str
) -> None:
    refused = refusal(base, place, one)
    assert refused is not None
    assert fix in refused.fix


def typos(one: str) -> Iterator[str]:
    """Yield an id with a letter left out, doubled and exchanged behind its prefix, and with a prefix no id has."""
    at = one.index("/") + 1 + (len(one) - one.index("/")) // 2
    yield one[:at] + one[at + 1 :]
    yield one[:at] + one[at - 1] + one[at:]
    yield one[:at] + "qz" + one[at + 1 :]
    yield "x" + one


def test_an_id_that_does_not_exist_is_refused_with_the_nearest_and_never_judged(base: KnowledgeBase) -> None:
    """Typos in ids of every table, in every place of every question."""
    snapshot = base.snapshot
    middle = [ids[len(ids) // 2] for table in ROW_CLASSES if (ids := snapshot.ids((table,)))]
    wrong = [typo for one in middle for typo in typos(one) if snapshot.row(typo) is None and len(typo) <= LONGEST_ID]
    assert len(wrong) > 3 * len(ROW_CLASSES)
    for place, one in product(PLACES, wrong):
        refused = refusal(base, place, one)
        assert refused is not None, (place.field, one)
        assert refused.field == place.field, (place.field, one)
        assert "has the id" in refused.what, (place.field, one)
        assert refused.nearest, (place.field, one)
        assert all(snapshot.row(near) is not None for near in refused.nearest)


@pytest.mark.parametrize(
    "one", ["metal/coper", "metal/unobtainium", "plastic/unobtainium", "fluid/destilled-water", "additive/none"]
)
def test_a_substance_that_no_table_holds_is_refused_and_not_unknown(base: KnowledgeBase, one: str) -> None:
    """The known case, metal/coper, and its like: what nobody entered may be a typing error."""
    with pytest.raises(QuestionError) as refused:
        base.decide(one, "fluid/distilled-water")
    assert refused.value.nearest
