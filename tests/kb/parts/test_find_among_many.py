"""What a find still finds among very many parts."""

from __future__ import annotations

import dataclasses

import pytest

from kb.load import load_tables
from kb.parts.search.search import FindIndex, FindResult, find
from kb.store.snapshot import Snapshot
from schemas.tables.tubes import Tube


def ids(result: FindResult) -> list[str]:
    return [candidate.id for candidate in result.candidates]


def synthetic(snapshot: Snapshot, count: int) -> FindIndex:
    """Return an index with that many invented tubes, in 2000 outside diameters."""
    tables = load_tables()
    pattern = snapshot.get(Tube, "tube/acrylic-13x10")
    tubes = []
    for number in range(count):
        outside = round(6 + number % 2000 / 100, 2)
        inside = round(outside - 1 - number // 2000 / 100, 2)
        text = f"{outside} x {inside} mm"
        changes = {"title": f"acrylic tube {text}", "designation": text, "id_mm": inside, "od_mm": outside}
        tubes.append(dataclasses.replace(pattern, id=f"tube/synthetic-{number:06d}", **changes))
    rows = {**tables.rows, "tubes": tuple(sorted([*tables.rows["tubes"], *tubes], key=lambda row: row.id))}
    return FindIndex(Snapshot(dataclasses.replace(tables, rows=rows)))


@pytest.fixture(scope="module")
def large(snapshot: Snapshot) -> FindIndex:
    made = synthetic(snapshot, 6_000)
    assert len(made.built.ids) > 6_000
    return made


def test_the_exact_part_is_found_among_many(large: FindIndex) -> None:
    expected = "tube/synthetic-000650"
    assert ids(find(large, "acrylic tube 12.5 x 11.5", None, 1)) == [expected]
    assert expected in ids(find(large, "11.5/12.5 mm", "tube", 3))


def test_of_two_common_words_and_a_size_the_parts_with_all_come_first(large: FindIndex) -> None:
    titles = [one.title for one in find(large, "acrylic tube 12.5 mm od", None, 3).candidates]
    assert titles
    assert all(title.startswith("acrylic tube 12.5 x") for title in titles)


def test_the_nearest_of_many_sizes_is_found(large: FindIndex) -> None:
    found = find(large, "30 mm acrylic", None, 3).candidates
    assert {one.title.partition(" x ")[0] for one in found} == {"acrylic tube 25.99"}
