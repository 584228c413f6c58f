"""A client quick enough to measure a server: HTTP/1.1 over kept connections, nothing parsed that is not looked at.

Owns: sending prepared requests, in a closed loop (as fast as answers come) or at a steady pace, and timing answers.
Does not own: what is asked, or what counts as right. It speaks to this computer only.
"""

from __future__ import annotations

import asyncio
import os
import select
import socket
import statistics
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

HOST = "127.0.0.1"
OK = 200
MOST_FAILURES_KEPT = 100
LAST_ANSWERS_S = 5.0
STRETCH = 400  # answers: enough for a 99th percentile
_PIECE_BYTES = 65_536
_END_OF_HEAD = b"\r\n\r\n"
_LENGTH = b"content-length: "


Check = Callable[[int, bytes, bytes], str]


@dataclass(slots=True)
class Load:
    """What came of a load.

    Attributes:
        seconds: how long answers were counted.
        answers: how many came.
        latencies_s: time from when each request was due to the end of its answer.
        failures: what was wrong, in words; the first ones.
    """

    seconds: float = 0.0
    answers: int = 0
    latencies_s: list[float] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)

    def take(self, answer: bytes, check: Check) -> None:
        """Count an answer, and note what is wrong with it."""
        self.answers += 1
        head, _, body = answer.partition(_END_OF_HEAD)
        wrong = check(int(answer[9:12]), head, body)
        if wrong:
            self.fail(wrong)

    def fail(self, what: str) -> None:
        """Note a failure."""
        if len(self.failures) < MOST_FAILURES_KEPT:
            self.failures.append(what)

    @property
    def per_second(self) -> float:
        """Answers per second."""
        return self.answers / self.seconds

    def latency_ms(self, share: float) -> float:
        """Return the latency [ms] that a share of the answers does not exceed."""
        ordered = sorted(self.latencies_s)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))] * 1e3


