"""How quick the answers are, each against a floor measured in the same run.

Owns: timings of loading, of single questions in process and of growth. Does not own: pass or fail: timing is never a
test. Run it in the project's environment: `.venv/bin/python scripts/bench/bench.py`.
"""

from __future__ import annotations

import argparse
import dataclasses
import itertools
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sample_loops import DEMO, LARGE, twelve_parts_with_performance
from sample_pairs import pairs

from kb.knowledge_base import KnowledgeBase, load
from kb.load import load_tables
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.questions.choices import Section
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import FindQuestion, PairQuestion, PartnersQuestion
from schemas.tables.rules import Rule

RULE_PAIR = ("tube/soft-10x16", "fitting/rigid-13-g-1-4")
FIT_PAIRS = (
    ("tube/acrylic-13x10", "fitting/rigid-13-g-1-4"),
    ("tube/soft-3-8x5-8", "fitting/compression-10x16-g-1-4"),
    ("fitting/rigid-13-g-1-4", "port/g-1-4-loop"),
    ("thread/g-1-4", "thread/g-1-4"),
    ("thread/g-1-4", "thread/npt-1-4"),
)
SIZES = (300, 30_000, 300_000)


def median_us(action: Callable[[], object], repeats: int) -> float:
    """Return the median time of an action [us] after one warm-up call."""
    action()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1e6


def bench_loading(repeats: int) -> None:
    """Time a new process from start to ready: with an empty cache, and with a filled one; floor: a bare interpreter."""
    with tempfile.TemporaryDirectory() as folder:
        code = "import kb, pathlib; kb.load(cache=pathlib.Path({cache!r}))"
        floor = statistics.median(_process_seconds("pass") for _ in range(repeats))
        cold = statistics.median(
            _process_seconds(code.format(cache=str(Path(folder) / str(index)))) for index in range(repeats)
        )
        warm_code = code.format(cache=str(Path(folder) / "0"))
        warm = statistics.median(_process_seconds(warm_code) for _ in range(repeats))
    print("loading, whole process (floor: an interpreter that does nothing)")
    print(f"  floor                {floor * 1e3:9.0f} ms")
    print(f"  tables to ready cold {cold * 1e3:9.0f} ms   {cold / floor:6.1f} x floor   goal: at most 2000 ms")
    print(f"  from the cache       {warm * 1e3:9.0f} ms   {warm / floor:6.1f} x floor")


def _process_seconds(code: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, cwd=Path(__file__).resolve().parents[2])
    return time.perf_counter() - start


