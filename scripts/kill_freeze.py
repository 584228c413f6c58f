"""Kills the writing of frozen tables at random moments, thousands of times, and looks at what is left.

Owns: that proof: after every kill the file holds the whole old tables or the whole new ones, told by their digest. Does
not own: how the file is written (`kb/duck.py`). Run it in the project's environment:
`.venv/bin/python scripts/kill_freeze.py --trials 2000`. Needs a system that can fork.
"""

from __future__ import annotations

import argparse
import dataclasses
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from kb.digest import tables_digest
from kb.duck import open_frozen, read_tables, write_file
from kb.store import load_tables

LONGEST = 1.3  # kills are spread over this many times the length of a write
Rows = Mapping[str, tuple[Any, ...]]


def other_edition(rows: Rows) -> Rows:
    """Return the tables with one title changed."""
    first, *rest = rows["tubes"]
    return MappingProxyType({**rows, "tubes": (dataclasses.replace(first, title="another title"), *rest)})


def write_in_child(path: Path, rows: Rows) -> int:
    """Start a write in a child process and return the child's number."""
    child = os.fork()
    if child == 0:
        write_file(path, rows)
        os._exit(0)
    return child


def ended(child: int) -> bool:
    """Wait for a child; return whether it ended by itself, and well."""
    return os.waitpid(child, 0)[1] == 0


def digest_of(path: Path) -> str:
    """Return the digest of the tables in a file."""
    with open_frozen(path) as connection:
        return tables_digest(read_tables(connection))


def main() -> int:
    """Run the trials and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000, help="how often to kill")
    given = parser.parse_args()
    chance, rows = random.Random(1), load_tables().rows
    editions = [rows, other_edition(rows)]
    digests = [tables_digest(edition) for edition in editions]
    killed = bad = 0
    put = 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tables.duckdb"
        start = time.perf_counter()
        assert ended(write_in_child(path, rows))
        length_s = time.perf_counter() - start
        present = digests[0]
        for number in range(given.trials):
            child = write_in_child(path, editions[(number + 1) % 2])
            time.sleep(chance.uniform(0, LONGEST * length_s))
            os.kill(child, signal.SIGKILL)
            killed += not ended(child)
            left = digest_of(path)
            put += left != present
            bad += left not in {present, digests[(number + 1) % 2]}
            present = left
    print(f"{given.trials} trials, {killed} killed at work, {put} had put the new file in place: {bad} bad")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
