"""How quickly files of pairs are answered, against floors measured in the same run; and whether every pair is right.

Owns: timings of the resolved table and of `wetted bulk`, and holding the whole table against single answers
(`--check-all`). Does not own: pass or fail of timings. Run it in the project's environment:
`.venv/bin/python scripts/bench/bench_bulk.py`.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import duckdb
import numpy as np
import pandas

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from api.http.requests.strict_json import parse_json
from kb.bulk.answering import Answering
from kb.bulk.judging import Judges
from kb.bulk.kept_pairs import keep_pairs, kept_pairs
from kb.bulk.outcomes import Asked, answered, outcome_of
from kb.bulk.resolved import ResolvedPairs
from kb.bulk.run import BulkJob, answer_pairs
from kb.bulk.session import open_session
from kb.bulk.slices import ParquetSource
from kb.knowledge_base import KnowledgeBase, load

SAMPLE = 2_000
ROUNDS = 3


def seconds(action: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the shortest time that an action took in some turns [s]."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def resolved(base: KnowledgeBase, folder: Path) -> ResolvedPairs:
    """Judge every pair, say how long it takes, and keep them for the runs that follow."""
    pairs = ResolvedPairs(base.snapshot.ids())
    with Judges(base, parse_json) as judges:
        whole = seconds(lambda: pairs.resolve_all(judges), rounds=1)
    keep_pairs(base, pairs, folder)
    chosen = np.random.default_rng(1).integers(0, len(pairs.ids), (SAMPLE, 2))
    asked = [Asked(pairs.ids[one], pairs.ids[other]) for one, other in chosen]
    single = seconds(lambda: [answered(base, one, parse_json) for one in asked], rounds=1) / SAMPLE
    count = len(pairs.cells)
    print(f"resolved table: {len(pairs.ids)} parts, {count:,} ordered pairs, {len(pairs.outcomes)} distinct outcomes")
    print(f"  judged with the engine of single questions, on {os.cpu_count()} cores   {whole:8.1f} s")
    print(f"  one process alone, both orders, from a sample           {single * count:8.1f} s")
    print(
        f"  taken up from the cache                                 {seconds(lambda: kept_pairs(base, folder)):8.3f} s"
    )
    return pairs


def floors(connection: duckdb.DuckDBPyConnection, pairs: ResolvedPairs, rows: int) -> dict[str, float]:
    """Return pairs a second of a bare gather and a bare join over numbers, in DuckDB, without ids or order."""
    size = len(pairs.ids)
    severities = [one.verdict.severity for one in pairs.outcomes if one.verdict is not None]
    verdicts = np.array(severities, np.uint8)[pairs.cells]
    table = pandas.DataFrame({"pair": np.arange(size * size, dtype=np.uint32), "verdict": verdicts})
    asked = pandas.DataFrame({"pair": np.random.default_rng(2).integers(0, size * size, rows, dtype=np.uint32)})
    connection.register("given_table", table)
    connection.register("given_asked", asked)
    connection.execute("CREATE TEMP TABLE verdicts AS SELECT * FROM given_table")
    connection.execute("CREATE TEMP TABLE gathered AS SELECT list(verdict ORDER BY pair) AS cells FROM given_table")
    connection.execute("CREATE TEMP TABLE asked AS SELECT * FROM given_asked")
    gather = "SELECT sum(cells[pair + 1]) FROM asked, gathered"
    join = "SELECT sum(verdict) FROM asked JOIN verdicts USING (pair)"
    return {
        "gather from one array (floor)": rows / seconds(lambda: connection.execute(gather).fetchall()),
        "plain join (floor)": rows / seconds(lambda: connection.execute(join).fetchall()),
    }


def questions(base: KnowledgeBase, folder: Path, rows: int) -> Path:
    """Write files of random pairs of archetypes, as Parquet and as CSV; return the Parquet one."""
    ids, chance = base.snapshot.ids(), np.random.default_rng(3)
    columns = {
        part: pandas.Categorical.from_codes(chance.integers(0, len(ids), rows, dtype=np.int16), pandas.Index(ids))
        for part in ("a", "b")
    }
    with duckdb.connect() as connection:
        connection.register("given", pandas.DataFrame(columns))
        connection.execute(f"COPY (SELECT * FROM given) TO '{folder / 'in.parquet'}'")
        connection.execute(f"COPY (SELECT * FROM given) TO '{folder / 'in.csv'}' (HEADER)")
    return folder / "in.parquet"


def bench_verdicts(base: KnowledgeBase, pairs: ResolvedPairs, folder: Path, rows: int) -> None:
    """Time ids to verdicts inside DuckDB and the way from file to file, against the floors."""
    source = questions(base, folder, rows)
    with open_session(source, folder, pairs.ids) as connection, Judges(base, parse_json) as judges:
        rates = floors(connection, pairs, rows)
        connection.execute(f"CREATE TEMP TABLE texts AS SELECT a, b FROM read_parquet('{source}')")
        connection.execute("CREATE TEMP TABLE parts AS SELECT a::part_id AS a_id, b::part_id AS b_id FROM texts")
        answering = Answering(connection, ParquetSource(connection, source), pairs, judges, base.version)
        rates["part numbers in a table -> verdicts"] = rows / seconds(lambda: answering.outcomes("parts"))
        rates["ids as text in a table -> verdicts"] = rows / seconds(
            lambda: answering.outcomes(answering.typed("texts"))
        )
        parquet = answering.typed(f"read_parquet('{source}')")
        rates["ids in Parquet -> verdicts"] = rows / seconds(lambda: answering.outcomes(parquet))
    for form, other in (("parquet", "parquet"), ("csv", "parquet"), ("csv", "csv")):
        job = BulkJob(folder / f"in.{form}", folder / f"out.{other}", parse_json, folder)
        rates[f"wetted bulk in.{form} out.{other}"] = rows / seconds(lambda job=job: answer_pairs(base, job), rounds=2)  # type: ignore[misc]
    gather, join = list(rates.values())[:2]
    print(f"{rows:,} random pairs, in the order they were asked      million/s   of gather   of join")
    for name, rate in rates.items():
        print(f"  {name:<50} {rate / 1e6:9.1f}   {rate / gather:9.3f}   {rate / join:7.3f}")


def check_all(base: KnowledgeBase, pairs: ResolvedPairs) -> bool:
    """Hold the outcome of every ordered pair against the single answer; return whether all agree."""
    outcomes, size, wrong = pairs.outcomes, len(pairs.ids), 0
    for number, cell in enumerate(pairs.cells.tolist()):
        a, b = divmod(number, size)
        if outcome_of(base.decide(pairs.ids[a], pairs.ids[b])) != outcomes[cell]:
            wrong += 1
            print(f"  {pairs.ids[a]} | {pairs.ids[b]}: not {outcomes[cell]}")
    print(f"{len(pairs.cells):,} ordered pairs held against KnowledgeBase.decide: {wrong} differ")
    return not wrong


def main() -> int:
    """Run all benches and print them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rows", type=int, default=4_000_000, help="how many pairs the files hold")
    parser.add_argument("--check-all", action="store_true", help="hold every pair against the single answer as well")
    given = parser.parse_args()
    base = load()
    with tempfile.TemporaryDirectory() as folder:
        pairs = resolved(base, Path(folder))
        bench_verdicts(base, pairs, Path(folder), given.rows)
    return 0 if not given.check_all or check_all(base, pairs) else 1


if __name__ == "__main__":
    sys.exit(main())
