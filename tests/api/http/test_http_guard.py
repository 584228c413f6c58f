"""Broken requests, in every phase of a message: first the answers to what was sound, then a problem, never nothing."""

from __future__ import annotations

import asyncio
import gc
import itertools
import json
import re
import socket
from collections.abc import Iterator

import pytest
from asgi_asking import require_problem
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from live_service import serving
from wire import PROTOCOLS, Answer, Wire

from api.http.server.guard import Guard
from api.http.settings import Settings
from kb import KnowledgeBase

HEALTH = b"GET /health HTTP/1.1\r\nHost: x\r\n\r\n"
MOST_HEAD = 2048
BODY = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}'
POST = b"POST /v1/pair HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
CHUNKED = POST + b"Transfer-Encoding: chunked\r\n\r\n"
LIMITS = Settings(largest_head_bytes=MOST_HEAD, largest_body_bytes=50_000, largest_batch_bytes=60_000)
FEW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module", params=PROTOCOLS, ids=lambda one: one.__name__)
def wire(request: pytest.FixtureRequest, base: KnowledgeBase) -> Wire:
    return Wire(base, request.param, LIMITS)


def require_refusal(answer: Answer) -> str:
    assert 400 <= answer.status < 500, answer
    assert answer.headers["connection"] == "close"
    assert answer.headers["x-request-id"]
    return require_problem(answer.status, answer.headers, answer.body).type.removeprefix("/problems/")


def in_pieces(sent: bytes, cuts: list[int]) -> list[bytes]:
    places = sorted({0, len(sent), *(cut % (len(sent) + 1) for cut in cuts)})
    return [sent[start:end] for start, end in itertools.pairwise(places)]


CUTS = st.lists(st.integers(0, 10_000), max_size=8)
SOUND = st.sampled_from([HEALTH, POST + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY])
EXTENSIONS = st.sampled_from([b"", b";a", b";a=b", b' ; a = "b;\\"c\r"'.replace(b"\r", b"\t"), b";a;b=c"])


@st.composite
def chunks(draw: st.DrawFn) -> bytes:
    """Return a body in chunks of all sizes, written in all ways."""
    places = sorted({0, len(BODY), *draw(st.lists(st.integers(1, len(BODY) - 1), max_size=6))})
    sent = b""
    for start, end in itertools.pairwise(places):
        size = b"%0*x" % (draw(st.integers(1, 16)), end - start)
        sent += (size.upper() if draw(st.booleans()) else size) + draw(EXTENSIONS) + b"\r\n" + BODY[start:end] + b"\r\n"
    return sent


