"""Kills the writing of frozen tables at random moments, thousands of times, and looks at what is left.

Owns: that proof: after every kill the file holds the whole old tables or the whole new ones, told by their digest, and
what dead writers leave does not pile up. Does not own: how the file is written (`kb/store/duckdb_file.py`). Run it in
the project's
environment: `.venv/bin/python scripts/trials/kill_freeze.py --trials 2000`. Needs a system that can fork.
"""

from __future__ import annotations

import argparse
import dataclasses
import random
import sys
import tempfile
import time
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import Any

import duckdb  # noqa: F401 - so that the children need not load it; it is opened nowhere here

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from killing import Killings, do

from kb.load import TABLES_FOLDER, judge, read_folder
from kb.store.digest import tables_digest
from kb.store.duckdb_file import DRAFT_PREFIX, open_frozen, read_tables, write_file

NEXT_EVERY = 20  # so often a write is let through after a kill
Rows = Mapping[str, tuple[Any, ...]]


def other_edition(rows: Rows) -> Rows:
    """Return the tables with one title changed."""
    first, *rest = rows["tubes"]
    return MappingProxyType({**rows, "tubes": (dataclasses.replace(first, title="another title"), *rest)})


def digest_of(path: Path) -> bytes:
    """Return the digest of the tables in a file."""
    with open_frozen(path) as connection:
        return tables_digest(read_tables(connection)).encode()


def drafts_beside(path: Path) -> int:
    """Return how many drafts stand beside a file."""
    return sum(one.name.startswith(DRAFT_PREFIX) for one in path.parent.iterdir())


def main() -> int:
    """Run the trials and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000, help="how often to kill")
    given = parser.parse_args()
    rows = judge(read_folder(TABLES_FOLDER))[0].rows
    editions = [rows, other_edition(rows)]
    digests = [tables_digest(edition).encode() for edition in editions]
    bad = put = most_drafts = 0
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tables.duckdb"
        killings = Killings(partial(write_file, path, rows), random.Random(1))
        present = digests[0]
        for number in range(given.trials):
            new = (number + 1) % 2
            killings.kill(partial(write_file, path, editions[new]))
            left = do(partial(digest_of, path))
            put += left != present
            bad += left not in {present, digests[new]}
            most_drafts = max(most_drafts, drafts_beside(path))
            present = left
            if number % NEXT_EVERY == 0:
                do(partial(write_file, path, editions[new]))
                present = do(partial(digest_of, path))
                bad += present != digests[new] or drafts_beside(path) > 0
    minutes = (time.monotonic() - start) / 60
    print(
        f"{given.trials} trials in {minutes:.1f} min, {killings.killed} killed at work, {put} had put the new file in "
        f"place, at most {most_drafts} torn draft beside it until the next write: {bad} bad"
    )
    return 1 if bad or most_drafts > 1 else 0


if __name__ == "__main__":
    sys.exit(main())
