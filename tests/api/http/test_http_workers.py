"""The service as a process, alone and with workers: one socket, one sum of counts, and an end that drops nobody."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from live_service import exchange

ROOT = Path(__file__).resolve().parents[3]
LONGEST_START_S = 40
READY = b"GET /ready HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"
METRICS = READY.replace(b"/ready", b"/metrics")


@contextmanager
def process(*options: str, **environment: str) -> Iterator[tuple[subprocess.Popen[bytes], int]]:
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "api.cli.main", "serve", "--port", str(port), *options]
    running = subprocess.Popen(command, cwd=ROOT, env={**os.environ, **environment}, stderr=subprocess.PIPE)
    try:
        wait_until_ready(running, port)
        yield running, port
    finally:
        if running.poll() is None:
            running.terminate()
        running.communicate(timeout=20)


def wait_until_ready(running: subprocess.Popen[bytes], port: int) -> None:
    end = time.monotonic() + LONGEST_START_S
    while time.monotonic() < end and running.poll() is None:
        try:
            assert exchange(port, READY)[0] == 200
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise AssertionError("the service did not start")


def wait_until_nobody_listens(port: int) -> None:
    end = time.monotonic() + 8
    while time.monotonic() < end:
        try:
            exchange(port, READY)
        except OSError:
            return
        time.sleep(0.1)
    raise AssertionError("the port still answers")


def requests_counted(port: int) -> int:
    text = exchange(port, METRICS)[2].decode()
    return sum(int(float(line.split()[-1])) for line in text.splitlines() if line.startswith("wetted_requests_total{"))


def children(process_id: int) -> list[int]:
    tasks = Path(f"/proc/{process_id}/task/{process_id}/children").read_text().split()
    return [int(one) for one in tasks if b"spawn_main" in Path(f"/proc/{one}/cmdline").read_bytes()]


@pytest.mark.parametrize("workers", ["1", "2"])
def test_the_end_waits_for_answers_under_way(workers: str) -> None:
    line = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}\n'
    head = (
        b"POST /v1/batch/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\nContent-Length: %d\r\n\r\n"
    )
    with process("--workers", workers) as (running, port), socket.create_connection(("127.0.0.1", port), 10) as sock:
        sock.sendall(head % (2 * len(line)) + line)
        received = sock.recv(65536)
        running.send_signal(signal.SIGTERM)
        wait_until_nobody_listens(port)
        sock.sendall(line)
        while more := sock.recv(65536):
            received += more
        running.wait(timeout=10)
    assert received.startswith(b"HTTP/1.1 200")
    assert received.count(b'"answer"') == 2
    assert running.returncode in {0, -signal.SIGTERM}


def test_workers_serve_one_port_count_together_and_are_replaced() -> None:
    with process("--workers", "2") as (running, port):
        served = {exchange(port, READY)[2] and one for _ in range(20) for one in children(running.pid)}
        assert len(served) == 2
        for _ in range(40):
            assert exchange(port, READY)[0] == 200
        time.sleep(0.8)
        counted = requests_counted(port)
        assert counted >= 60
        time.sleep(0.8)
        victim = children(running.pid)[0]
        os.kill(victim, signal.SIGKILL)
        end = time.monotonic() + LONGEST_START_S
        while victim in children(running.pid) or len(children(running.pid)) < 2:
            assert time.monotonic() < end
            assert exchange(port, READY)[0] == 200
            time.sleep(0.1)
        time.sleep(2.5)
        assert {requests_counted(port) >= counted for _ in range(6)} == {True}
        os.kill(running.pid, signal.SIGHUP)
        time.sleep(1.0)
        assert len(children(running.pid)) == 2
        assert json.loads(exchange(port, READY)[2])["status"] == "ready"


def is_running(process_id: int) -> bool:
    try:
        return Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_a_killed_master_takes_its_workers_along_and_the_port_is_free_again() -> None:
    with process("--workers", "2") as (running, port):
        workers = children(running.pid)
        assert len(workers) == 2
        running.kill()
        running.wait(timeout=10)
        end = time.monotonic() + 10
        try:
            while any(map(is_running, workers)) and time.monotonic() < end:
                time.sleep(0.05)
            assert not any(map(is_running, workers))
            socket.create_server(("127.0.0.1", port)).close()
        finally:
            for worker in filter(is_running, workers):
                os.kill(worker, signal.SIGKILL)


def test_a_port_that_is_taken_is_reported_in_a_line() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        for workers in ("1", "2"):
            command = [sys.executable, "-m", "api.cli.main", "serve", "--port", port, "--workers", workers]
            done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
            assert done.returncode == 1
            assert f"cannot serve on 127.0.0.1 port {port}" in done.stderr


def test_every_line_that_the_service_writes_is_json() -> None:
    with process() as (running, port):
        exchange(port, READY)
        exchange(port, b"nonsense\r\n\r\n")
        running.terminate()
        errors = running.communicate(timeout=20)[1]
    lines = [json.loads(line) for line in errors.splitlines()]
    assert {"time", "level", "event"} <= set.intersection(*(set(line) for line in lines))
    assert any(line["event"] == "request" and line["route"] == "/ready" for line in lines)
