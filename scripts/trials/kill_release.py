"""Kills the building of a release at random moments, thousands of times, and looks at what is left.

Owns: that proof: after every kill the target holds the whole old release or the whole new one, told by the digest of
all its files, and the next build goes through and leaves nothing beside it. Does not own: how a release is built
(`kb/curation/release/`). Run it in the project's environment: `.venv/bin/python scripts/trials/kill_release.py --trials
2000`. Needs a system that can fork.

A whole build takes about a second, and only its last stage touches the target. So `--whole` of the trials kill whole
builds, at any moment; all others kill the last stage alone: the files of a build made beforehand are copied into a new
draft, seen onto the disk and put in place, by the functions that a build uses, in their order.
"""

from __future__ import annotations

import argparse
import dataclasses
import hashlib
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import MappingProxyType

import duckdb  # noqa: F401 - so that the children need not load it; it is opened nowhere here

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from killing import Killings, do

from kb.curation.release.build import build_release
from kb.curation.release.place_folder import folder_in_the_making, place, settle
from kb.load import TABLES_FOLDER, judge, read_folder
from kb.store.digest import tables_digest
from kb.store.frozen import BuiltTables

NAME = "release"


@dataclasses.dataclass(slots=True)
class Outcome:
    """What came of trials.

    Attributes:
        put: how often the new release was in place after the kill.
        bad: how often something else was there than the old or the new one, or the next build left rubbish.
        most_left: most unfinished folders found beside the target after a kill.
    """

    put: int = 0
    bad: int = 0
    most_left: int = 0


def versions() -> tuple[BuiltTables, BuiltTables]:
    """Return the tables, and the tables with one title changed; no database is opened for it."""
    rows = judge(read_folder(TABLES_FOLDER))[0].rows
    first, *rest = rows["tubes"]
    other = MappingProxyType({**rows, "tubes": (dataclasses.replace(first, title="another title"), *rest)})
    old, new = (BuiltTables(one, "2026.11.0", tables_digest(one)) for one in (rows, other))
    return old, new


def build(target: Path, tables: BuiltTables) -> None:
    """Build a release as `wetted tables release --replace` does."""
    build_release(target, tables, TABLES_FOLDER, replace=True)


def put_in_place(target: Path, built: Path) -> None:
    """Do the last stage of a build with files that were made beforehand."""
    with folder_in_the_making(target) as draft:
        shutil.copytree(built, draft, dirs_exist_ok=True)
        settle(draft)
        place(draft, target)


def digest_of(folder: Path) -> str:
    """Return a digest of the names and contents of all files in a folder."""
    hasher = hashlib.sha256()
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        hasher.update(f"{path.relative_to(folder)}\0".encode() + hashlib.sha256(path.read_bytes()).digest())
    return hasher.hexdigest()


def run(
    works: tuple[Callable[[], None], Callable[[], None]],
    same: Callable[[Path], str],
    target: Path,
    trials: int,
    chance: random.Random,
) -> tuple[Killings, Outcome]:
    """Kill the second work as often as asked for, always over a target that the first one has finished.

    Args:
        works: put the old and the new release in place.
        same: returns what tells one release from another.
        target: where they are put.
        trials: how often to kill.
        chance: chooses the moments.
    """
    old, new = works
    outcome = Outcome()
    do(new)
    whole = [same(target)]
    killings = Killings(old, chance)
    whole.insert(0, same(target))
    for _ in range(trials):
        killings.kill(new)
        left = same(target)
        outcome.put += left == whole[1]
        outcome.bad += left not in whole
        outcome.most_left = max(outcome.most_left, len(list(target.parent.iterdir())) - 1)
        do(old)
        outcome.bad += same(target) != whole[0] or [one.name for one in target.parent.iterdir()] != [NAME]
    return killings, outcome


def whole_build(folder: Path) -> str:
    """Return a digest of what a release says it holds; two builds differ only in the bytes of the database."""
    listed = (folder / "SHA256SUMS").read_text()
    said = {name: digest for digest, name in (line.split("  ", 1) for line in listed.splitlines())}
    torn = [name for name, digest in said.items() if hashlib.sha256((folder / name).read_bytes()).hexdigest() != digest]
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    unlisted = there - set(said) - {"SHA256SUMS"}
    tables = do(partial(_tables_of, folder)).decode()
    return f"{hashlib.sha256(listed.encode()).hexdigest()} {tables} {sorted(unlisted)} {torn}"


def _tables_of(folder: Path) -> bytes:
    from kb.store.release_reader import read_release  # noqa: PLC0415

    return read_release(folder).digest.encode()


def main() -> int:
    """Run the trials and print what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=2000, help="how often to kill")
    parser.add_argument("--whole", type=int, default=200, help="so many of the trials kill whole builds")
    given = parser.parse_args()
    whole = min(given.whole, given.trials)
    chance, tables = random.Random(1), versions()
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        place_of = {name: Path(folder) / name for name in ("whole", "stage", "built")}
        for one in place_of.values():
            one.mkdir()
        built = [place_of["built"] / name for name in ("old", "new")]
        for path, version in zip(built, tables, strict=True):
            do(partial(build, path, version))
        target = place_of["whole"] / NAME
        works = (partial(build, target, tables[0]), partial(build, target, tables[1]))
        bad += report("whole builds", whole, partial(run, works, whole_build, target, whole, chance))
        target = place_of["stage"] / NAME
        stages = (partial(put_in_place, target, built[0]), partial(put_in_place, target, built[1]))
        stage = given.trials - whole
        bad += report("last stages", stage, partial(run, stages, digest_of, target, stage, chance))
    return 1 if bad else 0


def report(what: str, trials: int, trial: Callable[[], tuple[Killings, Outcome]]) -> int:
    """Run trials, print what came out, and return how often something was bad."""
    start = time.monotonic()
    killings, outcome = trial()
    minutes = (time.monotonic() - start) / 60
    print(
        f"{trials} trials of {what} ({killings.length_s:.2f} s each) in {minutes:.1f} min, {killings.killed} killed at "
        f"work, {outcome.put} had put the new release in place, at most {outcome.most_left} unfinished folder beside "
        f"it until the next build: {outcome.bad} bad",
        flush=True,
    )
    return outcome.bad


if __name__ == "__main__":
    sys.exit(main())
