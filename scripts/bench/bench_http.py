"""How quick the service answers, each figure against a floor served by the same server in the same run.

Owns: the floors, timings over HTTP on this computer, and ratios. Does not own: pass or fail: timing is never a test; or
timings in process (`scripts/bench/bench.py`). Run it in the project's environment: `.venv/bin/python
scripts/bench/bench_http.py`. Every server gets one core and the client another one; all take turns, in several
rounds, and the median round counts: a busy computer then slows both sides of a ratio. Nobody writes an access log.
"""

from __future__ import annotations

import argparse
import itertools
import json
import multiprocessing
import os
import socket
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, cast, get_args, get_origin, get_type_hints

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import uvicorn  # noqa: E402
import uvloop  # noqa: E402
from fastapi import FastAPI, Query  # noqa: E402
from load_client import STRETCH, Load, calm_p99_ms, closed_loop, cpu_s, get, post, steady_pace  # noqa: E402
from pydantic import create_model  # noqa: E402
from sample_loops import large_loop, twelve_parts, twelve_parts_with_performance  # noqa: E402
from sample_pairs import pairs  # noqa: E402
from starlette.applications import Starlette  # noqa: E402
from starlette.requests import Request  # noqa: E402
from starlette.responses import Response  # noqa: E402
from starlette.routing import Route  # noqa: E402
from starlette.types import ASGIApp, Receive, Scope, Send  # noqa: E402

from api.http.server.serve import prepare_process, server_config  # noqa: E402
from api.http.settings import Settings  # noqa: E402
from kb.knowledge_base import KnowledgeBase, load  # noqa: E402
from schemas.answers.answers import PairAnswer  # noqa: E402

CONNECTIONS = 16
UNUSED = 9_999  # a loop that no timing comes to
FLOOR_PAIRS = 300
WARMING = ("thread/npt-1-4", "tube/copper-b88-1-2-l", "fitting/rigid-13-g-1-4")
WARM_S = 5.0
FEWEST_TIMED = 200  # else the p99 of slow answers would be the slowest of a handful
JSON = "application/json"
QUIET = {"tracing": False, "metrics": False, "logs": False, "auto_configure": False}
BY_ID = Annotated[str, Query(min_length=1, max_length=80)]


@dataclass(slots=True)
class Case:
    """One thing to time.

    Attributes:
        name: what it is.
        app: name of the server that answers it, a key of `APPS`.
        requests: endless supply of requests.
        rounds: answers per second, round by round.
        cpu_us: time of the server's core for one answer [us], round by round; what others do hardly shows in it.
    """

    name: str
    app: str
    requests: Iterator[bytes]
    rounds: list[float] = field(default_factory=list)
    cpu_us: list[float] = field(default_factory=list)

    @property
    def per_second(self) -> float:
        """Answers per second in the median round."""
        return statistics.median(self.rounds)

    @property
    def per_core_second(self) -> float:
        """Answers per second of the server's core in the median round, whatever else the computer did."""
        return 1e6 / statistics.median(self.cpu_us)


def reported_pairs(base: KnowledgeBase) -> list[PairAnswer]:
    """Return cached responses to the first pairs, so that floors send what the service sends."""
    return [base.pair(a, b) for a, b in itertools.islice(pairs(base), FLOOR_PAIRS)]


def pydantic_twin(kind: Any) -> Any:
    """Return a type with every dataclass in it as a pydantic model of the same fields: what a floor answers."""
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        given = {one.name: one.default for one in fields(kind) if one.default is not MISSING}
        given_fields = {name: (pydantic_twin(hint), given.get(name, ...)) for name, hint in hints.items()}
        return cast(Any, create_model)("Answer", **given_fields)
    parts = tuple(one if one is Ellipsis else pydantic_twin(one) for one in get_args(kind))
    if not parts:
        return kind
    origin: Any = Union if get_origin(kind) is UnionType else get_origin(kind)
    return origin[parts]


def typical_body(base: KnowledgeBase) -> bytes:
    """Return the answer of mean size among them."""
    bodies = sorted((one.to_json_bytes() for one in reported_pairs(base)), key=len)
    mean = statistics.mean(map(len, bodies))
    return min(bodies, key=lambda body: abs(len(body) - mean))


