"""What all responses of the service share: tags, cached responses, pinned versions, names of requests, other origins,
what will go.
"""

from __future__ import annotations

import csv
import io
import itertools
import random
import re
from datetime import date

import pytest
from asgi_asking import Asker, Raw, got, posted, require_problem
from starlette.testclient import TestClient

from api.http.app import create_app
from api.http.openapi.deprecations import DEPRECATED, Deprecation
from api.http.requests.request_ids import FORM
from api.http.settings import Settings
from kb import KnowledgeBase

PAIR = "/v1/pair?a=thread/g-1-4&b=thread/rp-1-4"
KEPT = (PAIR, "/v1/tables", "/v1/rows/thread/g-1-4", "/v1/find?words=G+1/4&limit=3", "/v1/version", "/problems")
ORIGIN = (b"origin", b"https://shop.example")


def without_name(headers: dict[str, str]) -> dict[str, str]:
    return {name: value for name, value in headers.items() if name != "x-request-id"}


@pytest.mark.parametrize("address", KEPT)
def test_an_unchanged_answer_is_reported_so_without_its_body(client: TestClient, address: str) -> None:
    first = client.get(address)
    tag = first.headers["etag"]
    assert re.fullmatch('"[0-9a-f]{32}"', tag)
    for listed in (tag, f"W/{tag}", f'"x", {tag}', "*"):
        for method in ("GET", "HEAD"):
            again = client.request(method, address, headers={"If-None-Match": listed})
            assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
            assert again.headers["cache-control"] == first.headers["cache-control"]
            assert "content-length" not in again.headers
    assert client.get(address, headers={"If-None-Match": '"other"'}).content == first.content


def test_tags_differ_with_question_and_form(client: TestClient) -> None:
    matrix = "/v1/matrix?rows=family/brass&columns=family/water"
    tags = [client.get(address).headers["etag"] for address in (*KEPT, matrix, f"{matrix}&format=csv")]
    tags.append(client.get(matrix, headers={"Accept": "text/csv"}).headers["etag"])
    assert len(set(tags)) == len(tags)


def test_refusals_posted_answers_and_states_get_no_tag(client: TestClient) -> None:
    for reply in (
        client.get("/nothing"),
        client.get("/v1/pair?a=x&b=y"),
        client.get("/health"),
        client.post("/v1/pair", json={"a": "thread/g-1-4", "b": "thread/g-1-4"}),
    ):
        assert "etag" not in reply.headers


def test_a_refusal_stays_one_whatever_the_asker_claims_to_have(client: TestClient) -> None:
    assert client.get("/v1/pair?a=x&b=y", headers={"If-None-Match": "*"}).status_code == 422


@pytest.mark.parametrize("address", KEPT)
def test_what_is_asked_again_is_answered_alike_from_memory(base: KnowledgeBase, address: str) -> None:
    app = create_app(base)
    ask = Asker(app)
    first, again = ask(got(address)), ask(got(address))
    assert first.status == 200
    assert (again.status, again.body) == (first.status, first.body)
    assert without_name(dict(again.headers)) == without_name(dict(first.headers))
    assert first.headers["x-request-id"] != again.headers["x-request-id"]
    head = ask(got(address, "HEAD"))
    assert (head.body, head.headers["content-length"]) == (b"", str(len(first.body)))


