"""Reloads under load, of sound tables and of broken ones: no request fails, no answer mixes two versions of the tables.

Owns: making tables versions of the tables that can be told apart, switching a running service between them, and
counting.
Does not own: the service. Run it in the project's environment: `.venv/bin/python scripts/trials/reload_trial.py`.
Every tables version has a version and a title of its own, so every answer shows which tables it came from, twice.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "scripts" / "bench")]

from load_client import OK, Load, cpu_s, get, steady_pace  # noqa: E402

from kb.knowledge_base import load  # noqa: E402
from kb.load import TABLES_FOLDER  # noqa: E402

PART = "tube/acrylic-13x10"
QUESTIONS = (
    f"/v1/pair?a={PART}&b=fitting/rigid-13-g-1-4",
    f"/v1/pair?a={PART}&b=thread/g-1-4",
    f"/v1/rows/{PART}",
    "/v1/find?words=13x10+acrylic&limit=5",
)
LONGEST_START_S = 60.0
CONNECTIONS = 16
NEW_PER_MINUTE = 6.0  # judging a tables version takes some seconds of one core, and others work as well


@dataclass(slots=True)
class Trial:
    """What came of a trial.

    Attributes:
        load: all answers and failures.
        asked: how often a reload was asked for.
        served: answers by version.
        reloads: how often the version of the answers changed, as the service counts it in its log.
        refusals: how often tables were refused, as it counts them there.
        memory_mb: resident memory of the service at the start and at the end [MB].
        cpu_s: processor time that the service took [s].
    """

    load: Load
    asked: int = 0
    reloads: int = 0
    refusals: int = 0
    served: Counter[str] = field(default_factory=Counter)
    memory_mb: tuple[float, float] = (0.0, 0.0)
    cpu_s: float = 0.0


def make_tables_versions(folder: Path, count: int) -> dict[str, tuple[Path, str]]:
    """Return tables versions of the tables by version: their folders, and the title that only they give a part.

    Args:
        folder: where to make them.
        count: how many.
    """
    made = {}
    for number in range(count):
        folder_of_version, title = folder / f"edition-{number}", f"edition {number} acrylic tube"
        shutil.copytree(TABLES_FOLDER, folder_of_version)
        (folder_of_version / "VERSION").write_text(f"2026.11.{100 + number}\n")
        table = folder_of_version / "tubes.csv"
        text = table.read_text(encoding="utf-8")
        old = load().record(PART).record.title
        lines = [_retitled(line, old, title) if line.startswith(f"{PART},") else line for line in text.splitlines()]
        table.write_text("\n".join(lines) + "\n", encoding="utf-8")
        made[load(folder_of_version).version] = folder_of_version, title
    return made


def make_broken(folder: Path) -> Path:
    """Return a folder of tables one of which ends in the middle of a row."""
    broken = folder / "broken"
    shutil.copytree(TABLES_FOLDER, broken)
    table = broken / "tubes.csv"
    table.write_bytes(table.read_bytes()[:-40])
    return broken


def _retitled(line: str, old: str, new: str) -> str:
    if old not in line:
        raise ValueError(f"{old!r} does not stand in the row of {PART}")
    return line.replace(old, new, 1)


def point(link: Path, folder: Path) -> None:
    """Let a link lead to another folder, at one moment."""
    fresh = link.with_name("fresh")
    fresh.symlink_to(folder)
    fresh.replace(link)


@contextmanager
def serving(
    link: Path, core: int | None = None, cache: Path | None = None
) -> Iterator[tuple[subprocess.Popen[bytes], int, Path]]:
    """Run the service on the tables behind a link; give its process, its port and its log.

    Args:
        link: leads to the tables.
        core: the only processor core that it may use.
        cache: folder for built tables; by default the user's.
    """
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    log = link.with_name("log.txt")
    command = [sys.executable, "-m", "api.cli.main", "serve", "--port", str(port)]
    with log.open("wb") as file:
        own = {"WETTED_TABLES": str(link), **({"WETTED_CACHE_DIR": str(cache)} if cache is not None else {})}
        process = subprocess.Popen(command, cwd=ROOT, env={**os.environ, **own}, stdout=subprocess.DEVNULL, stderr=file)
    try:
        if core is not None:
            os.sched_setaffinity(process.pid, {core})
        _wait_for(port, process)
        yield process, port, log
    finally:
        process.terminate()
        process.wait(timeout=30)


def _wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + LONGEST_START_S
    while process.poll() is None and time.monotonic() < end:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError("the service did not start")


def _wait_until_loaded(port: int) -> None:
    """Wait until the service has come to an end with the tables that it was asked to load last."""
    end = time.monotonic() + LONGEST_START_S
    while time.monotonic() < end:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/ready") as reply:
            if not json.load(reply)["judging"]:
                return
        time.sleep(0.1)


def run_trial(
    seconds: float,
    per_minute: float,
    rate: float,
    versions: int,
    core: int | None = None,
    are_new: bool = False,
    with_broken: bool = False,
) -> Trial:
    """Switch a service between tables versions under load.

    Args:
        seconds: how long [s].
        per_minute: how many reloads are asked for in a minute.
        rate: questions per second, whether answers come or not.
        versions: how many different tables versions.
        core: the only processor core that the service may use.
        are_new: whether the service finds none of them built, and has to have them judged.
        with_broken: whether every other reload finds broken tables.
    """
    with tempfile.TemporaryDirectory() as folder:
        made = make_tables_versions(Path(folder), versions)
        titles = {version: title for version, (_, title) in made.items()}
        link = Path(folder) / "tables"
        point(link, next(iter(made.values()))[0])
        cache = Path(folder) / "cache" if are_new else None
        with serving(link, core, cache) as (process, port, log):
            folders = [folder for folder, _ in made.values()]
            if with_broken:
                broken = make_broken(Path(folder))
                folders = [one for each in folders for one in (each, broken)]
            trial = asyncio.run(_trial(process, port, link, folders, titles, (seconds, per_minute, rate)))
            _wait_until_loaded(port)
            trial.reloads = log.read_text().count(" answer in place of ")
            trial.refusals = log.read_text().count(" goes on answering")
        for wrong in set(trial.served) - set(titles):
            trial.load.failures.append(f"an answer from {wrong}, which nobody made")
        return trial


async def _trial(
    process: subprocess.Popen[bytes],
    port: int,
    link: Path,
    folders: list[Path],
    titles: dict[str, str],
    pace: tuple[float, float, float],
) -> Trial:
    seconds, per_minute, rate = pace
    trial = Trial(Load())

    def check(status: int, head: bytes, body: bytes) -> str:
        return _wrong(status, head, body, titles, trial.served)

    async def switch() -> None:
        start = time.monotonic()
        for folder in itertools.islice(itertools.cycle(folders), 1, None):
            due = start + (trial.asked + 1) * 60 / per_minute
            if due >= start + seconds:
                return
            await asyncio.sleep(due - time.monotonic())
            point(link, folder)
            process.send_signal(signal.SIGHUP)
            trial.asked += 1

    requests = itertools.cycle([get(question) for question in QUESTIONS])
    await asyncio.to_thread(steady_pace, port, requests, CONNECTIONS, 2.0, rate, check)
    before, cpu_before_s = _memory_mb(process.pid), cpu_s(process.pid)
    switching = asyncio.create_task(switch())
    trial.load = await asyncio.to_thread(steady_pace, port, requests, CONNECTIONS, seconds, rate, check)
    switching.cancel()
    trial.memory_mb, trial.cpu_s = (before, _memory_mb(process.pid)), cpu_s(process.pid) - cpu_before_s
    return trial


def _wrong(status: int, head: bytes, body: bytes, titles: dict[str, str], served: Counter[str]) -> str:
    """Return what is wrong with an answer: it has to name one version throughout and hold only that one's title."""
    if status != OK:
        return f"status {status}: {body[:200]!r}"
    version = head.lower().partition(b"wetted-version: ")[2].partition(b"\r")[0].decode()
    served[version] += 1
    reported = json.loads(body)["kb_version"]
    mixed = [title for one, title in titles.items() if (title.encode() in body) is not (one == version)]
    return f"version {version}, body of {reported}, titles {mixed}" if reported != version or mixed else ""


