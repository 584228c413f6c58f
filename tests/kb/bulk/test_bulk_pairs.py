"""A file of pairs gets, row by row and in order, what single questions get; and appears whole or not at all."""

from __future__ import annotations

import csv
import math
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import duckdb
import numpy as np
import pytest

from api.http.requests.strict_json import parse_json
from kb import KnowledgeBase, QuestionError
from kb.bulk import slices
from kb.bulk.judging import Judges
from kb.bulk.kept_pairs import keep_pairs, kept_pairs
from kb.bulk.outcomes import Asked, Outcome, answered, outcome_of
from kb.bulk.resolved import ResolvedPairs
from kb.bulk.run import BulkJob, BulkReport, answer_pairs
from schemas.tables.quantities import Quantity

ROOT = Path(__file__).resolve().parents[3]
INLINE = '{"is": "tube/soft-10x16", "id_mm": 9.8}'
ODD_ROWS = (
    ("thread/g-1-4", "thread/npt-1-4", ""),
    ("plastic/pmma", "fluid/propylene-glycol-inhibited-premix", "75"),
    ("plastic/pmma", "fluid/propylene-glycol-inhibited-premix", "20"),
    ("plastic/pmma", "fluid/propylene-glycol-inhibited-premix", ""),
    (INLINE, "fitting/compression-10x16-g-1-4", ""),
    ("metal/unobtainium", "fluid/distilled-water", ""),
    ("thread/g-1-5", "tube/soft-10x16", ""),
    ("", "tube/soft-10x16", ""),
    ('{"a":1', "tube/soft-10x16", ""),
    ('{"is": "tube/soft-10x16", "size": 3}', "tube/soft-10x16", ""),
    ("plastic/pmma", "fluid/distilled-water", "warm"),
    ("plastic/pmma", "fluid/distilled-water", "1e999"),
    ("x" * 500, "fluid/distilled-water", ""),
    ("two\nlines", 'a "quote", and a comma', ""),
)

Answer = Callable[..., list[dict[str, str]]]


def some_pairs(base: KnowledgeBase, count: int, seed: int = 1) -> list[tuple[str, str]]:
    chosen, ids = random.Random(seed), base.snapshot.ids()
    return [(chosen.choice(ids), chosen.choice(ids)) for _ in range(count)]


def write_csv(path: Path, rows: Iterable[Sequence[str]], head: Sequence[str] = ("a", "b")) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([head, *rows])
    return path


def write_parquet(path: Path, rows: Iterable[Sequence[str]], head: Sequence[str] = ("a", "b")) -> Path:
    types = ", ".join(f"'{name}': 'VARCHAR'" for name in head)
    text = write_csv(path.with_suffix(".text"), rows, head)
    with duckdb.connect() as connection:
        connection.execute(f"COPY (SELECT * FROM read_csv('{text}', columns = {{{types}}}, header = true)) TO '{path}'")
    return path


def read_rows(path: Path) -> list[dict[str, Any]]:
    if path.suffix == ".csv":
        with path.open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))
    with duckdb.connect() as connection:
        found = connection.execute(f"SELECT * FROM '{path}'")
        names = [column[0] for column in found.description or ()]
        return [
            dict(zip(names, ["" if cell is None else cell for cell in row], strict=True)) for row in found.fetchall()
        ]


def reported(row: dict[str, Any]) -> tuple[str, str, str]:
    return row["verdict"], row["code"], row["decided_by"]


def run(base: KnowledgeBase, source: Path, target: Path) -> BulkReport:
    return answer_pairs(base, BulkJob(source, target, parse_json, source.parent / "cache"))


@pytest.mark.parametrize("source_form", [".csv", ".parquet"])
@pytest.mark.parametrize("target_form", [".csv", ".parquet"])
def test_every_row_gets_the_verdict_of_the_single_question_in_its_place(
    base: KnowledgeBase, tmp_path: Path, source_form: str, target_form: str
) -> None:
    pairs = some_pairs(base, 400)
    write = write_csv if source_form == ".csv" else write_parquet
    report = run(base, write(tmp_path / f"in{source_form}", pairs), tmp_path / f"out{target_form}")
    rows = read_rows(tmp_path / f"out{target_form}")
    assert [(row["a"], row["b"]) for row in rows] == pairs
    single = [outcome_of(base.decide(*pair)) for pair in pairs]
    assert [reported(row) for row in rows] == [(one.verdict, one.code, one.decided_by) for one in single]
    assert {row["kb_version"] for row in rows} == {base.version}
    assert report.tally.rows == sum(report.tally.verdicts) == 400


