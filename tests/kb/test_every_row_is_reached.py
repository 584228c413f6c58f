"""Every row of the tables comes up in some answer: data that nothing reads is a bug in the program or in the tables.

What cannot come up yet is listed in `unreached_rows.csv`, each with its reason; a row that can come up may not be
listed. So a look-up that asks for the wrong name, such as that of a fitting where the rows are for families, is found
by the row that nobody ever reads again. Messages are words of the program and no facts: `report/test_messages.py` holds
that each of them is said; `parts/test_renamed_ids.py` asks for every id that was renamed.
"""

from __future__ import annotations

import csv
from fnmatch import fnmatchcase
from pathlib import Path
from typing import NamedTuple

import pytest
from reaching import Reached

from kb.knowledge_base import KnowledgeBase
from kb.store.snapshot import Snapshot
from schemas.tables import ROW_CLASSES
from schemas.tables.evidence import Evidence
from schemas.tables.messages import Message
from schemas.tables.renamed_ids import RenamedId
from schemas.tables.sources import Source

pytestmark = pytest.mark.long
ELSEWHERE = (Source, Evidence, Message, RenamedId)  # tables whose rows are held by tests of their own
UNUSED_SOURCE = "no row names it"  # how the note of such a source begins


class Listed(NamedTuple):
    """An entry of the list: an id, or a pattern of ids, and why no answer brings these rows up."""

    rows: str
    reason: str


LISTED = tuple(
    Listed(**row)
    for row in csv.DictReader((Path(__file__).parent / "unreached_rows.csv").read_text(encoding="utf-8").splitlines())
)


@pytest.fixture(scope="module")
def reached(base: KnowledgeBase) -> Reached:
    reached = Reached(base.snapshot.built)
    reached.ask_everything()
    return reached


def listed(row_id: str) -> bool:
    return any(fnmatchcase(row_id, one.rows) for one in LISTED)


def active(snapshot: Snapshot) -> dict[str, str]:
    """Return the table of every active row that an answer has to bring up, by its id."""
    tables = {table: row_class for table, row_class in ROW_CLASSES.items() if row_class not in ELSEWHERE}
    return {row.id: table for table, row_class in tables.items() for row in snapshot.active(row_class)}


@pytest.mark.parametrize("table", [table for table, row_class in ROW_CLASSES.items() if row_class not in ELSEWHERE])
def test_every_row_comes_up_or_is_listed_with_a_reason(reached: Reached, table: str) -> None:
    rows = {row_id for row_id, of in active(reached.snapshot).items() if of == table}
    assert {row_id for row_id in rows - reached.rows if not listed(row_id)} == set()


def test_every_source_is_that_of_a_row_or_says_that_it_is_none(reached: Reached) -> None:
    """The reason of a listed row is that of its source."""
    named = {getattr(row, "source_id", "") for table in ROW_CLASSES for row in reached.snapshot.all_rows(table)}
    for source in reached.snapshot.active(Source):
        assert source.id in reached.rows | named or (source.note or "").startswith(UNUSED_SOURCE), source.id


@pytest.mark.parametrize("entry", LISTED, ids=lambda entry: entry.rows)
def test_no_entry_of_the_list_is_stale(reached: Reached, entry: Listed) -> None:
    meant = {row_id for row_id in active(reached.snapshot) if fnmatchcase(row_id, entry.rows)}
    assert meant, "no row has such an id; take the entry out"
    assert meant & reached.rows == set(), "these rows come up; take the entry out, or narrow it"
    assert len(entry.reason) > 20
