"""Pages of other origins: every answer says once who may read it, and a browser that asks first may ask.

What a browser does with the headers is that of the fetch standard (WHATWG, "CORS check" and "CORS-preflight fetch"): a
header that is sent twice counts as one value with a comma in it, which is no origin.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import pytest
from asgi_asking import Asker, Raw, Reply, got, posted

from api.http.app import create_app
from api.http.settings import Settings
from kb import KnowledgeBase

PAGE, OTHER = "https://shop.example", "https://other.example"
PAIR = "/v1/pair?a=thread/g-1-4&b=thread/rp-1-4"
QUESTION = {"a": "thread/g-1-4", "b": "thread/g-1-4"}
LINES = b"\n".join([json.dumps(QUESTION).encode()] * 40)
BROKEN = {"a": "thread/g-1-2", "b": "thread/g-1-2"}  # the base is made to break on it

ANSWERS: dict[str, tuple[Raw, int]] = {
    "an answer": (got(PAIR), 200),
    "an answer of the framework": (got("/v1/tables/threads?limit=2"), 200),
    "a table in csv": (got("/v1/tables/threads?limit=2&format=csv"), 200),
    "a head": (got(PAIR, "HEAD"), 200),
    "an answer that the page has": (got(PAIR, headers=[(b"if-none-match", b"*")]), 304),
    "a posted answer": (posted("/v1/pair", QUESTION), 200),
    "a batch in lines": (posted("/v1/batch/pair", LINES, content_type="application/x-ndjson"), 200),
    "a batch in a list": (posted("/v1/batch/pair", [QUESTION] * 3), 200),
    "a state": (got("/health"), 200),
    "a page for people": (got("/problems"), 200),
    "the methods of an address": (got("/v1/pair", "OPTIONS"), 204),
    "the methods of everything": (Raw("OPTIONS", b"*", headers=()), 204),
    "an unreadable address": (got("/v1/find?words=%zz"), 400),
    "an unreadable path": (got("/v1/rows/thread/%zz"), 400),
    "an unusable body": (posted("/v1/pair", b"{"), 400),
    "nothing there": (got("/nothing"), 404),
    "another method": (got("/v1/loop"), 405),
    "another form": (got("/v1/tables/threads", headers=[(b"accept", b"image/png")]), 406),
    "another version": (got(PAIR, headers=[(b"wetted-version", b"2020.1.0")]), 412),
    "a body too large": (posted("/v1/pair", b" " * 2_000_000), 413),
    "another media type": (posted("/v1/pair", b"x", content_type="text/plain"), 415),
    "an unknown id": (got("/v1/pair?a=thread/g-1-5&b=thread/g-1-4"), 422),
    "a wrong field": (posted("/v1/pair", {"a": 5}), 422),
    "a failure": (posted("/v1/pair", BROKEN), 500),
}


@pytest.fixture(scope="module")
def asked(base: KnowledgeBase) -> dict[tuple[str, ...], Asker]:
    """Return services that let one origin in, everybody, and nobody."""
    choices = ((PAGE, "https://second.example"), ("*",), ())
    return {chosen: Asker(create_app(base, Settings(cors_origins=chosen, log_requests=False))) for chosen in choices}


SOME, EVERYBODY, NOBODY = (PAGE, "https://second.example"), ("*",), ()


@pytest.fixture(autouse=True)
def breaking(base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch) -> None:
    judge = base.pair

    def broken(a: Any, *more: Any, **named: Any) -> object:
        assert a != BROKEN["a"]
        return judge(a, *more, **named)

    monkeypatch.setattr(base, "pair", broken)


def from_page(raw: Raw, origin: str, *more: tuple[bytes, bytes]) -> Raw:
    return Raw(raw.method, raw.path, raw.query, raw.chunks, (*raw.headers, (b"origin", origin.encode()), *more))


def combined(reply: Reply, name: str) -> str | None:
    """Return a header as a browser gets it: all values of that name, joined by commas."""
    values = [value for one, value in reply.header_list if one == name]
    return ", ".join(values) if values else None


def passes_cors_check(reply: Reply, origin: str) -> bool:
    """Return whether a browser lets a page read this, for a request without cookies."""
    return combined(reply, "access-control-allow-origin") in ("*", origin)


def says_once(reply: Reply) -> bool:
    counts = Counter(name for name, _ in reply.header_list if name.startswith("access-control") or name == "vary")
    return all(count == 1 for count in counts.values())


@pytest.mark.parametrize("name", ANSWERS)
def test_a_page_that_is_let_in_reads_every_kind_of_answer(asked: dict[tuple[str, ...], Asker], name: str) -> None:
    raw, status = ANSWERS[name]
    for chosen in (SOME, EVERYBODY):
        for _ in range(2):  # the second answer may come from memory
            reply = asked[chosen](from_page(raw, PAGE))
            assert reply.status == status
            assert says_once(reply), reply.header_list
            assert passes_cors_check(reply, PAGE)
            exposed = (combined(reply, "access-control-expose-headers") or "").split(", ")
            assert {"ETag", "Link", "Wetted-Version", "X-Request-ID"} <= set(exposed)


@pytest.mark.parametrize("name", ANSWERS)
def test_a_page_that_is_not_let_in_reads_none(asked: dict[tuple[str, ...], Asker], name: str) -> None:
    raw, status = ANSWERS[name]
    for chosen in (SOME, NOBODY):
        for origin in (OTHER, "null", f"{PAGE}.evil.example", "https://shop.example:444", ""):
            reply = asked[chosen](from_page(raw, origin))
            assert reply.status == status
            assert not passes_cors_check(reply, origin)


@pytest.mark.parametrize("name", ANSWERS)
def test_what_depends_on_the_origin_is_not_shared_between_origins(
    asked: dict[tuple[str, ...], Asker], name: str
) -> None:
    """A cache that keeps what one page was reported must not give it to another one (RFC 9110, section 12.5.5)."""
    raw, _ = ANSWERS[name]
    for request in (raw, from_page(raw, PAGE), from_page(raw, OTHER)):
        varies = [one.strip() for one in (combined(asked[SOME](request), "vary") or "").split(",")]
        assert "Origin" in varies
        assert len(varies) == len(set(varies))


@pytest.mark.parametrize("name", ANSWERS)
def test_nothing_is_said_of_origins_where_nobody_is_let_in(asked: dict[tuple[str, ...], Asker], name: str) -> None:
    reply = asked[NOBODY](from_page(ANSWERS[name][0], PAGE))
    assert not [one for one, _ in reply.header_list if one.startswith("access-control")]


def preflight(path: str, method: str, *headers: str, origin: str = PAGE) -> Raw:
    """Return what a browser sends before a request that is not simple."""
    names = [(b"access-control-request-headers", ",".join(headers).encode())] if headers else []
    own = [(b"accept", b"*/*"), (b"sec-fetch-mode", b"cors"), (b"sec-fetch-site", b"cross-site")]
    asks = [(b"access-control-request-method", method.encode()), *names, (b"origin", origin.encode())]
    return got(path, "OPTIONS", [*own, *asks])


def passes_preflight(reply: Reply, origin: str, method: str, headers: tuple[str, ...]) -> bool:
    """Return whether a browser goes on to the request."""
    methods = (combined(reply, "access-control-allow-methods") or "").split(", ")
    allowed = (combined(reply, "access-control-allow-headers") or "").lower().split(", ")
    return (
        passes_cors_check(reply, origin)
        and 200 <= reply.status <= 299
        and (method in methods or method in ("GET", "HEAD", "POST"))
        and set(headers) <= set(allowed)
    )


SENDS = ((), ("content-type",), ("content-type", "wetted-version", "x-request-id"), ("if-none-match",))


@pytest.mark.parametrize("path", ["/v1/pair", "/v1/batch/loop", "/v1/tables/tubes", "/nothing"])
@pytest.mark.parametrize("headers", SENDS)
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST"])
def test_a_browser_that_asks_first_goes_on(
    asked: dict[tuple[str, ...], Asker], path: str, method: str, headers: tuple[str, ...]
) -> None:
    for chosen in (SOME, EVERYBODY):
        reply = asked[chosen](preflight(path, method, *headers))
        assert says_once(reply), reply.header_list
        assert passes_preflight(reply, PAGE, method, headers)
        assert int(combined(reply, "access-control-max-age") or 0) > 0
        assert reply.headers["x-request-id"]
        assert (reply.status, reply.body) == (204, b"")


@pytest.mark.parametrize(
    ("method", "headers", "origin"),
    [
        ("POST", ("content-type",), OTHER),
        ("POST", ("content-type",), "null"),
        ("DELETE", (), PAGE),
        ("POST", ("content-type", "authorization"), PAGE),
        ("POST", ("x-made-up",), PAGE),
    ],
)
def test_a_browser_that_asks_for_more_than_there_is_stops(
    asked: dict[tuple[str, ...], Asker], method: str, headers: tuple[str, ...], origin: str
) -> None:
    reply = asked[SOME](preflight("/v1/pair", method, *headers, origin=origin))
    assert not passes_preflight(reply, origin, method, headers)
    assert says_once(reply)
    assert (reply.status, reply.body) == (204, b"")


def test_no_cookie_is_ever_let_in(asked: dict[tuple[str, ...], Asker]) -> None:
    for chosen in (SOME, EVERYBODY):
        for raw in (from_page(got(PAIR), PAGE, (b"cookie", b"a=b")), preflight("/v1/pair", "POST")):
            assert "access-control-allow-credentials" not in asked[chosen](raw).headers
