"""A file of pairs in, a file of verdicts out: whole or not at all, and not twice the same work.

Owns: the order of the work, and putting the answer in its place. Does not own: slices (`kb/bulk/slices.py`), their
answers (`kb/bulk/answering.py`) or what is finished (`kb/bulk/journal.py`).
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from kb.bulk.answering import REPORTED, Answering, Tally
from kb.bulk.csv_faults import file_fault
from kb.bulk.journal import Journal, synced, work_folder
from kb.bulk.judging import Judges
from kb.bulk.kept_pairs import keep_pairs, kept_pairs, pairs_key
from kb.bulk.outcomes import Outcome, ReadInline
from kb.bulk.session import PART_TYPE, name, open_session, text
from kb.bulk.slices import MET, PARTS, CsvSource, ParquetSource, Source
from kb.knowledge_base import KnowledgeBase
from kb.load import default_cache
from kb.store.faults import QuestionError
from kb.store.frozen import content_key
from schemas.tables.quantities import Quantity
from schemas.verdict import Verdict

if TYPE_CHECKING:
    import duckdb

SUFFIXES = (".csv", ".parquet")


class Progress(NamedTuple):
    """How far a run has come.

    Attributes:
        share: finished share of the input, 0..1.
        rows: rows answered so far.
        judged: questions of the present slice judged so far; 0 while rows are only looked up.
    """

    share: float
    rows: int
    judged: int = 0


class BulkReport(NamedTuple):
    """What a run did.

    Attributes:
        tally: how all rows came out.
        taken_up: rows that an earlier run had answered already.
        version: version of the tables.
    """

    tally: Tally
    taken_up: int
    version: str


class BulkJob(NamedTuple):
    """What is to be done.

    Attributes:
        source: CSV or Parquet file with the columns `a`, `b` and, if wanted, quantities that are conditions.
        target: CSV or Parquet file for the same rows with their verdicts.
        read_inline: reads the JSON of an inline part.
        cache: folder where judged pairs are kept between starts; by default the user's cache folder.
    """

    source: Path
    target: Path
    read_inline: ReadInline
    cache: Path | None = None


def answer_pairs(base: KnowledgeBase, job: BulkJob, on_progress: Callable[[Progress], object] = id) -> BulkReport:
    """Answer every row of a file with the verdict that the single question gets, in the order of the rows.

    A row that cannot be judged gets an error in place of a verdict. The answer appears whole, in place of whatever
    stood there, when all is done; a run that was stopped is taken up where it was if neither input nor tables changed.

    Args:
        base: answers every row.
        job: the files.
        on_progress: given the progress, now and then.

    Raises:
        QuestionError: if the input is damaged, has unknown columns or changes meanwhile, or a file is of no known form.
        OSError: if a file cannot be read or written.
    """
    for path in (job.source, job.target):
        if path.suffix.lower() not in SUFFIXES:
            raise file_fault(path, "is neither CSV nor Parquet by its name", f"end the name in {' or '.join(SUFFIXES)}")
    if job.target.resolve() == job.source.resolve():
        raise file_fault(job.target, "is both question and answer", "name another file for the answer")
    with job.source.open("rb"), work_folder(job.target) as work:
        report = _answer_in(work, base, job, on_progress)
        shutil.rmtree(work)
    return report


def _answer_in(work: Path, base: KnowledgeBase, job: BulkJob, on_progress: Callable[[Progress], object]) -> BulkReport:
    cache = job.cache or default_cache()
    pairs = kept_pairs(base, cache)
    known_before = pairs.judged
    key = _key(base, job)
    journal = Journal(work, key)
    taken_up = journal.tally().rows
    with open_session(job.source, work, pairs.ids) as connection, Judges(base, job.read_inline) as judges:
        source = _source(connection, job.source, work)
        _check_columns(base, job.source, source.columns)
        answering = Answering(connection, source, pairs, judges, base.version)
        _answer_slices(answering, source, journal, job.target.suffix.lower(), on_progress)
        if pairs.judged > known_before:
            keep_pairs(base, pairs, cache)
        if _key(base, job) != key:
            raise file_fault(job.source, "changed while it was read", "ask again")
        _put_in_place(connection, source, journal, job.target, pairs.outcomes)
    return BulkReport(journal.tally(), taken_up, base.version)


def _answer_slices(
    answering: Answering, source: Source, journal: Journal, suffix: str, on_progress: Callable[[Progress], object]
) -> None:
    """Answer what is left, by large slices; those that cannot be looked up as they are, by small ones."""
    small_until = source.total if answering.has_conditions else 0
    while journal.end < source.total:
        rows, place, file = journal.tally().rows, journal.end, journal.next_file(suffix)
        one = source.slice_at(place, place < small_until)

        judged = partial(_report_judged, on_progress, Progress(place / source.total, rows))
        tally = answering.look_up(one, file, judged) if place >= small_until else answering.ask(one, file, judged)
        if tally is None:
            small_until = one.end
            continue
        journal.add(file, one.end, tally)
        on_progress(Progress(one.end / source.total, rows + tally.rows))


def _report_judged(on_progress: Callable[[Progress], object], progress: Progress, judged: int) -> None:
    on_progress(progress._replace(judged=judged))


def _source(connection: duckdb.DuckDBPyConnection, path: Path, work: Path) -> Source:
    return CsvSource(path, work) if path.suffix.lower() == ".csv" else ParquetSource(connection, path)


def _check_columns(base: KnowledgeBase, path: Path, columns: tuple[str, ...]) -> None:
    """Refuse columns that nobody knows: passing them over could answer another question than the one meant."""
    for column in PARTS:
        if column not in columns:
            raise file_fault(path, f"has no column {column!r}", "name the columns a, b and, if wanted, conditions")
    for column in columns:
        if columns.count(column) > 1:
            raise file_fault(path, f"has the column {column[:80]!r} twice", "keep one of the two")
        if column not in (*PARTS, MET):
            _check_condition(base, path, column)


def _check_condition(base: KnowledgeBase, path: Path, column: str) -> None:
    if not isinstance(base.snapshot.row(f"quantity/{column}"), Quantity):
        from rapidfuzz import process  # noqa: PLC0415 - only needed on the way to an error

        near = process.extract(column[:80], (*PARTS, *base.snapshot.asked_quantities), limit=3)
        what = f"{path.name!r} has a column {column[:80]!r}, which is neither a part nor a quantity"
        raise QuestionError("file", what, "rename or remove it", [match[0] for match in near])


def _key(base: KnowledgeBase, job: BulkJob) -> str:
    """Return what names the question: the input as it is, the tables with their code, and the form of the answer."""
    at = job.source.stat()
    named = {"path": job.source.resolve(), "size": at.st_size, "time": at.st_mtime_ns, "form": job.target.suffix}
    return content_key([("pairs", pairs_key(base).encode()), *((key, str(one).encode()) for key, one in named.items())])


def _put_in_place(
    connection: duckdb.DuckDBPyConnection, source: Source, journal: Journal, target: Path, outcomes: Sequence[Outcome]
) -> None:
    """Make one file of the slices, and put it where the answer belongs in one step."""
    draft = journal.folder / f"whole{target.suffix.lower()}"
    parts = [journal.folder / one.file for one in journal.finished]
    if draft.suffix == ".csv":
        _join_text(draft, ",".join((*source.columns, *REPORTED)) + "\n", parts)
    elif len(parts) == 1:
        draft = parts[0]
    elif parts:
        _join_parquet(connection, source, draft, parts, outcomes)
    else:
        connection.execute(f"COPY ({_no_rows(source.columns)}) TO {text(str(draft))} (FORMAT parquet)")
    synced(draft)
    draft.replace(target)


def _join_text(draft: Path, head: str, parts: list[Path]) -> None:
    with draft.open("wb") as file:
        file.write(head.encode())
        for part in parts:
            with part.open("rb") as one:
                shutil.copyfileobj(one, file, 1 << 20)


def _join_parquet(
    connection: duckdb.DuckDBPyConnection, source: Source, draft: Path, parts: list[Path], outcomes: Sequence[Outcome]
) -> None:
    """Write one file of several; as closed lists of words, if all their words are known, which is much quicker."""
    import duckdb  # noqa: PLC0415

    rows = f"read_parquet([{', '.join(text(str(part)) for part in parts)}])"
    words = {"code": {one.code for one in outcomes}, "decided_by": {one.decided_by for one in outcomes}}
    words["verdict"] = {str(verdict) for verdict in Verdict}
    types = dict.fromkeys(PARTS, PART_TYPE)
    for column, known in words.items():
        types[column] = f"{column}_word"
        connection.execute(f"CREATE TYPE {types[column]} AS ENUM ({', '.join(map(text, sorted(known - {''})))})")
    columns = (*source.columns, *REPORTED)
    quick = [f"{name(one)}::{types[one]} AS {name(one)}" if one in types else name(one) for one in columns]
    for selected in (quick, ["*"]):
        try:
            connection.execute(
                f"COPY (SELECT {', '.join(selected)} FROM {rows}) TO {text(str(draft))} (FORMAT parquet)"
            )
        except duckdb.ConversionException:  # a word that is on no list; then they are written as plain texts
            continue
        return


def _no_rows(columns: tuple[str, ...]) -> str:
    return f"SELECT {', '.join(f'NULL::VARCHAR AS {name(column)}' for column in (*columns, *REPORTED))} WHERE false"
