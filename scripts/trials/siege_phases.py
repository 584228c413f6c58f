"""Hostile streams in every phase of a request, and what one client beside them notices.

Owns: the streams, a probe of `/health` beside each, and the figures. Does not own: the service under siege
(`scripts/trials/siege.py`, which runs this as `siege.py phases`). It speaks to this computer only, and ends by itself.
"""

from __future__ import annotations

import asyncio
import contextlib
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection

from load_client import HOST, get

MOST_ABOVE_MS = 100.0
MOST_GROWTH_MB = 32.0
MOST_SENT = 20 << 20  # by one connection [bytes]
BLOCK = 1 << 16
PROBE_S = 0.01
CRUMB_S = 0.05
PATIENCE_S = 5.0
SETTLE_S = 1.0
TURNS = 3  # at most: what else this computer does can only add to a latency
_POST = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
_IN_CHUNKS = b"Transfer-Encoding: chunked\r\n\r\n"
_CHUNKED = _POST + _IN_CHUNKS
_HEALTH = b"GET /health HTTP/1.1\r\nHost: x\r\n"


@dataclass(frozen=True, slots=True)
class Stream:
    """What one hostile connection sends.

    Attributes:
        first: how it begins.
        piece: what follows again and again; nothing if it ends so.
        is_slow: whether it follows in crumbs.
    """

    first: bytes
    piece: bytes = b""
    is_slow: bool = False


STREAMS = {
    "blank lines": Stream(b"", b"\r\n"),
    "request line": Stream(b"GET /", b"a"),
    "one head line": Stream(_HEALTH + b"X: ", b"a"),
    "many head lines": Stream(_HEALTH, b"a:\r\n"),
    "head slow": Stream(_HEALTH + b"X: ", b"a", is_slow=True),
    "body slow": Stream(_POST + b"Content-Length: 1000000\r\n\r\n", b" ", is_slow=True),
    "body too large": Stream(_POST + b"Content-Length: 50000000\r\n\r\n", b" "),
    "body nobody reads": Stream(_HEALTH + b"Content-Length: 50000000\r\n\r\n", b" "),
    "body in chunks too large": Stream(_CHUNKED, b"1000\r\n" + b" " * 0x1000 + b"\r\n"),
    "chunks nobody reads": Stream(_HEALTH + _IN_CHUNKS, b"28\r\n" + b" " * 0x28 + b"\r\n"),
    "chunks of one byte": Stream(_CHUNKED, b"1\r\n \r\n"),
    "chunks of forty bytes": Stream(_CHUNKED, b"28\r\n" + b" " * 0x28 + b"\r\n"),
    "size without end": Stream(_CHUNKED, b"0"),
    "size that is none": Stream(_CHUNKED + b"zz\r\n"),
    "size slow": Stream(_CHUNKED + b"5;", b"a", is_slow=True),
    "one extension": Stream(_CHUNKED + b"5;", b"a"),
    "many extensions": Stream(_CHUNKED + b"5", b";a=b"),
    "extensions of chunks": Stream(_CHUNKED, b"1;aaaaaaaaaaaaaaaaaaaa\r\n \r\n"),
    "one trailer": Stream(_CHUNKED + b"2\r\n{}\r\n0\r\nX: ", b"a"),
    "many trailers": Stream(_CHUNKED + b"2\r\n{}\r\n0\r\n", b"a:\r\n"),
    "garbage": Stream(_HEALTH + b"\r\n", bytes(range(256))),
    "requests sent ahead": Stream(b"", _HEALTH + b"\r\n"),
}


@dataclass(slots=True)
class Noticed:
    """What was noticed beside a stream.

    Attributes:
        latencies_ms: how long `/health` took, each time.
        memory_mb: resident memory of the service before, and at most [MB].
        sent_mb: what all hostile connections sent [MB].
        statuses: their answers by status; `none` if the connection was cut without one.
    """

    latencies_ms: list[float] = field(default_factory=list)
    memory_mb: tuple[float, float] = (0.0, 0.0)
    sent_mb: float = 0.0
    statuses: Counter[str] = field(default_factory=Counter)