def test_verdict_and_code_are_those_of_the_reported_answer(base: KnowledgeBase) -> None:
    for pair in some_pairs(base, 60, seed=2):
        answer = base.pair(pair[0], pair[1])
        outcome = outcome_of(base.decide(*pair))
        assert (outcome.verdict, outcome.code) == (answer.verdict, answer.findings[0].code)


@pytest.mark.parametrize("source_form", [".csv", ".parquet"])
def test_odd_rows_are_answered_like_single_questions_and_stop_nobody(
    base: KnowledgeBase, tmp_path: Path, source_form: str
) -> None:
    rows = [*ODD_ROWS, *((*pair, "") for pair in some_pairs(base, 50)), *ODD_ROWS]
    head = ("a", "b", "coolant-temperature")
    write = write_csv if source_form == ".csv" else write_parquet
    run(base, write(tmp_path / f"in{source_form}", rows, head), tmp_path / "out.csv")
    answers = read_rows(tmp_path / "out.csv")
    assert [(row["a"], row["b"], row["coolant-temperature"]) for row in answers] == rows
    for row, (a, b, degrees) in zip(answers, rows, strict=True):
        stated = (("coolant-temperature", degrees),) if degrees else ()
        single = answered(base, Asked(a, b, stated), parse_json)
        assert (*reported(row), row["error"]) == (single.verdict or "", single.code, single.decided_by, single.error)
    errors = [row["error"] for row in answers[: len(ODD_ROWS)]]
    assert [bool(error) for error in errors] == [False] * 5 + [True] * 9
    assert "nearest: thread/g-1-" in errors[6]