def calm_p99_ms(loads: Sequence[Load]) -> float:
    """Return the 99th percentile of the latency [ms] in the median stretch of answers.

    A computer that others use stops for some milliseconds a few times a second: at a quick pace that alone is more
    than a hundredth of all answers. Most stretches hold no such stop.
    """
    stretches = []
    for load in loads:
        count = max(1, len(load.latencies_s) // STRETCH)
        size = len(load.latencies_s) // count
        stretches += [sorted(load.latencies_s[part * size : (part + 1) * size]) for part in range(count)]
    return statistics.median(stretch[int(0.99 * len(stretch))] for stretch in stretches) * 1e3


def is_ok(status: int, _head: bytes, _body: bytes) -> str:
    """Return what is wrong with an answer: nothing if its status is 200."""
    return "" if status == OK else f"status {status}"


def get(address: str, headers: str = "") -> bytes:
    """Return a GET as bytes."""
    return f"GET {address} HTTP/1.1\r\nHost: {HOST}\r\nAccept: */*\r\n{headers}\r\n".encode()


def post(address: str, body: bytes) -> bytes:
    """Return a POST of JSON as bytes."""
    head = f"POST {address} HTTP/1.1\r\nHost: {HOST}\r\nAccept: */*\r\nContent-Type: application/json\r\n"
    return head.encode() + b"Content-Length: %d\r\n\r\n" % len(body) + body


class Connection(asyncio.Protocol):
    """One kept connection; it has at most one request under way."""

    def __init__(self, load: Load, check: Check, on_answer: Callable[[Connection], None]) -> None:
        self._load = load
        self._check = check
        self._on_answer = on_answer
        self._transport: asyncio.Transport | None = None
        self._received = b""
        self._whole = 0
        self._due_s = 0.0
        self._under_way = False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Keep the way to the server."""
        self._transport = cast(asyncio.Transport, transport)  # some loops' transports do not say that they are one

    def send(self, request: bytes, due_s: float) -> None:
        """Send a request that was due at a time of the monotonic clock [s]."""
        assert self._transport is not None
        self._due_s, self._under_way = due_s, True
        self._transport.write(request)

    def data_received(self, data: bytes) -> None:
        """Take a piece of the answer."""
        self._received = self._received + data if self._received else data
        self._whole = self._whole or whole_length(self._received)
        if self._whole and len(self._received) >= self._whole:
            self._take()

    def connection_lost(self, exc: Exception | None) -> None:
        """Note a request that will not be answered."""
        if self._under_way:
            self._load.fail(f"connection lost: {exc}")

    def close(self) -> None:
        """Hang up."""
        self._under_way = False
        if self._transport is not None:
            self._transport.close()

    def _take(self) -> None:
        answer, self._received, self._whole, self._under_way = self._received, b"", 0, False
        self._load.latencies_s.append(time.perf_counter() - self._due_s)
        self._load.take(answer, self._check)
        self._on_answer(self)


async def closed_loop(
    port: int, requests: Iterator[bytes], connections: int, seconds: float, check: Check = is_ok, warm_s: float = 0.3
) -> Load:
    """Ask as fast as answers come.

    Args:
        port: port of the server on this computer.
        requests: endless supply of requests.
        connections: how many are open; each has one request under way.
        seconds: how long answers are counted [s].
        check: says what is wrong with an answer.
        warm_s: time before counting begins [s]; failures count from the start.
    """
    load, stopping = Load(), False

    def ask_next(connection: Connection) -> None:
        if not stopping:
            connection.send(next(requests), time.perf_counter())

    opened = await _open(port, connections, lambda: Connection(load, check, ask_next))
    for connection in opened:
        ask_next(connection)
    await asyncio.sleep(warm_s)
    load.answers, load.latencies_s[:] = 0, []
    start = time.perf_counter()
    await asyncio.sleep(seconds)
    load.seconds, answers, timed = time.perf_counter() - start, load.answers, len(load.latencies_s)
    stopping = True
    await asyncio.sleep(0.2)
    for connection in opened:
        connection.close()
    load.answers = answers
    del load.latencies_s[timed:]
    return load


@dataclass(slots=True)
class _Line:
    """One kept connection of a steady pace; it has at most one request under way.

    Attributes:
        socket: leads to the server.
        due_s: when the request under way was due [s].
        received: what came of its answer so far.
        whole: length of the answer with its head [bytes]; nothing while its head has not come.
    """

    socket: socket.socket
    due_s: float = 0.0
    received: bytes = b""
    whole: int = 0


def steady_pace(
    port: int, requests: Iterator[bytes], connections: int, seconds: float, rate: float, check: Check = is_ok
) -> Load:
    """Ask at a steady pace, whether answers come or not: a late answer makes those behind it late, too.

    It looks for answers without ever sleeping, on bare sockets: what it adds to a latency is some microseconds, where
    an event loop would add more than a quick server takes. So it needs a core of its own.

    Args:
        port: port of the server on this computer.
        requests: endless supply of requests.
        connections: how many are open.
        seconds: how long [s].
        rate: requests per second.
        check: says what is wrong with an answer.
    """
    load, waiting = Load(), deque[float]()
    with ExitStack() as opened, select.epoll() as poll:
        lines = {line.socket.fileno(): line for line in (_dial(opened, port) for _ in range(connections))}
        for number in lines:
            poll.register(number, select.EPOLLIN)
        idle = deque(lines.values())
        start, sent = time.perf_counter(), 0
        end_s = start + seconds
        while (now := time.perf_counter()) < end_s or (len(idle) < len(lines) and now < end_s + LAST_ANSWERS_S):
            while start + sent / rate <= min(now, end_s):
                waiting.append(start + sent / rate)
                sent += 1
            while waiting and idle:
                line = idle.popleft()
                line.due_s = waiting.popleft()
                line.socket.send(next(requests))
            for number, _ in poll.poll(0):
                line = lines[number]
                if _receive(line, load, check):
                    idle.append(line)
                elif not line.received:
                    poll.unregister(number)
                    del lines[number]
                    with suppress(ValueError):
                        idle.remove(line)
        load.seconds = min(now, end_s) - start
        for _ in range(len(lines) - len(idle)):
            load.fail("no answer came")
    return load


def _dial(opened: ExitStack, port: int) -> _Line:
    line = _Line(opened.enter_context(socket.create_connection((HOST, port))))
    line.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    line.socket.setblocking(False)
    return line


def _receive(line: _Line, load: Load, check: Check) -> bool:
    """Take a piece of an answer; return whether it is whole now. A connection that was lost has received nothing."""
    data = line.socket.recv(_PIECE_BYTES)
    if not data:
        load.fail("connection lost")
        line.received, line.whole = b"", 0
        return False
    line.received += data
    line.whole = line.whole or whole_length(line.received)
    if not line.whole or len(line.received) < line.whole:
        return False
    load.latencies_s.append(time.perf_counter() - line.due_s)
    load.take(line.received, check)
    line.received, line.whole = b"", 0
    return True


def whole_length(received: bytes) -> int:
    """Return how long an answer will be with its head [bytes]; 0 while its head has not come as a whole.

    >>> whole_length(b"HTTP/1.1 200 OK\\r\\ncontent-length: 2\\r\\n\\r\\n{"), whole_length(b"HTTP/1.1 200 OK")
    (40, 0)
    """
    end = received.find(_END_OF_HEAD)
    if end < 0:
        return 0
    start = received.find(_LENGTH, 0, end)
    length = received[start + len(_LENGTH) : received.index(b"\r", start)] if start > 0 else b"0"
    return end + len(_END_OF_HEAD) + int(length)


async def _open(port: int, count: int, make: Callable[[], Connection]) -> list[Connection]:
    loop = asyncio.get_running_loop()
    return [(await loop.create_connection(make, HOST, port))[1] for _ in range(count)]


def cpu_s(process_id: int) -> float:
    """Return the processor time that a process has taken [s]."""
    fields = Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
