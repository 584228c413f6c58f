"""One slice of a bulk file: rows in, the same rows with their outcomes out, in the same order.

Owns: which rows are looked up and which go the single way, and the query that writes them. Does not own: cutting
slices (`kb/bulk/slices.py`), outcomes (`kb/bulk/outcomes.py`) or the order of the work (`kb/bulk/run.py`).
Rows keep their order because no query joins: a join in DuckDB loses it, and sorting costs more than all the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kb.bulk.judging import Judges
from kb.bulk.outcomes import Asked, Outcome
from kb.bulk.resolved import Numbers, ResolvedPairs
from kb.bulk.session import PART_TYPE, name, text
from kb.bulk.slices import PARTS, Slice, Source
from schemas.verdict import Verdict

if TYPE_CHECKING:
    import duckdb

REPORTED = ("verdict", "code", "decided_by", "error", "kb_version")
_IDS = tuple(f"try_cast({name(part)} AS {PART_TYPE}) AS {name(f'{part}_id')}" for part in PARTS)
_OPTIONS = {".csv": "FORMAT csv, HEADER false, NEW_LINE '\\n'", ".parquet": "FORMAT parquet"}


class Tally(NamedTuple):
    """How the rows of some slices came out.

    Attributes:
        rows: how many there were.
        verdicts: how many of them got each verdict, best first.
        errors: how many could not be judged.
    """

    rows: int = 0
    verdicts: tuple[int, int, int, int] = (0, 0, 0, 0)
    errors: int = 0

    def plus(self, other: Tally) -> Tally:
        """Return both tallies together."""
        added = [one + more for one, more in zip(self.verdicts, other.verdicts, strict=True)]
        first, second, third, fourth = added
        return Tally(self.rows + other.rows, (first, second, third, fourth), self.errors + other.errors)


class Answering:
    """Answers slices of one file."""

    def __init__(
        self,
        connection: duckdb.DuckDBPyConnection,
        source: Source,
        pairs: ResolvedPairs,
        judges: Judges,
        version: str,
    ) -> None:
        """Prepare to answer.

        Args:
            connection: a session whose part type holds the ids of the pairs, in their order.
            source: the file.
            pairs: outcomes judged so far; more are added.
            judges: judges what is missing.
            version: version of the tables, given in every row.
        """
        self._connection, self._source = connection, source
        self._pairs, self._judges, self._version = pairs, judges, version
        self._conditions = tuple(column for column in source.columns if column not in PARTS)

    @property
    def has_conditions(self) -> bool:
        """Whether rows can state conditions, so that none can be looked up unseen."""
        return bool(self._conditions)

    def look_up(self, one: Slice, target: Path, done: Callable[[int], object] = int) -> Tally | None:
        """Write a slice of pairs of archetypes with their outcomes to a file.

        Args:
            one: the slice.
            target: file to write; its suffix says the form. CSV gets no header.
            done: given how many pairs of the slice have been judged so far, now and then.

        Returns:
            How it came out; `None` if it holds anything but archetypes: then nothing is written.

        Raises:
            QuestionError: if the slice is damaged.
        """
        if not self._all_known(one):
            return None
        numbers = self.outcomes("slice", done)
        given = [f"s.{name(f'{part}_id')} AS {name(part)}" for part in self._source.columns]
        return self._written(given, numbers, self._pairs.outcomes, target)

    def outcomes(self, relation: str, done: Callable[[int], object] = int) -> Numbers:
        """Return the numbers of the outcomes of pairs of archetypes, in the order of their rows.

        Args:
            relation: what DuckDB selects `a_id` and `b_id` from; none of them is missing.
            done: given how many pairs have been judged so far, now and then.
        """
        columns = self._fetched("enum_code(a_id) AS a, enum_code(b_id) AS b", relation)
        return self._pairs.look_up(self._pairs.pairs(columns["a"], columns["b"]), self._judges, done)

    def typed(self, relation: str) -> str:
        """Return a relation of ids as text as one of `a_id` and `b_id`."""
        return f"(SELECT {', '.join(_IDS)} FROM {relation})"

    def ask(self, one: Slice, target: Path, done: Callable[[int], object] = int) -> Tally:
        """Write a slice of rows of any sort with their outcomes to a file; arguments and errors as in `look_up`."""
        self._read(one, (*_IDS, *map(name, self._source.columns)))
        numbers, strange = self._single(done)
        given = [f"s.{name(column)}" for column in self._source.columns]
        return self._written(given, numbers, (*self._pairs.outcomes, *strange), target)

    def _all_known(self, one: Slice) -> bool:
        """Read the ids of a slice; return whether all of them are those of archetypes."""
        import duckdb  # noqa: PLC0415

        try:
            return self._read(one, _IDS)
        except duckdb.ConversionException:  # its CSV reader takes the attempt to cast for an order
            return False

    def _read(self, one: Slice, columns: Sequence[str]) -> bool:
        """Read columns of a slice; return whether every id in them is known."""
        import duckdb  # noqa: PLC0415

        try:
            self._connection.execute(
                f"CREATE OR REPLACE TEMP TABLE slice AS SELECT {', '.join(columns)} FROM {one.relation}"
            )
        except duckdb.Error:
            self._source.check(one, None)
            raise
        counts = self._connection.execute("SELECT count(*), count(a_id), count(b_id) FROM slice").fetchone()
        assert counts is not None
        self._source.check(one, counts[0])
        return bool(counts[0] == counts[1] == counts[2])

    def _single(self, done: Callable[[int], object]) -> tuple[Numbers, list[Outcome]]:
        """Return the outcomes of rows of any sort: archetypes are looked up, the others asked once a question."""
        asked_so = " OR ".join(f"{name(column)} IS NOT NULL" for column in self._conditions) or "false"
        columns = self._fetched(f"enum_code(a_id)::INTEGER AS a, enum_code(b_id)::INTEGER AS b, {asked_so} AS stated")
        a, b = (np.ma.filled(columns[part], -1) for part in PARTS)
        plain = (a >= 0) & (b >= 0) & ~np.ma.filled(columns["stated"], True)
        numbers = np.zeros(len(a), np.int32)
        numbers[plain] = self._pairs.look_up(self._pairs.pairs(a[plain], b[plain]), self._judges)
        questions, rows, places = self._questions()
        strange = self._judges.many(questions, done)
        met = {outcome: number for number, outcome in enumerate(dict.fromkeys(strange), len(self._pairs.outcomes))}
        numbers[rows] = np.array([met[outcome] for outcome in strange], np.int32)[places]
        return numbers, list(met)

    def _questions(self) -> tuple[list[Asked], NDArray[np.int64], NDArray[np.int64]]:
        """Return the distinct questions of rows that are not plain, the numbers of those rows, and which they ask."""
        texts = [f"coalesce(s.{name(column)}::VARCHAR, '') AS {name(column)}" for column in (*PARTS, *self._conditions)]
        stated = [f"s.{name(column)} IS NOT NULL" for column in self._conditions]
        where = " OR ".join(["s.a_id IS NULL", "s.b_id IS NULL", *stated])
        strange = f"SELECT s.rowid AS at_row, {', '.join(texts)} FROM slice s WHERE {where}"
        columns = ", ".join(map(name, (*PARTS, *self._conditions)))
        self._connection.execute(f"CREATE OR REPLACE TEMP TABLE strange AS {strange}")
        self._connection.execute(f"CREATE OR REPLACE TEMP TABLE asked AS SELECT DISTINCT {columns} FROM strange")
        cells = self._connection.execute(f"SELECT {columns} FROM asked ORDER BY rowid").fetchall()
        questions = [self._asked(*row) for row in cells]
        found = self._fetched("at_row, asked.rowid AS place", f"strange JOIN asked USING ({columns})")
        return questions, found["at_row"], found["place"]

    def _asked(self, a: str, b: str, *values: str) -> Asked:
        return Asked(a, b, tuple((key, value) for key, value in zip(self._conditions, values, strict=True) if value))

    def _fetched(self, columns: str, table: str = "slice") -> dict[str, Any]:
        fetched: dict[str, Any] = self._connection.execute(f"SELECT {columns} FROM {table}").fetchnumpy()
        return fetched

    def _written(self, given: Sequence[str], numbers: Numbers, outcomes: Sequence[Outcome], target: Path) -> Tally:
        import pandas  # noqa: PLC0415 - 296 ms

        words = {field: [str(getattr(one, field) or "") for one in outcomes] for field in REPORTED[:-1]}
        reported = {field: _column(texts, numbers) for field, texts in words.items()}
        self._connection.register("told", pandas.DataFrame(reported, copy=False))
        columns = [*given, *REPORTED[:-1], f"{text(self._version)} AS {REPORTED[-1]}"]
        rows = f"SELECT {', '.join(columns)} FROM slice s POSITIONAL JOIN told"
        self._connection.execute(f"COPY ({rows}) TO {text(str(target))} ({_OPTIONS[target.suffix]})")
        self._connection.unregister("told")
        return _tally(numbers, outcomes)


def _column(texts: Sequence[str], numbers: Numbers) -> Any:
    """Return a column of texts, given the text of every number; empty ones are left out.

    DuckDB writes such a column of a few words many times as fast as one of texts.
    """
    import pandas  # noqa: PLC0415 - 296 ms

    words = sorted({*texts} - {""}) or ["-"]
    places = {word: place for place, word in enumerate(words)}
    narrow = np.min_scalar_type(-len(words) - 1)
    codes: NDArray[np.signedinteger[Any]] = np.array([places.get(one, -1) for one in texts]).astype(narrow)
    return pandas.Categorical.from_codes(codes[numbers], pandas.Index(words), validate=False)


def _tally(numbers: Numbers, outcomes: Sequence[Outcome]) -> Tally:
    counts = np.bincount(numbers, minlength=len(outcomes))
    by_verdict = dict.fromkeys((*Verdict, None), 0)
    for outcome, count in zip(outcomes, counts, strict=True):
        by_verdict[outcome.verdict] += int(count)
    first, second, third, fourth = (by_verdict[verdict] for verdict in Verdict)
    return Tally(len(numbers), (first, second, third, fourth), by_verdict[None])