def test_a_posted_question_is_answered_from_memory_only_to_the_same_bytes(
    base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    judge = base.pair
    monkeypatch.setattr(base, "pair", lambda **question: asked.append(question) or judge(**question))
    ask = Asker(create_app(base))
    body = b'{"a": "thread/g-1-4", "b": "thread/g-1-4"}'

    def post(content: bytes, **headers: bytes) -> int:
        sent = {b"content-type": b"application/json", b"content-length": b"%d" % len(content)}
        sent |= {name.replace("_", "-").encode(): value for name, value in headers.items()}
        return ask(Raw("POST", b"/v1/pair", chunks=(content,), headers=tuple(sent.items()))).status

    assert [post(body), post(body), len(asked)] == [200, 200, 1]
    assert [post(body.replace(b", ", b",")), len(asked)] == [200, 2]
    assert post(b'{"a": "thread/g-1-4", "a": "thread/g-1-4", "b": "thread/g-1-4"}') == 400
    assert post(body, content_type=b"text/plain") == 415
    assert post(body, content_encoding=b"gzip") == 415
    assert post(body[:-1]) == 400
    assert len(asked) == 2


def test_a_table_in_csv_has_the_cells_of_the_json_one_page_by_page(client: TestClient) -> None:
    address, lines = "/v1/tables/threads?limit=15&format=csv", []
    while address:
        response = client.get(address)
        assert response.headers["content-type"] == "text/csv; header=present; charset=utf-8"
        columns, *rows = csv.reader(io.StringIO(response.text, newline=""), strict=True)
        lines += [dict(zip(columns, row, strict=True)) for row in rows]
        address = response.links.get("next", {}).get("url")
    records = client.get("/v1/tables/threads?limit=200").json()["records"]
    assert len(lines) == len(records) > 15
    for line, record in zip(lines, records, strict=True):
        assert line.pop("withdrawn") == ("yes" if record["withdrawn"] else "no")
        assert set(line) == set(record["values"])
        reported = {name: value for name, value in record["values"].items() if not isinstance(value, (bool, list))}
        assert all(line[name] == ("" if value is None else str(value)) for name, value in reported.items())


def test_an_empty_page_in_csv_has_a_header(client: TestClient) -> None:
    assert client.get("/v1/tables/threads?after=thread/zzz&format=csv").text == "id,withdrawn\r\n"


def test_an_answer_in_one_form_is_not_given_to_who_wants_another(client: TestClient) -> None:
    address = "/v1/matrix?rows=family/brass&columns=family/water"
    for accept in ("application/json", "text/csv", "application/json", "text/csv"):
        assert client.get(address, headers={"Accept": accept}).headers["content-type"].startswith(accept)
    assert client.get(address, headers={"Accept": "image/png"}).status_code == 406


def test_ready_answers_stay_within_their_memory(base: KnowledgeBase) -> None:
    app = create_app(base, Settings(cache_bytes=100_000))
    ask = Asker(app)
    ids = base.snapshot.ids(("threads", "tubes"))
    for one, other in itertools.islice(itertools.combinations(ids, 2), 300):
        assert ask(got(f"/v1/pair?a={one}&b={other}")).status == 200
    cache = app.state.response_cache
    assert 0 < cache.bytes <= 100_000
    assert 5 < len(cache) < 100


def test_a_question_by_address_is_answered_like_the_same_posted(base: KnowledgeBase) -> None:
    ask = Asker(create_app(base, Settings(cache_bytes=0)))
    chance = random.Random(3)
    ids = base.snapshot.ids()
    addresses = [f"/v1/pair?a={chance.choice(ids)}&b={chance.choice(ids)}" for _ in range(30)]
    addresses += [f"{address}&condition.coolant-temperature={chance.randint(-5, 99)}" for address in addresses[:10]]
    for address in addresses:
        assert ask(got(address)).json() == ask(posted("/v1/pair", _as_question(address))).json()


def _as_question(address: str) -> dict[str, object]:
    given = dict(part.split("=") for part in address.partition("?")[2].split("&"))
    conditions = {name.removeprefix("condition."): float(value) for name, value in given.items() if "." in name}
    return {"a": given["a"], "b": given["b"], "conditions": conditions}


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("a=thread/g-1-4", 422),
        ("a=thread/g-1-4&b=", 422),
        ("a=thread/g-1-4&b=thread/nothing", 422),
        ("a=thread/g-1-4&b=thread/g-1-4&b=thread/g-1-4", 400),
        ("a=thread/g-1-4&b=thread/g-1-4&c=1", 400),
        ("a=thread/g-1-4&b=thread/g-1-4&condition.nothing=1", 422),
        ("a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature=warm", 422),
        ("a=thread/g-1-4&b=thread/g-1-4&condition.=1", 422),
        ("a=thread/g-1-4&b=%ff", 400),
        ("a=thread/g-1-4&b=%00", 400),
        ("a=thread/g-1-4&b=%zz", 400),
        (f"a=thread/g-1-4&b={'x' * 500}", 422),
    ],
)
def test_a_faulty_question_is_refused_each_time(ask: Asker, query: str, status: int) -> None:
    for _ in range(2):
        reply = ask(got(f"/v1/pair?{query}"))
        assert (reply.status, require_problem(reply.status, reply.headers, reply.body).status) == (status, status)


def test_every_answer_names_the_version_that_gave_it(ask: Asker, base: KnowledgeBase) -> None:
    for request in (got(PAIR), got(PAIR), got("/nothing"), got("/v1/loop"), got("/docs"), posted("/v1/pair", b"{")):
        assert ask(request).headers["wetted-version"] == base.version


def test_a_pinned_version_is_answered_from_or_refused(ask: Asker, base: KnowledgeBase) -> None:
    pin = b"wetted-version"
    for address in (PAIR, "/v1/tables", "/health"):
        assert ask(got(address, headers=[(pin, base.version.encode())])).status == 200
        for other in (b"2020.1.0+0123456789ab", b"", b"\xff", base.version.encode()[:-1], b"*"):
            reply = ask(got(address, headers=[(pin, other)]))
            problem = require_problem(reply.status, reply.headers, reply.body)
            assert (problem.type, problem.status) == ("/problems/version-not-served", 412)
            assert base.version in problem.detail + problem.errors[0].fix