def bare_app(base: KnowledgeBase) -> ASGIApp:
    """Constant bytes from ASGI alone."""
    body = typical_body(base)
    headers = [(b"content-type", JSON.encode()), (b"content-length", str(len(body)).encode())]

    async def app(_scope: Scope, _receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": body})

    return app


def starlette_app(base: KnowledgeBase) -> ASGIApp:
    """Constant bytes from a Starlette route."""
    body = typical_body(base)

    async def constant(_request: Request) -> Response:
        return Response(body, media_type=JSON)

    return Starlette(routes=[Route("/floor", constant)])


def fastapi_app(base: KnowledgeBase) -> ASGIApp:
    """FastAPI routes: without parameters, with two, with two and a pydantic answer, and not a coroutine."""
    model = pydantic_twin(PairAnswer)
    body, answers = typical_body(base), itertools.cycle([model(**one.to_dict()) for one in reported_pairs(base)])
    app = FastAPI(openapi_url=None, telemetry=cast(Any, QUIET))

    @app.get("/none")
    async def none() -> Response:
        return Response(body, media_type=JSON)

    @app.get("/two")
    async def two(a: BY_ID, b: BY_ID) -> Response:  # noqa: ARG001 - they are validated, no more
        return Response(body, media_type=JSON)

    @app.get("/answer", response_model=model)
    async def answer(a: BY_ID, b: BY_ID) -> Any:  # noqa: ARG001
        return next(answers)

    @app.get("/plain")
    def plain() -> Response:
        return Response(body, media_type=JSON)

    return app


FLOORS: dict[str, Callable[[KnowledgeBase], ASGIApp]] = {
    "bare": bare_app,
    "starlette": starlette_app,
    "fastapi": fastapi_app,
}
SERVICE = "service"


def run_server(name: str, port: int, core: int | None) -> None:
    """Serve floors or the service with the very same server until the process ends."""
    if core is not None:
        os.sched_setaffinity(0, {core})
    settings = Settings(port=port, log_requests=False)
    prepare_process(settings)
    base = load()
    config = server_config(settings, base)
    if name != SERVICE:
        config = uvicorn.Config(
            FLOORS[name](base),
            port=port,
            http="httptools",
            ws="none",
            lifespan="off",
            server_header=False,
            proxy_headers=config.proxy_headers,
        )
    config.access_log, config.log_level = False, "critical"
    config.configure_logging()
    uvicorn.Server(config).run()


@contextmanager
def serving(name: str, core: int | None) -> Iterator[tuple[int, int]]:
    """Run a server in a process of its own; give its port and its process id."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    process = multiprocessing.get_context("spawn").Process(target=run_server, args=(name, port, core))
    process.start()
    try:
        _wait_for(port)
        yield port, process.pid or 0
    finally:
        process.terminate()
        process.join(30)


def _wait_for(port: int) -> None:
    for _ in range(600):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError("the server did not start")


LoopMaker = Callable[[int], dict[str, Any]]
LOOPS: dict[str, tuple[LoopMaker, str]] = {
    "12-part loop, chemistry and fit": (twelve_parts, "   goal: at least 150/s on one core"),
    "12-part loop, with performance": (twelve_parts_with_performance, "   goal: at least 50/s on one core"),
    "34-part loop, with performance": (large_loop, ""),
}


def cases(base: KnowledgeBase) -> list[Case]:
    """Return everything that is timed, floors first."""
    one = f"a={base.snapshot.ids(('tubes',))[0]}&b={base.snapshot.ids(('fittings',))[0]}"
    fresh = pairs(base)
    same = [f"/v1/pair?a={a}&b={b}" for a, b in itertools.islice(pairs(base), FLOOR_PAIRS)]
    constant = itertools.repeat
    return [
        Case("bare ASGI, constant bytes", "bare", constant(get("/floor"))),
        Case("Starlette route, constant bytes", "starlette", constant(get("/floor"))),
        Case("FastAPI route, no parameters", "fastapi", constant(get("/none"))),
        Case("FastAPI route, two parameters", "fastapi", constant(get(f"/two?{one}"))),
        Case("FastAPI, two and a pydantic answer", "fastapi", constant(get(f"/answer?{one}"))),
        Case("FastAPI, plain def route", "fastapi", constant(get("/plain"))),
        Case("pair asked again", SERVICE, itertools.cycle(map_get(same))),
        Case("pair asked again, known to the client", SERVICE, constant(get(same[0], "If-None-Match: *\r\n"))),
        Case("pair never asked before", SERVICE, (get(f"/v1/pair?a={a}&b={b}") for a, b in fresh)),
        *(Case(name, SERVICE, asked_with(make)) for name, (make, _) in LOOPS.items()),
    ]


def asked_with(make: LoopMaker) -> Iterator[bytes]:
    """Return POSTs of ever new loops."""
    return (post("/v1/loop", json.dumps(make(number)).encode()) for number in itertools.count())


def map_get(addresses: list[str]) -> list[bytes]:
    """Return the GETs of addresses."""
    return [get(address) for address in addresses]


def acceptable(status: int, _head: bytes, _body: bytes) -> str:
    """Return what is wrong with an answer: pairs of one sort are refused by right, nothing may break."""
    return "" if status in (200, 304) else f"status {status}"


def run_rounds(timed: list[Case], servers: dict[str, tuple[int, int]], rounds: int, seconds: float) -> list[str]:
    """Time all cases in turn; return what failed."""
    failures: list[str] = []
    for _ in range(rounds):
        for case in timed:
            port, process_id = servers[case.app]
            before = cpu_s(process_id)
            load_ = uvloop.run(closed_loop(port, case.requests, CONNECTIONS, seconds, acceptable, warm_s=0))
            case.rounds.append(load_.per_second)
            case.cpu_us.append((cpu_s(process_id) - before) / load_.answers * 1e6)
            failures += load_.failures
    return failures


def warm_up(servers: dict[str, tuple[int, int]], base: KnowledgeBase) -> None:
    """Ask about every archetype and a loop of each sort first, as a service that has run for a while was asked."""
    addresses = map_get([f"/v1/pair?a={one}&b={other}" for one in base.snapshot.ids() for other in WARMING])
    loops = [post("/v1/loop", json.dumps(make(UNUSED)).encode()) for make, _ in LOOPS.values()]
    for requests in (addresses, loops):
        uvloop.run(closed_loop(servers[SERVICE][0], itertools.cycle(requests), CONNECTIONS, WARM_S, acceptable))


def half_load(
    timed: list[Case], servers: dict[str, tuple[int, int]], rounds: int, seconds: float
) -> dict[str, list[Load]]:
    """Ask at half the pace that is kept, round by round; the barest floor shows what the computer adds."""
    halves: dict[str, list[Load]] = {case.name: [] for case in timed if case.app in (SERVICE, "bare")}
    for _ in range(rounds):
        for case in timed:
            if case.name in halves:
                port, rate = servers[case.app][0], case.per_second / 2
                longer_s = max(seconds, FEWEST_TIMED / rate)
                halves[case.name].append(steady_pace(port, case.requests, CONNECTIONS, longer_s, rate, acceptable))
    return halves


def _print(timed: list[Case], body_bytes: int) -> None:
    by_name = {case.name: case for case in timed}
    goals = {
        "pair asked again": ("Starlette route, constant bytes", "at least 0.8 x the Starlette route"),
        "pair never asked before": ("FastAPI, two and a pydantic answer", "at least 0.8 x FastAPI with an answer"),
    }
    print(f"one core for the server, {CONNECTIONS} connections, answers of {body_bytes} bytes in the mean")
    print(f"  {'':38} {'answers/s':>10} {'per core s':>11}")
    for case in timed:
        line = f"  {case.name:38} {case.per_second:10.0f} {case.per_core_second:11.0f}"
        if case.name in goals:
            floor, goal = by_name[goals[case.name][0]], goals[case.name][1]
            ratios = case.per_second / floor.per_second, case.per_core_second / floor.per_core_second
            line += f"   {ratios[0]:4.2f} x, by core time {ratios[1]:4.2f} x   goal: {goal}"
        elif case.name in LOOPS:
            line += LOOPS[case.name][1]
        print(line)


def _print_latencies(halves: dict[str, list[Load]]) -> None:
    print(f"latency at half of that pace, in the median round; calm: the median {STRETCH} answers")
    print(f"  {'goal: p99 at most 3 x p50':38} {'answers/s':>10} {'p50':>10} {'p99':>10} {'':>8} {'calm p99':>10}")
    for name, loads in halves.items():
        pace = statistics.median(one.per_second for one in loads)
        p50, p99 = (statistics.median(one.latency_ms(share) for one in loads) for share in (0.5, 0.99))
        calm = calm_p99_ms(loads)
        reported = "".join(f" {one:7.3f} ms {one / p50:6.1f} x" for one in (p99, calm))
        print(f"  {name:38} {pace:10.0f} {p50:7.3f} ms{reported}")


def main() -> int:
    """Run all timings and print them."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--seconds", type=float, default=1.0, help="length of one round of one case")
    asked = parser.parse_args()
    cores = sorted(os.sched_getaffinity(0))
    server_core, client_core = (cores[0], cores[1]) if len(cores) > 1 else (None, None)
    base = load()
    timed = cases(base)
    with ExitStack() as stack:
        servers = {name: stack.enter_context(serving(name, server_core)) for name in (*FLOORS, SERVICE)}
        if client_core is not None:
            os.sched_setaffinity(0, {client_core})
        warm_up(servers, base)
        failures = run_rounds(timed, servers, asked.rounds, asked.seconds)
        halves = half_load(timed, servers, asked.rounds, asked.seconds)
    failures += [what for loads in halves.values() for load_ in loads for what in load_.failures]
    _print(timed, len(typical_body(base)))
    _print_latencies(halves)
    print(f"failed: {len(failures)}", *failures[:5], sep="\n")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
