"""Clients that mean harm, many of them at once, and what good clients and the memory of the service notice of it.

Owns: the sieges `slow` (connections that never end their request) and `bodies` (bodies far beyond the limit), their
figures, and running `phases`. Does not own: the hostile streams of `phases` (`siege_phases.py`), the client
(`load_client.py`) or the service. It speaks to this computer only.
Run it in the project's environment: `.venv/bin/python scripts/trials/siege.py slow`, `... bodies` or `... phases`.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import itertools
import os
import resource
import socket
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "scripts" / "bench")]

from load_client import HOST, closed_loop, get  # noqa: E402
from reload_trial import serving  # noqa: E402
from siege_phases import run_phases  # noqa: E402

from kb.knowledge_base import load  # noqa: E402
from kb.load import TABLES_FOLDER  # noqa: E402

CRUMB_S = 2.0  # a slow client sends one more byte so often
SPARE_FILES = 200
CONNECTIONS = 4
MOST_GROWTH_MB = 32.0
MOST_RATIO = 2.0
SETTLE_S = 3.0
PATIENCE_S = 10.0
BODY_MB = 50
PIECE = b" " * 65536
SAMPLE_S = 0.02


def good_requests() -> Iterator[bytes]:
    """Yield plain questions without end."""
    ids = load().snapshot.ids()
    return itertools.cycle([get(f"/v1/pair?a={a}&b={b}") for a, b in zip(ids[::3], reversed(ids[::3]), strict=True)])


def memory_mb(process_id: int) -> float:
    """Return the resident memory [MB] of a process."""
    pages = int(Path(f"/proc/{process_id}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@contextmanager
def service() -> Iterator[tuple[int, int]]:
    """Run the service with its usual limits; give its port and its process number."""
    os.environ["WETTED_LOG_REQUESTS"] = "false"
    with tempfile.TemporaryDirectory() as folder:
        link = Path(folder) / "tables"
        link.symlink_to(TABLES_FOLDER)
        with serving(link) as (process, port, _):
            yield port, process.pid


async def dawdle(port: int, kinds: Iterator[bytes], held: Counter[str]) -> None:
    """Hold a connection open with crumbs of a request; as soon as it is taken away, open another."""
    while True:
        with contextlib.suppress(OSError):
            reader, writer = await asyncio.open_connection(HOST, port)
            held["opened"] += 1
            writer.write(next(kinds))
            ended = asyncio.create_task(reader.read(1))
            while not ended.done():
                writer.write(b"x")
                await writer.drain()
                await asyncio.wait([ended], timeout=CRUMB_S)
            held["given up by the service"] += 1
            writer.close()


async def besiege(port: int, count: int, held: Counter[str]) -> None:
    """Keep many slow connections open: unended lines, unended heads and unended bodies."""
    head = b"GET /health HTTP/1.1\r\nHost: x\r\nX: "
    body = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 900000\r\n\r\n{"
    kinds = itertools.cycle((head, body, b"GET /"))
    await asyncio.gather(*(dawdle(port, kinds, held) for _ in range(count)))


def run_besiegers(port: int, count: int, stop: Connection) -> None:
    """Besiege until told to stop, in a process of its own, so that the good clients' clock is not disturbed."""
    hard = resource.getrlimit(resource.RLIMIT_NOFILE)[1]
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, count + SPARE_FILES), hard))
    held: Counter[str] = Counter()

    async def until_stopped() -> None:
        task = asyncio.create_task(besiege(port, count, held))
        await asyncio.to_thread(stop.recv)
        task.cancel()

    asyncio.run(until_stopped())
    stop.send(dict(held))


@contextmanager
def besieged(port: int, count: int, held: dict[str, int]) -> Iterator[None]:
    """Let besiegers hold their connections meanwhile."""
    context = get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=run_besiegers, args=(port, count, there))
    process.start()
    time.sleep(SETTLE_S)
    try:
        yield
    finally:
        here.send("stop")
        held |= here.recv() if here.poll(PATIENCE_S) else {}
        process.kill()
        process.join()