def _memory_mb(process_id: int) -> float:
    pages = int(Path(f"/proc/{process_id}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def main() -> int:
    """Run a trial and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--per-minute", type=float, default=300, help="reloads asked for in a minute")
    parser.add_argument("--rate", type=float, default=500, help="questions per second")
    parser.add_argument("--versions", type=int, default=6)
    parser.add_argument("--new", type=int, default=6, help="tables versions that nobody has judged yet")
    parser.add_argument("--core", type=int, help="the only processor core that the service may use")
    asked = parser.parse_args()
    usual, new_s = (asked.seconds, asked.per_minute), 60 / NEW_PER_MINUTE * asked.new
    built = f"around {asked.versions} tables versions: each is loaded again from its snapshot file"
    unknown = f"{asked.new} tables versions that nobody has judged yet: each is judged beside the service"
    broken = f"{asked.new} times broken tables, between sound ones: each is judged and refused beside the service"
    parts: list[tuple[str, int, tuple[float, float], dict[str, bool]]] = [
        (built, asked.versions, usual, {}),
        (unknown, asked.new + 1, (new_s, NEW_PER_MINUTE), {"are_new": True}),
        (broken, 2, (2 * new_s, NEW_PER_MINUTE), {"with_broken": True}),
    ]
    failed = 0
    for what, versions, (seconds, per_minute), how in parts:
        print(f"{what}:")
        trial = run_trial(seconds, per_minute, asked.rate, versions, asked.core, **how)
        _print(trial)
        failed += len(trial.load.failures)
    return 1 if failed else 0


def _print(trial: Trial) -> None:
    load, memory = trial.load, trial.memory_mb
    per_minute = 60 * trial.reloads / load.seconds
    print(f"  {trial.reloads} reloads ({trial.asked} asked for) in {load.seconds:.0f} s: {per_minute:.0f} a minute")
    print(f"  {trial.refusals} refusals")
    print(f"  {load.answers} answers, {load.per_second:.0f}/s, {len(trial.served)} versions seen")
    print(f"  p50 {load.latency_ms(0.5):.1f} ms, p99 {load.latency_ms(0.99):.1f} ms, worst {load.latency_ms(1):.1f} ms")
    print(f"  the service took {trial.cpu_s / load.seconds:.0%} of a core")
    print(f"  resident memory {memory[0]:.0f} MB at the start, {memory[1]:.0f} MB at the end")
    print(f"  failed or mixed: {len(load.failures)}", *load.failures[:5], sep="\n")


if __name__ == "__main__":
    sys.exit(main())
