"""The ids an error names: as near as those that a comparison with every id would find, at the price of a few."""

from __future__ import annotations

import random
import string
from collections.abc import Sequence
from typing import Any

import pytest
import rapidfuzz
from counted_calls import calls_of
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import KnowledgeBase, QuestionError
from kb.parts.id_grams import IdGrams
from kb.parts.near_ids import MOST, MOST_COMPARED, NearIds
from kb.store.snapshot import PART_TABLES, Snapshot
from schemas.tables import ROW_CLASSES

LETTERS = string.ascii_lowercase + string.digits + "-"
MOST_CHOSEN = 10_000  # of 50,000 ids; a comparison with all of them makes as many calls as there are ids


def brute(written: str, ids: Sequence[str]) -> str:
    return rapidfuzz.process.extract(written, ids, limit=1)[0][0]


def score(written: str, one: str) -> float:
    return rapidfuzz.fuzz.WRatio(written, one)


def slipped(one: str, at: int, letter: str, how: str) -> str:
    """Return a word with one slip of the hand."""
    before, after = one[:at], one[at:]
    return {
        "wrong": before + letter + after[1:],
        "more": before + letter + after,
        "missing": before + after[1:],
        "exchanged": before + after[1:2] + after[:1] + after[2:],
    }[how]


@pytest.fixture(scope="module")
def all_ids(snapshot: Snapshot) -> tuple[str, ...]:
    return snapshot.ids(tuple(ROW_CLASSES))


@pytest.fixture(scope="module")
def known(all_ids: tuple[str, ...]) -> NearIds:
    assert len(all_ids) > MOST_COMPARED  # so that they are looked up, not compared
    return NearIds(all_ids)


@pytest.fixture(scope="module")
def many_ids(snapshot: Snapshot) -> tuple[str, ...]:
    """Fifty thousand ids that look like those of the tables."""
    chance = random.Random(1)
    made = dict.fromkeys(snapshot.ids())
    while len(made) < 50_000:
        made[
            f"{chance.choice(snapshot.ids())}-{chance.choice(('black', 'long', 'x2', ''))}{chance.randrange(9999)}"
        ] = None
    return tuple(made)


@settings(max_examples=50, deadline=None)
@given(st.data())
def test_of_one_slip_the_nearest_id_is_as_near_as_the_nearest_of_all(
    all_ids: tuple[str, ...], known: NearIds, data: st.DataObject
) -> None:
    meant = data.draw(st.sampled_from(all_ids))
    at = data.draw(st.integers(0, len(meant)))
    how = data.draw(st.sampled_from(("wrong", "more", "missing", "exchanged")))
    written = slipped(meant, at, data.draw(st.sampled_from(LETTERS)), how)
    named = known.to(written)
    assert score(written, named[0]) >= score(written, brute(written, all_ids)) - 1e-9
    assert len(named) == len(set(named)) == MOST
    assert set(named) <= set(all_ids)


def test_every_id_is_named_after_any_single_slip(many_ids: tuple[str, ...]) -> None:
    known, chance = NearIds(many_ids), random.Random(2)
    for meant in chance.sample(many_ids, 150):
        at = chance.randrange(meant.index("/") + 1, len(meant))
        written = slipped(meant, at, chance.choice(LETTERS), chance.choice(("wrong", "more", "missing", "exchanged")))
        assert score(written, known.to(written)[0]) >= score(written, meant) - 1e-9


def test_several_slips_and_half_an_id_are_understood(many_ids: tuple[str, ...]) -> None:
    known = NearIds(many_ids)
    assert known.to("fiting/compresion-10x16-g-1-4")[0] == "fitting/compression-10x16-g-1-4"
    assert known.to("metal/brass-yelow")[0].startswith("metal/brass-yellow")
    assert all("compression-10x16" in one for one in known.to("fitting/compression-10x16"))


@pytest.mark.parametrize("written", ["tube/soft-10x17", "zz/q", "a/" + "b" * 78, "c" * 500, "thread/g-1-4-and-more"])
def test_few_of_many_ids_are_compared(many_ids: tuple[str, ...], written: str, monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[int] = []
    extract = rapidfuzz.process.extract

    def noted(word: str, choices: Sequence[str], **named: Any) -> Any:
        compared.append(len(choices))
        return extract(word, choices, **named)

    monkeypatch.setattr(rapidfuzz.process, "extract", noted)
    known = NearIds(many_ids)
    assert calls_of(lambda: known.to(written)) < MOST_CHOSEN
    assert calls_of(lambda: known.to("G 1/4 BSP", lambda _words, _kind: ("thread/g-1-4",))) < MOST_CHOSEN
    assert compared
    assert max(compared) <= MOST_COMPARED


def test_an_unknown_id_costs_a_question_no_look_at_all_ids(
    base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The ids are gathered once, and once only."""
    asked: list[object] = []
    ids = base.snapshot.ids
    monkeypatch.setattr(base.snapshot, "ids", lambda *tables: asked.append(tables) or ids(*tables))
    for number in range(3):
        with pytest.raises(QuestionError) as refused:
            base.pair(f"tube/soft-10x1{number}x", "thread/g-1-4")
        assert len(refused.value.nearest) == MOST
    assert len(asked) <= 1


def test_what_is_like_no_id_gets_ids_all_the_same(many_ids: tuple[str, ...]) -> None:
    known = NearIds(many_ids)
    for written in ("", "/", "q", "\u0661\u0662", "\n", "QQQQQ"):
        assert len(known.to(written)) == MOST


@given(st.text(max_size=300))
def test_whatever_is_written_in_the_place_of_an_id_is_read(known: NearIds, written: str) -> None:
    assert 1 <= len(known.to(written)) <= MOST


@given(st.lists(st.from_regex(r"\A[a-z]{1,3}/[a-z0-9-]{1,6}\Z"), min_size=1, max_size=50, unique=True), st.data())
def test_an_id_shares_most_with_itself(ids: list[str], data: st.DataObject) -> None:
    one = data.draw(st.sampled_from(ids))
    sharing = IdGrams(ids).sharing(one)
    assert sharing == sorted(set(sharing))
    assert ids.index(one) in sharing or len(one.partition("/")[2]) < 2


def test_ids_of_few_tables_are_compared_as_they_stand(snapshot: Snapshot) -> None:
    ids = snapshot.ids(PART_TABLES)
    assert len(ids) <= MOST_COMPARED
    assert NearIds(ids).to("tube/soft-10x17")[0] == brute("tube/soft-10x17", ids)