def run_slow(seconds: float, count: int) -> int:
    """Besiege the service with slow connections and print what good clients notice."""
    held: dict[str, int] = {}
    requests = good_requests()
    with service() as (port, process_id):
        quiet = asyncio.run(closed_loop(port, requests, CONNECTIONS, seconds, warm_s=SETTLE_S))
        with besieged(port, count, held):
            under = asyncio.run(closed_loop(port, requests, CONNECTIONS, seconds))
            open_files = len(list(Path(f"/proc/{process_id}/fd").iterdir()))
    ratio = under.latency_ms(0.99) / quiet.latency_ms(0.99)
    print(f"{count} slow clients for {seconds:.0f} s: {held}; the service held {open_files} files open at the end")
    for name, got in (("quiet", quiet), ("besieged", under)):
        figures = f"p50 {got.latency_ms(0.5):.2f} ms, p99 {got.latency_ms(0.99):.2f} ms"
        print(f"{name}: {got.per_second:.0f} answers/s, {figures}, {len(got.failures)} wrong", *got.failures[:3])
    print(f"p99 besieged / quiet: {ratio:.2f} (goal: at most {MOST_RATIO:g})")
    return 1 if quiet.failures or under.failures or ratio > MOST_RATIO else 0


async def large_body(port: int, chunked: bool, answers: Counter[str]) -> None:
    """Send a body far beyond the limit until the service hangs up."""
    reader, writer = await asyncio.open_connection(HOST, port)
    head = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
    framing = b"Transfer-Encoding: chunked\r\n" if chunked else b"Content-Length: %d\r\n" % (BODY_MB << 20)
    writer.write(head + framing + b"\r\n")
    with contextlib.suppress(OSError):
        for _ in range((BODY_MB << 20) // len(PIECE)):
            writer.write(b"%x\r\n%b\r\n" % (len(PIECE), PIECE) if chunked else PIECE)
            await writer.drain()
    answer = b""
    with contextlib.suppress(OSError):
        answer = await asyncio.wait_for(reader.read(-1), timeout=10)
    answers[answer[9:12].decode() or "connection cut"] += 1
    writer.close()


async def bodies(port: int, process_id: int, count: int) -> tuple[float, float, Counter[str]]:
    """Return memory before [MB], the most during the siege [MB], and the answers by status."""
    answers: Counter[str] = Counter()
    await closed_loop(port, good_requests(), CONNECTIONS, 3)
    before = most = memory_mb(process_id)
    tasks = [asyncio.create_task(large_body(port, bool(number % 2), answers)) for number in range(count)]
    while not all(task.done() for task in tasks):
        most = max(most, memory_mb(process_id))
        await asyncio.sleep(SAMPLE_S)
    await asyncio.gather(*tasks)
    return before, most, answers


def run_bodies(count: int) -> int:
    """Besiege the service with large bodies and print what its memory notices."""
    with service() as (port, process_id):
        before, most, answers = asyncio.run(bodies(port, process_id, count))
        with socket.create_connection((HOST, port), timeout=5) as sock:
            sock.sendall(get("/health"))
            alive = sock.recv(100).startswith(b"HTTP/1.1 200")
    print(f"{count} bodies of {BODY_MB} MB at once: {dict(answers)}; still answering: {alive}")
    print(f"resident memory {before:.1f} MB -> at most {most:.1f} MB, {most - before:+.1f} MB (goal: at most 32)")
    return 1 if most - before > MOST_GROWTH_MB or not alive or set(answers) - {"413", "connection cut"} else 0


def main() -> int:
    """Run one siege."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("siege", choices=("slow", "bodies", "phases"))
    parser.add_argument("--seconds", type=float, help="length of each turn of `slow`, usually 30, or of `phases`, 3")
    parser.add_argument("--count", type=int, help="connections; usually 1000 slow ones, 20 bodies or 4 of a phase")
    asked = parser.parse_args()
    if asked.siege == "slow":
        return run_slow(asked.seconds or 30, asked.count or 1000)
    if asked.siege == "phases":
        with service() as (port, process_id):
            return run_phases(port, asked.seconds or 3, asked.count or 4, lambda: memory_mb(process_id))
    return run_bodies(asked.count or 20)


if __name__ == "__main__":
    sys.exit(main())