def test_a_request_keeps_the_name_it_came_with(ask: Asker) -> None:
    for name in (b"order-7", b"0af7651916cd43dd8448eb211c80319c", b"a" * 100):
        reply = ask(got(PAIR, headers=[(b"x-request-id", name)]))
        assert reply.headers["x-request-id"] == name.decode()
        refused = ask(got("/nothing", headers=[(b"x-request-id", name)]))
        assert refused.json()["request_id"] == refused.headers["x-request-id"] == name.decode()


@pytest.mark.parametrize("name", [b"", b"a" * 101, b"<b>", b"a b", b"\xe9", b"-x", b"a\n"])
def test_a_name_that_is_not_sane_is_replaced(ask: Asker, name: bytes) -> None:
    made = ask(got("/nothing", headers=[(b"x-request-id", name)])).headers["x-request-id"]
    assert made.encode() != name
    assert re.fullmatch(FORM, made)


def test_other_origins_are_let_in_only_by_setting(base: KnowledgeBase) -> None:
    closed, some, everyone = (
        Asker(create_app(base, Settings(cors_origins=origins))) for origins in ((), ("https://shop.example",), ("*",))
    )
    for _ in range(2):  # the second answer comes from memory
        assert "access-control-allow-origin" not in closed(got(PAIR, headers=[ORIGIN])).headers
        allowed = some(got(PAIR, headers=[ORIGIN]))
        assert allowed.headers["access-control-allow-origin"] == "https://shop.example"
        assert (
            "access-control-allow-origin"
            not in some(got(PAIR, headers=[(b"origin", b"https://other.example")])).headers
        )
        assert everyone(got(PAIR, headers=[ORIGIN])).headers["access-control-allow-origin"] == "*"
    refused = some(got("/nothing", headers=[ORIGIN]))
    assert (refused.status, refused.headers["access-control-allow-origin"]) == (404, "https://shop.example")


def test_a_page_may_ask_before_it_asks(base: KnowledgeBase) -> None:
    asking = [ORIGIN, (b"access-control-request-method", b"POST")]
    some = Asker(create_app(base, Settings(cors_origins=("https://shop.example",))))
    reply = some(got("/v1/pair", "OPTIONS", asking))
    assert (reply.status, reply.body) == (204, b"")
    assert reply.headers["access-control-allow-origin"] == "https://shop.example"
    assert "POST" in reply.headers["access-control-allow-methods"]
    assert "content-type" in reply.headers["access-control-allow-headers"].lower()
    closed = Asker(create_app(base))(got("/v1/pair", "OPTIONS", asking))
    assert not [name for name in closed.headers if name.startswith("access-control")]


@pytest.mark.parametrize(
    ("path", "allow"),
    [("/v1/pair", "GET, HEAD, OPTIONS, POST"), ("/v1/loop", "OPTIONS, POST"), ("/", "GET, HEAD, OPTIONS")],
)
def test_options_names_the_methods_of_an_address(ask: Asker, path: str, allow: str) -> None:
    reply = ask(got(path, "OPTIONS"))
    assert (reply.status, reply.headers["allow"], reply.body) == (204, allow, b"")


def test_options_of_nothing_is_not_found_and_of_everything_is_answered(ask: Asker) -> None:
    assert ask(got("/nothing", "OPTIONS")).status == 404
    assert ask(Raw("OPTIONS", b"*", headers=())).status == 204


def test_an_address_that_will_go_says_so_in_every_answer(base: KnowledgeBase) -> None:
    going = (
        Deprecation("GET", "/v1/pair", date(2027, 1, 1), date(2027, 7, 1), "/v2/pair"),
        Deprecation("GET", "/v1/rows/{kind}/{slug}", date(2027, 1, 1)),
    )
    app = create_app(base, deprecated=going)
    ask = Asker(app)
    for request in (got(PAIR), got(PAIR), got(PAIR, "HEAD"), got("/v1/pair?a=x&b=y")):
        headers = ask(request).headers
        assert headers["deprecation"] == "@1798761600"
        assert headers["sunset"] == "Thu, 01 Jul 2027 00:00:00 GMT"
        assert '</v2/pair>; rel="successor-version"' in headers["link"]
    row = ask(got("/v1/rows/thread/g-1-4")).headers
    assert ("sunset" in row, row["deprecation"]) == (False, "@1798761600")
    assert "deprecation" not in ask(posted("/v1/pair", {"a": "thread/g-1-4", "b": "thread/g-1-4"})).headers
    described = ask(got("/openapi.json")).json()["paths"]
    assert described["/v1/pair"]["get"]["deprecated"] is True
    assert "deprecated" not in described["/v1/pair"]["post"]


def test_a_deprecated_address_exists_and_goes_after_it_was_announced(base: KnowledgeBase) -> None:
    paths = TestClient(create_app(base)).get("/openapi.json").json()["paths"]
    for one in DEPRECATED:
        assert one.method.lower() in paths[one.path]
        assert one.sunset is None or one.sunset > one.since