def test_a_figure_out_of_nature_is_an_error_of_its_row(base: KnowledgeBase, tmp_path: Path) -> None:
    """Every quantity: just below least and just above most are refused, least and most themselves are answered."""
    quantities = base.snapshot.active(Quantity)
    head = ("a", "b", *(one.id.removeprefix("quantity/") for one in quantities))
    rows = []
    for at, one in enumerate(quantities):
        below, above = math.nextafter(one.least, -math.inf), math.nextafter(one.most, math.inf)
        for value in (below, above, one.least, one.most):
            cells = [""] * len(quantities)
            cells[at] = repr(value)
            rows.append(("metal/copper", "fluid/distilled-water", *cells))
    run(base, write_csv(tmp_path / "in.csv", rows, head), tmp_path / "out.csv")
    for at, row in enumerate(read_rows(tmp_path / "out.csv")):
        quantity = quantities[at // 4]
        refused = f"the range of {quantity.title}; give a number from {quantity.range_in_words}" in row["error"]
        assert (refused, bool(row["verdict"])) == ((True, False) if at % 4 < 2 else (False, True)), row


def test_an_unknown_id_among_known_ones_keeps_its_place(base: KnowledgeBase, tmp_path: Path) -> None:
    pairs = some_pairs(base, 300)
    pairs[150] = ("tube/none", "thread/g-1-4")
    run(base, write_parquet(tmp_path / "in.parquet", pairs), tmp_path / "out.parquet")
    rows = read_rows(tmp_path / "out.parquet")
    assert [number for number, row in enumerate(rows) if row["error"]] == [150]
    assert [(row["a"], row["b"]) for row in rows] == pairs


@pytest.mark.parametrize("form", [".csv", ".parquet"])
def test_many_slices_give_what_one_gives(
    base: KnowledgeBase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, form: str
) -> None:
    rows = some_pairs(base, 300)
    rows[100] = ('{"is": "tube/soft-10x16",\n "id_mm": 9.8}', "fitting/compression-10x16-g-1-4")
    write = write_csv if form == ".csv" else write_parquet
    source = write(tmp_path / f"in{form}", rows)
    run(base, source, tmp_path / "whole.csv")
    for name in ("LARGE_ROWS", "SMALL_ROWS"):
        monkeypatch.setattr(slices, name, 32)
    for name in ("LARGE_BYTES", "SMALL_BYTES"):
        monkeypatch.setattr(slices, name, 1000)
    run(base, source, tmp_path / "sliced.csv")
    run(base, source, tmp_path / "sliced.parquet")
    assert (tmp_path / "sliced.csv").read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert read_rows(tmp_path / "sliced.parquet") == read_rows(tmp_path / "whole.csv")


@pytest.mark.parametrize("form", [".csv", ".parquet"])
def test_a_file_without_rows_is_answered_with_none(base: KnowledgeBase, tmp_path: Path, form: str) -> None:
    run(base, write_csv(tmp_path / "in.csv", []), tmp_path / f"out{form}")
    assert read_rows(tmp_path / f"out{form}") == []


DAMAGED = {
    "a cell too few": (b"a,b\nthread/g-1-4,thread/g-1-4\nthread/g-1-4\n", "line 3"),
    "a cell too many": (b"a,b\nx,y,z\n", "line 2"),
    "an empty line": (b"a,b\nx,y\n\nx,y\n", "line 3"),
    "an open quote": (b'a,b\n"x,y\n', "line"),
    "latin-1": (b"a,b\nx,\xe9\n", "line 2"),
    "a nul": (b"a,b\nx,y\nx,\x00\n", "line 3"),
    "no header": (b"thread/g-1-4,thread/g-1-4\n", "no column 'a'"),
    "nothing": (b"", "no column 'a'"),
    "one part": (b"a\nx\n", "no column 'b'"),
    "a column twice": (b"a,b,a\nx,y,z\n", "twice"),
    "an unknown column": (b"a,b,coolant-temprature\nx,y,1\n", "coolant-temperature"),
    "line ends of old": (b"a,b\rx,y\r", "header"),
}


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_file_is_refused_with_the_place(base: KnowledgeBase, tmp_path: Path, name: str) -> None:
    (tmp_path / "in.csv").write_bytes(DAMAGED[name][0])
    with pytest.raises(QuestionError) as refused:
        run(base, tmp_path / "in.csv", tmp_path / "out.csv")
    assert DAMAGED[name][1] in f"{refused.value} {refused.value.nearest}"
    assert not (tmp_path / "out.csv").exists()


def test_what_is_no_parquet_is_refused(base: KnowledgeBase, tmp_path: Path) -> None:
    (tmp_path / "in.parquet").write_bytes(b"PAR1 not really PAR1")
    with pytest.raises(QuestionError, match="no Parquet"):
        run(base, tmp_path / "in.parquet", tmp_path / "out.csv")


def test_names_that_say_no_form_and_an_answer_over_its_question_are_refused(
    base: KnowledgeBase, tmp_path: Path
) -> None:
    source = write_csv(tmp_path / "in.csv", [])
    for target in (tmp_path / "out.xlsx", source):
        with pytest.raises(QuestionError):
            run(base, source, target)


def test_marks_and_line_ends_of_spreadsheets_are_read(base: KnowledgeBase, tmp_path: Path) -> None:
    (tmp_path / "in.csv").write_bytes(b"\xef\xbb\xbfa,b\r\nthread/g-1-4,thread/g-1-4\r\nthread/g-1-4,thread/npt-1-4")
    run(base, tmp_path / "in.csv", tmp_path / "out.csv")
    assert [row["verdict"] for row in read_rows(tmp_path / "out.csv")] == ["compatible", "incompatible"]


def test_names_with_quotes_blanks_and_patterns_are_plain_names(base: KnowledgeBase, tmp_path: Path) -> None:
    folder = tmp_path / "it's a [folder]"
    folder.mkdir()
    source = write_csv(folder / "in 'x'.csv", [("thread/g-1-4", "thread/g-1-4")])
    run(base, source, folder / "out 'x'.csv")
    assert len(read_rows(folder / "out 'x'.csv")) == 1


def test_a_stopped_run_is_taken_up_and_gives_the_same(
    base: KnowledgeBase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(slices, "LARGE_BYTES", 2000)
    source = write_csv(tmp_path / "in.csv", some_pairs(base, 300))
    run(base, source, tmp_path / "whole.csv")

    class Stopped(Exception):  # noqa: N818 - no error
        pass

    def stop(progress: Any) -> None:
        if progress.share > 0.5:
            raise Stopped

    job = BulkJob(source, tmp_path / "out.csv", parse_json, tmp_path / "cache")
    with pytest.raises(Stopped):
        answer_pairs(base, job, stop)
    assert not job.target.exists()
    report = answer_pairs(base, job)
    assert 0 < report.taken_up < report.tally.rows == 300
    assert job.target.read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert not (tmp_path / ".out.csv.bulk").exists()


def test_a_changed_input_is_not_taken_up_but_asked_anew(
    base: KnowledgeBase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(slices, "LARGE_BYTES", 2000)
    source = write_csv(tmp_path / "in.csv", some_pairs(base, 100))
    job = BulkJob(source, tmp_path / "out.csv", parse_json, tmp_path / "cache")
    with pytest.raises(ZeroDivisionError):
        answer_pairs(base, job, lambda progress: 1 / (progress.share < 0.5))
    write_csv(source, some_pairs(base, 90, seed=3))
    assert answer_pairs(base, job).taken_up == 0
    assert len(read_rows(job.target)) == 90


def test_an_input_that_changes_while_it_is_read_is_refused(base: KnowledgeBase, tmp_path: Path) -> None:
    source = write_csv(tmp_path / "in.csv", some_pairs(base, 10))
    job = BulkJob(source, tmp_path / "out.csv", parse_json, tmp_path / "cache")
    with pytest.raises(QuestionError, match="changed"):
        answer_pairs(base, job, lambda _: os.utime(source, (1, 1)))
    assert not job.target.exists()


def test_two_runs_do_not_write_one_answer(base: KnowledgeBase, tmp_path: Path) -> None:
    source = write_csv(tmp_path / "in.csv", some_pairs(base, 10))
    job = BulkJob(source, tmp_path / "out.csv", parse_json, tmp_path / "cache")
    with pytest.raises(QuestionError, match="another run"):
        answer_pairs(base, job, lambda _: answer_pairs(base, job))


def test_helpers_answer_what_one_process_answers(base: KnowledgeBase) -> None:
    questions = [Asked(*pair) for pair in some_pairs(base, 4200)]
    with Judges(base, parse_json, processes=2) as judges:
        helped = judges.many(questions)
    assert helped == [answered(base, asked, parse_json) for asked in questions]


def test_either_order_of_a_pair_gets_the_same_outcome(base: KnowledgeBase) -> None:
    for a, b in some_pairs(base, 1000, seed=4):
        assert outcome_of(base.decide(a, b)) == outcome_of(base.decide(b, a)), (a, b)


def test_kept_pairs_come_back_and_damaged_ones_do_not(base: KnowledgeBase, tmp_path: Path) -> None:
    pairs = ResolvedPairs(base.snapshot.ids())
    with Judges(base, parse_json) as judges:
        pairs.look_up(np.arange(50, dtype=np.int32), judges)
    keep_pairs(base, pairs, tmp_path)
    back = kept_pairs(base, tmp_path)
    assert back.outcomes == pairs.outcomes
    assert np.array_equal(back.cells, pairs.cells)
    [file] = tmp_path.glob("pairs-*.npz")
    whole = file.read_bytes()
    for damaged in (b"", whole[:1000], whole[:5000] + bytes([whole[5000] ^ 1]) + whole[5001:], b"x" * 5000):
        file.write_bytes(damaged)
        assert kept_pairs(base, tmp_path).judged == 0


def test_an_outcome_of_a_bad_row_is_never_kept(base: KnowledgeBase, tmp_path: Path) -> None:
    run(base, write_csv(tmp_path / "in.csv", [("tube/none", "tube/none")]), tmp_path / "out.csv")
    assert not [one for one in kept_pairs(base, tmp_path / "cache").outcomes if one.error]
    assert Outcome(None, "", "", "x").verdict is None


def test_a_killed_run_leaves_the_old_answer_or_the_new_one(base: KnowledgeBase, tmp_path: Path) -> None:
    source, target = write_csv(tmp_path / "in.csv", some_pairs(base, 3000)), tmp_path / "out.csv"
    run(base, source, target)
    new, old = target.read_bytes(), b"what stood here before\n"
    environment = {**os.environ, "WETTED_CACHE_DIR": str(tmp_path / "cache")}
    command = [sys.executable, "-m", "api.cli.main", "bulk", str(source), str(target)]
    for delay_s in (0.6, 0.9, 1.2, 1.6):
        target.write_bytes(old)
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stderr=subprocess.DEVNULL)
        time.sleep(delay_s)
        process.send_signal(signal.SIGKILL)
        process.wait()
        assert target.read_bytes() in (old, new)
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "3,000 rows" in done.stderr
    assert target.read_bytes() == new