BAD_SIZES = st.one_of(
    st.sampled_from(
        [
            b"zz",
            b"",
            b"-1",
            b"+5",
            b" 5",
            b"5 ",
            b"5\t",
            b"0x5",
            b"5h",
            b"\x00",
            b"5\n5",
            b"5\r5",
            b"\xb2",
            b"f" * 16,
            b"f" * 17,
            b"0" * 17,
            b"7fffffff",
            b"1" + b"0" * 4000,
            b"5;",
            b"5;=",
            b"5;=b",
            b'5;a="',
            b'5;a="b',
            b"5;a=b\x00",
            b"5;a b",
            b"5;a=b=c",
            b"5,a",
            b"5;\x7f",
        ]
    ),
    st.binary(min_size=1, max_size=20).filter(lambda size: size[:1] not in b"0123456789abcdefABCDEF\r"),
)
TRAILERS = st.one_of(
    st.just(b"X: 1\r\n"), st.just(b"\n"), st.just(b" \r\n"), st.just(b"X: " + b"a" * 9000), st.just(b"a:\r\n" * 3000)
)
FRAMINGS = st.one_of(
    st.sampled_from(
        [
            b"Content-Length: 5\r\nContent-Length: 6\r\n",
            b"Content-Length: 5\r\nContent-Length: 5\r\n",
            b"Content-Length: 5, 5\r\n",
            b"Content-Length: \r\n",
            b"Content-Length: 0x5\r\n",
            b"Content-Length: +5\r\n",
            b"Content-Length: 5.0\r\n",
            b"Content-Length: " + b"9" * 19 + b"\r\n",
            b"Content-Length: \xb2\r\n",
            b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n",
            b"Transfer-Encoding: chunked\r\ncontent-length:0\r\n",
            b"Transfer-Encoding: chunked\r\nTransfer-Encoding: chunked\r\n",
            b"Transfer-Encoding: gzip, chunked\r\n",
            b"Transfer-Encoding: identity\r\n",
            b"Transfer-Encoding: xchunked\r\n",
            b"Transfer-Encoding: chunked, \r\n",
            b"Transfer-Encoding : chunked\r\n",
            b"Transfer-Encoding:\r\n chunked\r\n",
            b"Host: y\r\n",
            b"host:x\r\n",
            b"X: a\r\n b\r\n",
            b"X: a\nY: b\r\n",
            b"X: a\rb\r\n",
            b"X: a\x00\r\n",
            b"X\r\n",
            b": x\r\n",
            b"X y: z\r\n",
            b"X\x80: y\r\n",
            b"X: \x7f\r\n",
            b"X: y\r\r\n",
            b"\tX: y\r\n",
            b"X: " + b"a" * MOST_HEAD + b"\r\n",
        ]
    )
)
FIRST_LINES = st.one_of(
    st.sampled_from(
        [
            b"nonsense",
            b"GET",
            b"GET /health",
            b"GET  /health HTTP/1.1",
            b"GET /health HTTP/1.1 ",
            b"get /health HTTP/1.1",
            b"GET /a b HTTP/1.1",
            b"GET /\xff HTTP/1.1",
            b"GET /\x7f HTTP/1.1",
            b"GET /health HTTP/2.0",
            b"GET * HTTP/1.1",
            b"GET /health HTTP/1.2",
            b"GET /health http/1.1",
            b"GET health HTTP/1.1",
            b"GET /#x HTTP/1.1",
            b"CONNECT x:80 HTTP/1.1",
            b"BREW / HTTP/1.1",
            b"PRI * HTTP/2.0",
            b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
            b"GET /" + b"a" * MOST_HEAD + b" HTTP/1.1",
        ]
    ),
    st.binary(min_size=1, max_size=30).filter(lambda line: line.strip(b"\r\n") and b" /" not in line),
)


@st.composite
def broken_requests(draw: st.DrawFn) -> bytes:
    """Return a request that is broken in one of its phases."""
    phase = draw(st.sampled_from(["first line", "head", "size", "between", "trailers", "cut off"]))
    if phase == "first line":
        return draw(FIRST_LINES) + b"\r\nHost: x\r\n\r\n"
    if phase == "head":
        return POST + draw(FRAMINGS) + b"\r\nhello"
    before = CHUNKED + draw(chunks())
    if phase == "size":
        return before + draw(BAD_SIZES) + b"\r\nhello\r\n0\r\n\r\n"
    if phase == "between":
        return before[:-2] + draw(
            st.sampled_from([b"0\r\n\r\n", b"\n0\r\n\r\n", b"\r0\r\n\r\n", b"\r\r", b"xx", b" \r\n"])
        )
    if phase == "trailers":
        return before + b"0" + draw(EXTENSIONS) + b"\r\n" + draw(TRAILERS) + b"\r\n"
    whole = draw(st.sampled_from([before + b"0\r\n\r\n", POST + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY]))
    return whole[: draw(st.integers(1, len(whole) - 1))]


@FEW
@given(before=st.lists(SOUND, max_size=3), broken=broken_requests(), cuts=CUTS)
@example(before=[HEALTH], broken=CHUNKED + b"zz\r\n", cuts=[])
@example(before=[], broken=CHUNKED + b"2\r\n{}\r\n0\r\nX: 1\r\n\r\n", cuts=[len(CHUNKED)])
def test_what_is_sound_is_answered_in_order_and_what_is_broken_gets_a_problem(
    wire: Wire, before: list[bytes], broken: bytes, cuts: list[int]
) -> None:
    answers = wire(in_pieces(b"".join(before) + broken, cuts)).answers
    assert [answer.status for answer in answers[:-1]] == [200] * len(before)
    require_refusal(answers[-1])


