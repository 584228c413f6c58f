"""The service under steady load for minutes: no answer may be wrong, and its memory may not drift.

Owns: the mix of questions, what counts as right, and the figures. Does not own: the client (`load_client.py`) or the
service. It speaks to this computer only. Run it in the project's environment: `.venv/bin/python
scripts/trials/soak.py`. Cached responses get a small place, so that it is full before measuring begins: what grows then
is a leak.
"""

from __future__ import annotations

import argparse
import asyncio
import itertools
import json
import os
import random
import statistics
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "scripts" / "bench")]

from load_client import HOST, Check, Load, closed_loop, get, post  # noqa: E402
from reload_trial import serving  # noqa: E402

from kb.knowledge_base import load  # noqa: E402
from kb.load import TABLES_FOLDER  # noqa: E402
from kb.store.examples import read_example  # noqa: E402

MOST_DRIFT_PERCENT = 2.0
CACHE_BYTES = 2_000_000
WARM_SHARE = 0.2  # of the time, in which memory may still find its size
BATCH = 200
PAUSE_S = 1.0
DEMO = read_example("example/first-loop", "loop")


def questions(seed: int) -> Iterator[bytes]:
    """Yield requests without end: new pairs, pairs asked again, loops, searches, rows, and ones to be refused."""
    chance, ids = random.Random(seed), load().snapshot.ids()
    kept = ids[:: max(1, len(ids) // 40)]
    makers = (
        lambda: get(f"/v1/pair?a={chance.choice(ids)}&b={chance.choice(ids)}"),
        lambda: get(f"/v1/pair?a={chance.choice(kept)}&b={chance.choice(kept)}"),
        lambda: post("/v1/pair", json.dumps({"a": chance.choice(ids), "b": chance.choice(ids)}).encode()),
        lambda: get(f"/v1/partners?part={chance.choice(ids)}&limit=5"),
        lambda: get(f"/v1/rows/{chance.choice(ids)}"),
        lambda: get(f"/v1/find?words={chance.randrange(6, 20)}/{chance.randrange(6, 20)}&limit=5"),
        lambda: post("/v1/loop", DEMO),
        lambda: get(f"/v1/pair?a={chance.choice(ids)}&b=none-{chance.randrange(1000)}"),
        lambda: get(f"/nothing/{chance.randrange(1000)}"),
        lambda: post("/v1/pair", b'{"a": ' + b"[" * chance.randrange(1, 500)),
    )
    while True:
        yield chance.choice(makers)()


def right(counts: Counter[int]) -> Check:
    """Return a check that counts statuses: an answer is right with 200, or as a problem document below 500."""

    def check(status: int, _head: bytes, body: bytes) -> str:
        counts[status] += 1
        refused = HTTPStatus.BAD_REQUEST <= status < HTTPStatus.INTERNAL_SERVER_ERROR
        fine = status == HTTPStatus.OK or (refused and body.startswith(b'{"type":"/problems/'))
        return "" if fine else f"status {status}: {body[:200]!r}"

    return check


async def batches(port: int, load: Load) -> None:
    """Send a batch again and again; every question has to come back."""
    ids = ("thread/g-1-4", "tube/soft-10x16", "fitting/compression-10x16-g-1-4", "metal/copper", "none")
    lines = [json.dumps({"a": ids[n % 5], "b": ids[n % 3]}).encode() for n in range(BATCH)]
    body = b"\n".join(lines)
    head = f"POST /v1/batch/pair HTTP/1.1\r\nHost: {HOST}\r\nConnection: close\r\n"
    head += "Content-Type: application/x-ndjson\r\n"
    while True:
        reader, writer = await asyncio.open_connection(HOST, port)
        writer.write(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body)
        received = await reader.read(-1)
        writer.close()
        reported = received.count(b'{"index":')
        if not received.startswith(b"HTTP/1.1 200") or reported != BATCH:
            load.failures.append(f"a batch of {BATCH} got {reported} entries: {received[:100]!r}")
        await asyncio.sleep(PAUSE_S)


async def watch_memory(process_id: int, seen: list[float]) -> None:
    """Note the resident memory [MB] of a process every second."""
    while True:
        pages = int(Path(f"/proc/{process_id}/statm").read_text().split()[1])
        seen.append(pages * os.sysconf("SC_PAGE_SIZE") / 1e6)
        await asyncio.sleep(PAUSE_S)


async def soak(port: int, process_id: int, seconds: float, connections: int) -> tuple[Load, Counter[int], list[float]]:
    """Load the service for a time; return what came of it, the statuses and the memory second by second."""
    counts: Counter[int] = Counter()
    memory: list[float] = []
    beside = Load()
    requests = questions(seed=1)
    tasks = [asyncio.create_task(watch_memory(process_id, memory)), asyncio.create_task(batches(port, beside))]
    check = right(counts)
    load = await closed_loop(port, requests, connections, seconds, check, warm_s=0)
    for task in tasks:
        task.cancel()
    for done in await asyncio.gather(*tasks, return_exceptions=True):
        if isinstance(done, Exception):
            load.failures.append(repr(done))
    load.failures.extend(beside.failures)
    return load, counts, memory


def drift_percent(memory: list[float]) -> tuple[float, float, float]:
    """Return memory [MB] at the start and at the end of the time after warming, and by how much it grew [%]."""
    settled = memory[int(len(memory) * WARM_SHARE) :]
    part = max(1, len(settled) // 10)
    first, last = statistics.median(settled[:part]), statistics.median(settled[-part:])
    return first, last, (last / first - 1) * 100


def tenths(memory: list[float]) -> list[float]:
    """Return the memory at the end of each tenth of the time [MB]: what fills up to a bound rises ever more slowly."""
    return [memory[max(0, len(memory) * tenth // 10 - 1)] for tenth in range(1, 11)] if memory else []


def main() -> int:
    """Soak the service and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--connections", type=int, default=4)
    asked = parser.parse_args()
    os.environ |= {"WETTED_LOG_REQUESTS": "false", "WETTED_CACHE_BYTES": str(CACHE_BYTES)}
    with tempfile.TemporaryDirectory() as folder:
        link = Path(folder) / "tables"
        link.symlink_to(TABLES_FOLDER)
        with serving(link) as (process, port, log):
            load, counts, memory = asyncio.run(soak(port, process.pid, asked.minutes * 60, asked.connections))
        broken = [line for line in log.read_text(encoding="utf-8").splitlines() if '"level": "error"' in line]
    first, last, drift = drift_percent(memory)
    statuses = ", ".join(f"{count} x {status}" for status, count in sorted(counts.items()))
    print(f"{load.answers} answers in {load.seconds / 60:.1f} min, {load.per_second:.0f}/s: {statuses}")
    print(f"p50 {load.latency_ms(0.5):.1f} ms, p99 {load.latency_ms(0.99):.1f} ms, worst {load.latency_ms(1):.0f} ms")
    print(f"resident memory {first:.1f} MB -> {last:.1f} MB after warming, {drift:+.1f} %")
    print("at the end of each tenth of the time:", *(f"{one:.0f}" for one in tenths(memory)), "MB")
    print(f"wrong: {len(load.failures)}", *itertools.islice(load.failures, 5), *broken[:5], sep="\n")
    return 1 if load.failures or drift >= MOST_DRIFT_PERCENT else 0


if __name__ == "__main__":
    sys.exit(main())
