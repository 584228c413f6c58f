"""Kills the writing of built tables at random moments, thousands of times, and looks at what is left.

Owns: that proof: after every kill the file holds the whole old tables or the whole new ones, told by their digest, and
what dead writers leave does not pile up. Does not own: how the file is written (`kb/store/duckdb_file.py`). Run it in
the project's
environment: `.venv/bin/python scripts/trials/kill_snapshot_build.py --trials 2000`. Needs a system that can fork.
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
from kb.store.duckdb_file import open_read_only, read_tables, write_file
from kb.store.temp_folder import TEMPORARY_PREFIX

NEXT_EVERY = 20  # so often a write is let through after a kill
Rows = Mapping[str, tuple[Any, ...]]


def other_version(rows: Rows) -> Rows:
    """Return the tables with one title changed."""
    first, *rest = rows["tubes"]
    return MappingProxyType({**rows, "tubes": (dataclasses.replace(first, title="another title"), *rest)})


def digest_of(path: Path) -> bytes:
    """Return the digest of the tables in a file."""
    with open_read_only(path) as connection:
        return tables_digest(read_tables(connection)).encode()


def temporary_folders_beside(path: Path) -> int:
    """Return how many temporary folders stand beside a file."""
    return sum(one.name.startswith(TEMPORARY_PREFIX) for one in path.parent.iterdir())


def main() -> int:
    """Run the trials and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000, help="how often to kill")
    given = parser.parse_args()
    rows = judge(read_folder(TABLES_FOLDER))[0].rows
    versions = [rows, other_version(rows)]
    digests = [tables_digest(version).encode() for version in versions]
    bad = put = most_temporary_folders = 0
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "tables.duckdb"
        killings = Killings(partial(write_file, path, rows), random.Random(1))
        present = digests[0]
        for number in range(given.trials):
            new = (number + 1) % 2
            killings.kill(partial(write_file, path, versions[new]))
            left = do(partial(digest_of, path))
            put += left != present
            bad += left not in {present, digests[new]}
            most_temporary_folders = max(most_temporary_folders, temporary_folders_beside(path))
            present = left
            if number % NEXT_EVERY == 0:
                do(partial(write_file, path, versions[new]))
                present = do(partial(digest_of, path))
                bad += present != digests[new] or temporary_folders_beside(path) > 0
    minutes = (time.monotonic() - start) / 60
    print(
        f"{given.trials} trials in {minutes:.1f} min, {killings.killed} killed at work, {put} had put the new file in "
        f"place, at most {most_temporary_folders} torn temporary folder beside it until the next write: {bad} bad"
    )
    return 1 if bad or most_temporary_folders > 1 else 0


if __name__ == "__main__":
    sys.exit(main())