@FEW
@given(
    garbage=st.binary(max_size=200).filter(lambda sent: b"HTTP" not in sent),
    before=st.lists(SOUND, max_size=2),
    cuts=CUTS,
)
def test_any_bytes_behind_sound_requests_end_below_500(
    wire: Wire, garbage: bytes, before: list[bytes], cuts: list[int]
) -> None:
    answers = wire(in_pieces(b"".join(before) + garbage, cuts)).answers
    assert [answer.status for answer in answers[: len(before)]] == [200] * len(before)
    for answer in answers[len(before) :]:
        require_refusal(answer)
    assert len(answers) - len(before) == (re.fullmatch(rb"(\r\n)*\r?", garbage) is None)


@FEW
@given(parts=st.lists(st.one_of(SOUND, chunks()), min_size=1, max_size=4), cuts=CUTS)
def test_a_sound_request_is_answered_however_it_is_chunked_and_cut(
    wire: Wire, parts: list[bytes], cuts: list[int]
) -> None:
    sent = [part if part.split(b" ", 1)[0] in (b"GET", b"POST") else CHUNKED + part + b"0\r\n\r\n" for part in parts]
    answers = wire(in_pieces(b"".join(sent), cuts)).answers
    assert [answer.status for answer in answers] == [200] * len(parts), answers
    for part, answer in zip(parts, answers, strict=True):
        assert ("verdict" in json.loads(answer.body)) == (part != HEALTH)


TOKENS = st.text("!#$%&'*+-.^_`|~019AZaz", min_size=1, max_size=9)
TEXTS = st.text(
    st.characters(min_codepoint=0x20, max_codepoint=0xFF, exclude_characters="\x7f") | st.just("\t"), max_size=30
)
TARGETS = st.text(st.characters(min_codepoint=0x21, max_codepoint=0x7E, exclude_characters="#"), max_size=60)


@FEW
@given(
    method=st.sampled_from(["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"]),
    place=st.sampled_from(["", "http://x", "HTTPS://user@[::1]:80"]),
    target=TARGETS,
    minor=st.sampled_from("01"),
    fields=st.lists(
        st.tuples(TOKENS | st.sampled_from(["Connection", "Upgrade", "Expect", "Cookie"]), TEXTS), max_size=6
    ),
)
def test_no_sound_head_is_refused_by_the_protocol_behind_the_guard(
    wire: Wire, method: str, place: str, target: str, minor: str, fields: list[tuple[str, str]]
) -> None:
    lines = [f"{method} {place}/{target} HTTP/1.{minor}", "Host: x", *(f"{name}:{text}" for name, text in fields)]
    received = wire(["\r\n".join([*lines, "", ""]).encode("latin-1")]).received
    assert received.startswith((b"HTTP/1.1 2", b"HTTP/1.1 4"))
    assert received.count(b"\r\nx-request-id: ") == 1


def endless(first: bytes, piece: bytes) -> Iterator[bytes]:
    return itertools.chain([first], itertools.islice(itertools.repeat(piece), 100_000))


PHASES = {
    "blank lines": (b"", b"\r\n"),
    "target": (b"GET /", b"a" * 100),
    "one head line": (b"GET / HTTP/1.1\r\nX: ", b"a" * 100),
    "many head lines": (b"GET / HTTP/1.1\r\n", b"a:\r\n"),
    "zeros of a size": (CHUNKED, b"0" * 100),
    "one extension": (CHUNKED + b"5;", b"a" * 100),
    "an extension of many": (CHUNKED + b"5", b";a"),
    "extensions of many chunks": (CHUNKED, b"1;aaaaaaaaaaaaaaaaaaaa\r\n{\r\n"),
    "chunks of one byte": (CHUNKED, b"1\r\n \r\n"),
    "one trailer": (CHUNKED + b"0\r\nX: ", b"a" * 100),
    "many trailers": (CHUNKED + b"0\r\n", b"a:\r\n"),
}


@pytest.mark.parametrize("phase", PHASES)
def test_what_is_not_data_draws_on_one_account_in_every_phase(wire: Wire, phase: str) -> None:
    talk = wire(endless(*PHASES[phase]), is_ended=False)
    assert len(talk.answers) == 1
    assert require_refusal(talk.answers[0]) == ("url-too-long" if phase == "target" else "malformed-request")
    assert talk.sent < 2 * MOST_HEAD


