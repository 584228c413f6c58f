"""Kills `wetted bulk` at random moments, thousands of times, and looks at what is left.

Owns: that proof: after every kill the answer is the whole old file or the whole new one, and the next run takes up what
is there. Does not own: what a run does (`kb/bulk/`). Run it in the project's environment:
`.venv/bin/python scripts/trials/kill_bulk.py --trials 2000`. Needs a system that can fork.
"""

from __future__ import annotations

import argparse
import csv
import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

import pandas  # noqa: F401 - so that the children need not load it

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from api.http.requests.strict_json import parse_json
from kb.bulk import slices
from kb.bulk.run import BulkJob, answer_pairs
from kb.knowledge_base import KnowledgeBase, load

ROWS = 3_000
SLICE_BYTES = 20_000  # some ten slices, so that kills meet every stage of a run
LONGEST = 1.3  # kills are spread over this many times the length of a run
OLD = b"what stood here before\n"


def run_in_child(base: KnowledgeBase, job: BulkJob) -> int:
    """Start a run in a child process and return the child's number."""
    child = os.fork()
    if child == 0:
        answer_pairs(base, job)
        os._exit(0)
    return child


def ended(child: int) -> bool:
    """Wait for a child; return whether it ended by itself, and well."""
    return os.waitpid(child, 0)[1] == 0


def main() -> int:
    """Run the trials and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000, help="how often to kill")
    parser.add_argument("--form", choices=("csv", "parquet"), default="csv", help="form of the answer")
    given = parser.parse_args()
    base, chance = load(), random.Random(1)
    slices.LARGE_BYTES = SLICE_BYTES
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        job = BulkJob(place / "in.csv", place / f"out.{given.form}", parse_json, place / "cache")
        ids = base.snapshot.ids()
        with job.source.open("w", newline="") as file:
            csv.writer(file).writerows([("a", "b"), *((chance.choice(ids), chance.choice(ids)) for _ in range(ROWS))])
        assert ended(run_in_child(base, job))
        new, start = job.target.read_bytes(), time.perf_counter()
        assert ended(run_in_child(base, job))
        length_s = time.perf_counter() - start
        bad = killed = finished = 0
        for _ in range(given.trials):
            job.target.write_bytes(OLD)
            child = run_in_child(base, job)
            time.sleep(chance.uniform(0, LONGEST * length_s))
            os.kill(child, signal.SIGKILL)
            killed += not ended(child)
            left = job.target.read_bytes()
            finished += left == new
            bad += left not in (OLD, new)
        assert ended(run_in_child(base, job))
        bad += job.target.read_bytes() != new
    print(f"{given.trials} trials, {killed} killed at work, {finished} had put the new file in place: {bad} bad")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