def bench_pairs(base: KnowledgeBase, repeats: int) -> None:
    """Time single pairs; floor: a chain of look-ups in a bare dict over the same rules and the same ancestors."""
    floor = median_us(_bare_chain(base), repeats)
    rule = median_us(lambda: base.decide(*RULE_PAIR), repeats)
    print("one pair, decided in process (floor: look-ups in a bare tuple-keyed dict over the same rules)")
    print(f"  floor                {floor:9.2f} us")
    print(f"  rule answer          {rule:9.2f} us   {rule / floor:6.1f} x floor   goal: at most 25 x")
    for pair in FIT_PAIRS:
        fit = median_us(lambda pair=pair: base.decide(*pair), repeats)  # type: ignore[misc]
        ratio = f"{fit:9.2f} us   {fit / floor:6.1f} x floor"
        print(f"  computed fit         {ratio}   goal: at most 100 us   {' | '.join(pair)}")
    question = PairQuestion(a=FIT_PAIRS[0][0], b=FIT_PAIRS[0][1])
    reported = median_us(lambda: base.pair(**dict(question)), max(20, repeats // 10))
    print(f"  with words           {reported:9.2f} us   {reported / floor:6.1f} x floor")


def bench_all_sorts(base: KnowledgeBase, count: int = 20_000) -> None:
    """Time pairs of all sorts as they are answered over HTTP, each asked once: how far apart lie usual and long ones?

    Processor time is counted, so that what else the computer does hardly shows.
    """
    for _ in base.precompute():
        pass
    asked = list(itertools.islice(pairs(base), 2 * count))
    took = [_processor_us(base, *pair) for pair in asked]
    took = sorted(took[count:])  # the first half fills what a service that has run for a while has found
    print("pairs of all sorts, none asked before, as JSON (processor time)")
    for share in (0.5, 0.9, 0.99):
        print(f"  p{share * 100:<20.0f} {took[int(share * len(took))]:8.1f} us")


def _processor_us(base: KnowledgeBase, a: str, b: str) -> float:
    start = time.thread_time_ns()
    base.pair(a, b).to_json_bytes()
    return (time.thread_time_ns() - start) / 1e3


def _bare_chain(base: KnowledgeBase) -> Callable[[], object]:
    rules: dict[tuple[str, str], object] = {}
    for rule in base.snapshot.active(Rule):
        rules[rule.subject_id, rule.object_id] = rules[rule.object_id, rule.subject_id] = rule
    first = base.snapshot.families("family/tube-soft")
    second = base.snapshot.families("family/end-rigid-compression") + base.snapshot.families(
        "family/fitting-rigid-compression"
    )

    def chain() -> object:
        for one in (RULE_PAIR[0], *first):
            for other in (RULE_PAIR[1], *second):
                found = rules.get((one, other))
                if found is not None:
                    return found
        return None

    return chain


def bench_questions(base: KnowledgeBase, repeats: int) -> None:
    """Time the larger questions with their words."""
    partners = PartnersQuestion(part="tube/copper-b88-1-2-l")
    few = max(10, repeats // 50)
    print("larger questions, with words")
    print(f"  partners             {median_us(lambda: base.partners(**dict(partners)), few) / 1e3:9.2f} ms")
    find = FindQuestion(words="10/16 compression")
    print(f"  find                 {median_us(lambda: base.find(**dict(find)), few) / 1e3:9.2f} ms")


def bench_loops(base: KnowledgeBase, repeats: int) -> None:
    """Time whole loops and their sections alone; floor: reading the question and writing the answer as JSON."""
    few = max(10, repeats // 50)
    print("whole loops, with words (floor: reading the question and writing the answer as JSON)")
    for title, text, goal in (
        ("12-part loop", json.dumps(twelve_parts_with_performance(0)), "   goal: at most 20 ms"),
        ("demo loop", DEMO.read_text(encoding="utf-8"), ""),
        ("34-part loop", LARGE.read_text(encoding="utf-8"), ""),
    ):
        question = LoopQuestion.model_validate_json(text)
        answer = base.loop(question)
        floor = median_us(lambda: (LoopQuestion.model_validate_json(text), answer.to_json()), few) / 1e3  # noqa: B023
        whole = median_us(lambda: base.loop(question), few) / 1e3  # noqa: B023
        print(f"  {title:<23} {whole:6.2f} ms   {whole / floor:6.1f} x floor of {floor:.2f} ms{goal}")
        for section in Section:
            alone = question.model_copy(update={"sections": (section,)})
            took = median_us(lambda: base.loop(alone), few) / 1e3  # noqa: B023
            print(f"    {section.value:<18} {took:9.2f} ms   {took / floor:6.1f} x floor")


def bench_growth(repeats: int) -> None:
    """Time the same questions on tables grown with invented parts."""
    tables = load_tables()
    print("growth: the same questions on tables with invented parts added")
    print("       parts    pair rule     pair fit     partners         find")
    for size in SIZES:
        base = KnowledgeBase(Snapshot(grown(tables, size)))
        few = max(10, repeats // 50)
        rule = median_us(lambda: base.decide(*RULE_PAIR), repeats)  # noqa: B023 - used before the next turn
        fit = median_us(lambda: base.decide("tube/grown-7", FIT_PAIRS[0][1]), repeats)  # noqa: B023
        partners = median_us(lambda: base.partners("tube/grown-7"), few)  # noqa: B023
        find = median_us(lambda: base.find("10/16 compression"), few)  # noqa: B023
        print(f"  {size:10_d} {rule:9.1f} us {fit:9.1f} us {partners:9.0f} us {find:9.0f} us")


def grown(tables: BuiltTables, size: int) -> BuiltTables:
    """Return tables with invented tubes and fittings added: as many parts as `size`, half of either kind."""
    rows: dict[str, tuple[Any, ...]] = dict(tables.rows)
    tube = next(row for row in rows["tubes"] if row.id == "tube/acrylic-13x10")
    fitting = next(row for row in rows["fittings"] if row.id == "fitting/rigid-13-g-1-4")
    ends = [row for row in rows["fitting_ends"] if row.fitting_id == fitting.id]
    half = size // 2
    rows["tubes"] += tuple(
        dataclasses.replace(tube, id=f"tube/grown-{index}", od_mm=13 + (index % 2000 - 1000) / 1000)
        for index in range(half)
    )
    rows["fittings"] += tuple(dataclasses.replace(fitting, id=f"fitting/grown-{index}") for index in range(half))
    rows["fitting_ends"] += tuple(
        dataclasses.replace(end, id=f"end/grown-{index}-{end.position}", fitting_id=f"fitting/grown-{index}")
        for index in range(half)
        for end in ends
    )
    return BuiltTables(MappingProxyType(rows), tables.version, tables.digest)


def main() -> None:
    """Run all benches and print them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--repeats", type=int, default=2000, help="how often a quick question is asked")
    parser.add_argument("--without-growth", action="store_true", help="leave the grown tables out")
    asked = parser.parse_args()
    base = load()
    bench_loading(repeats=5)
    bench_pairs(base, asked.repeats)
    bench_all_sorts(base)
    bench_questions(base, asked.repeats)
    bench_loops(base, asked.repeats)
    if not asked.without_growth:
        bench_growth(asked.repeats)


if __name__ == "__main__":
    main()