def test_the_account_is_one_for_all_phases(wire: Wire) -> None:
    head = CHUNKED.replace(b"Host: x", b"Host: x\r\nX: " + b"a" * (MOST_HEAD - 400))
    talk = wire(endless(head, b"1;aaaaaaaaaaaaaaaaaaaa\r\n{\r\n"), is_ended=False)
    assert require_refusal(talk.answers[0]) == "malformed-request"
    assert talk.sent < 1.5 * MOST_HEAD


def test_large_data_in_usual_chunks_is_bounded_by_the_body_alone(wire: Wire) -> None:
    chunk = b"40\r\n" + b" " * 64 + b"\r\n"
    whole = wire([CHUNKED, *[chunk] * 700, b"2a\r\n" + BODY + b"\r\n0\r\n\r\n"])
    assert [answer.status for answer in whole.answers] == [200]
    too_large = wire(endless(CHUNKED, chunk), is_ended=False)
    assert require_refusal(too_large.answers[0]) == "body-too-large"


def test_a_chunk_larger_than_any_body_is_refused_before_its_data(wire: Wire) -> None:
    talk = wire([CHUNKED + b"fffffff\r\n"], is_ended=False)
    assert require_refusal(talk.answers[0]) == "body-too-large"


def test_a_body_that_nobody_reads_may_break_after_the_answer(wire: Wire) -> None:
    """One request, one answer: what is wrong later with a request that was answered only ends the connection."""
    unread = b"GET /health HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n"
    pieces = [unread, *[b""] * 20, b"zz\r\n"]
    assert [answer.status for answer in wire(pieces, is_ended=False).answers] == [200]


def test_a_client_that_will_send_no_more_is_answered_and_then_left(wire: Wire) -> None:
    whole = POST + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY
    for sent, statuses in ((HEALTH, [200]), (HEALTH + whole + HEALTH, [200] * 3), (b"", []), (HEALTH + b"\r\n", [200])):
        assert [answer.status for answer in wire([sent]).answers] == statuses


def test_a_body_that_nobody_reads_is_not_taken_for_the_next_request(wire: Wire) -> None:
    unread = HEALTH[:-2] + b"Content-Length: 5\r\n\r\nGET /"
    answers = wire([unread + unread + POST + b"Content-Length: %d\r\n\r\n" % len(BODY) + BODY]).answers
    assert [sorted(json.loads(answer.body))[:2] for answer in answers] == [["kb_version", "status"]] * 2 + [["a", "b"]]


def guards_in_memory() -> int:
    return sum(isinstance(one, Guard) for one in gc.get_objects())


@pytest.mark.parametrize("protocol", PROTOCOLS, ids=lambda one: one.__name__)
def test_a_connection_that_is_over_leaves_nothing_behind(base: KnowledgeBase, protocol: type[asyncio.Protocol]) -> None:
    """Not even until cycles are looked for, which is seldom: many connections would fill the memory meanwhile."""
    wire = Wire(base, protocol, LIMITS)
    gc.collect()
    gc.disable()
    before = guards_in_memory()
    try:
        for sent in ([HEALTH], [CHUNKED, *[b""] * 9, b"zz\r\n"], [b"nonsense\r\n"], [HEALTH + POST]):
            wire(sent)
        assert guards_in_memory() <= before
    finally:
        gc.enable()


def test_an_absolute_address_is_read_as_its_path(wire: Wire) -> None:
    answers = wire([HEALTH.replace(b"/health", b"http://x:1/health?")]).answers
    assert [answer.status for answer in answers] == [200]


def test_a_batch_whose_framing_breaks_ends_with_a_problem_of_its_own(base: KnowledgeBase) -> None:
    head = CHUNKED.replace(b"/v1/pair", b"/v1/batch/pair").replace(b"/json", b"/x-ndjson")
    with serving(base, Settings(port=0)) as port, socket.create_connection(("127.0.0.1", port), timeout=10) as sock:
        sock.sendall(head + b"%x\r\n%b\n\r\n" % (len(BODY) + 1, BODY))
        written = sock.recv(65536)
        sock.sendall(b"zz\r\n")
        while more := sock.recv(65536):
            written += more
    lines = [json.loads(line) for line in written.splitlines() if line.startswith(b'{"index"')]
    assert [sorted(line) for line in lines] == [["answer", "index"], ["index", "problem"]]
    assert lines[1]["problem"]["type"] == "/problems/malformed-request"