async def _pour(port: int, stream: Stream, end_s: float, statuses: Counter[str]) -> int:
    """Send a stream over one connection after another; return how much was sent [bytes]."""
    block = stream.piece * (1 if stream.is_slow else max(1, BLOCK // max(1, len(stream.piece))))
    total = 0
    while time.monotonic() < end_s:
        reader, writer = await asyncio.open_connection(HOST, port)
        answer = asyncio.create_task(_status(reader))
        with contextlib.suppress(OSError):
            writer.write(stream.first)
            sent = len(stream.first)
            while block and sent < MOST_SENT and time.monotonic() < end_s and not reader.at_eof():
                writer.write(block)
                sent += len(block)
                await writer.drain()
                await asyncio.sleep(CRUMB_S if stream.is_slow else 0)
            total += sent
        if not stream.is_slow:
            statuses[await answer] += 1
        answer.cancel()
        writer.close()
        with contextlib.suppress(OSError):
            await writer.wait_closed()
    return total


async def _status(reader: asyncio.StreamReader) -> str:
    """Return the status of the last answer, having read everything up to the end."""
    received = b""
    with contextlib.suppress(OSError, TimeoutError):
        async with asyncio.timeout(PATIENCE_S):
            while more := await reader.read(BLOCK):
                received = received[-BLOCK:] + more
    found = received.rpartition(b"HTTP/1.1 ")[2][:3].decode()
    return found or "none"


def _run_streams(port: int, name: str, seconds: float, connections: int, reported: Connection) -> None:
    """Pour in a process of its own, so that the clock of the probe is not disturbed."""
    statuses: Counter[str] = Counter()

    async def all_of_them() -> int:
        end_s = time.monotonic() + seconds
        return sum(await asyncio.gather(*(_pour(port, STREAMS[name], end_s, statuses) for _ in range(connections))))

    sent = asyncio.run(all_of_them())
    reported.send((sent, statuses))


async def _probe(port: int, latencies_ms: list[float], is_over: Callable[[], bool]) -> None:
    """Ask for `/health` again and again over one connection."""
    request = get("/health")
    reader, writer = await asyncio.open_connection(HOST, port)
    while not is_over():
        start = time.perf_counter()
        writer.write(request)
        head = await reader.readuntil(b"\r\n\r\n")
        await reader.readexactly(int(head.lower().partition(b"content-length: ")[2].partition(b"\r")[0]))
        latencies_ms.append((time.perf_counter() - start) * 1e3)
        await asyncio.sleep(PROBE_S)
    writer.close()


def quiet(port: int, seconds: float) -> list[float]:
    """Return how long `/health` takes while nobody else asks [ms]."""
    latencies_ms: list[float] = []
    end_s = time.monotonic() + seconds
    asyncio.run(_probe(port, latencies_ms, lambda: time.monotonic() > end_s))
    return latencies_ms


def besieged_by(port: int, name: str, seconds: float, connections: int, memory_mb: Callable[[], float]) -> Noticed:
    """Return what is noticed beside a stream.

    Args:
        port: port of the service on this computer.
        name: which stream.
        seconds: how long [s].
        connections: how many send it at the same time.
        memory_mb: reads the memory of the service [MB].
    """
    noticed, context = Noticed(), get_context("spawn")
    here, there = context.Pipe()
    process = context.Process(target=_run_streams, args=(port, name, seconds, connections, there))
    before = most = memory_mb()
    last_s = time.monotonic() + seconds + SETTLE_S + 2 * PATIENCE_S

    def is_over() -> bool:
        nonlocal most
        most = max(most, memory_mb())
        return here.poll() or time.monotonic() > last_s

    process.start()
    asyncio.run(_probe(port, noticed.latencies_ms, is_over))
    if here.poll():
        sent, noticed.statuses = here.recv()
        noticed.sent_mb = sent / 1e6
    process.kill()
    process.join()
    noticed.memory_mb = before, most
    return noticed


def run_phases(port: int, seconds: float, connections: int, memory_mb: Callable[[], float]) -> int:
    """Send every stream in turn and print what is noticed beside it.

    Args:
        port: port of the service on this computer.
        seconds: how long each stream is sent [s].
        connections: how many send it at the same time.
        memory_mb: reads the memory of the service [MB].
    """
    bad, first_mb = 0, memory_mb()
    print(f"{connections} connections a stream for {seconds:g} s; /health in ms: worst beside it (quiet before it)")
    for name in STREAMS:
        floor_ms = max(quiet(port, SETTLE_S))
        for _ in range(TURNS):
            noticed = besieged_by(port, name, seconds, connections, memory_mb)
            worst_ms, growth_mb = max(noticed.latencies_ms), noticed.memory_mb[1] - noticed.memory_mb[0]
            is_bad = worst_ms > floor_ms + MOST_ABOVE_MS or growth_mb > MOST_GROWTH_MB
            if not is_bad:
                break
        bad += is_bad
        reported = ", ".join(f"{status}: {count}" for status, count in noticed.statuses.most_common(3))
        figures = f"{worst_ms:7.1f} ({floor_ms:5.1f})  {growth_mb:+6.1f} MB  {noticed.sent_mb:8.1f} MB sent"
        print(f"  {name:26} {figures}  {reported}{'  TOO MUCH' if is_bad else ''}", flush=True)
    print(f"goals: at most {MOST_ABOVE_MS:g} ms above quiet, and {MOST_GROWTH_MB:g} MB; {bad} beyond them")
    print(f"resident memory {first_mb:.0f} MB before all of them, {memory_mb():.0f} MB after")
    return 1 if bad else 0
