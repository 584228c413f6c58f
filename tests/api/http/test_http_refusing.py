"""Refusing is cheaper than asking: however much is wrong, no more is worked out than is reported."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest
from asgi_asking import Asker, got, posted, require_problem
from counted_calls import calls_of
from generated_requests import FORMS
from hypothesis import given
from hypothesis import settings as trying
from hypothesis import strategies as st

from api.http.app import create_app
from api.http.requests.field_errors import MOST_PROBLEMS
from api.http.requests.questions import WrongFieldsError, read_question
from api.http.requests.request_body import usable_json
from api.http.requests.strict_json import MOST_INSIDE, TooManyError, parse_json
from api.http.settings import Settings
from kb import KnowledgeBase

GOOD = "thread/g-1-4"
LARGEST_BODY_BYTES = 1024 * 1024
MOST_CALLS = 40_000  # that a refusal makes, whatever is wrong: some milliseconds; it took millions to tell them all
WRONG: tuple[Any, ...] = (1, None, True, "x" * 200, "", -1e300, [], [1], {}, {"kind": 5}, {"kind": "tube", "x": 1})


def refusal(model: type, value: Any) -> WrongFieldsError | None:
    try:
        read_question(model, value)
    except WrongFieldsError as error:
        return error
    return None


class Flood:
    """Makes questions up in which nearly everything is wrong, as large as they may be."""

    def __init__(self, model: type, chance: random.Random, most: int) -> None:
        schema = model.model_json_schema()  # type: ignore[attr-defined]
        self._named, self._root = schema.get("$defs", {}), schema
        self._chance, self._left = chance, most

    def question(self) -> Any:
        return self._of(self._root, 0)

    def _of(self, schema: dict[str, Any], depth: int) -> Any:
        self._left -= 1
        if "$ref" in schema:
            return self._of(self._named[schema["$ref"].rpartition("/")[2]], depth)
        options = schema.get("anyOf") or schema.get("oneOf")
        if options:
            return self._of(self._chance.choice(options), depth)
        if self._left > 0 and depth < 8 and self._chance.random() < 0.9:
            if schema.get("type") == "object":
                return self._object(schema, depth)
            if schema.get("type") == "array" and "items" in schema:
                return [self._of(schema["items"], depth + 1) for _ in range(self._many())]
        return schema.get("const", self._chance.choice(WRONG))

    def _object(self, schema: dict[str, Any], depth: int) -> dict[str, Any]:
        inside = schema.get("additionalProperties") or {}
        named = {name: self._of(one, depth + 1) for name, one in schema.get("properties", {}).items() if name != "id"}
        others = {f"n{number}.a": self._of(inside, depth + 1) for number in range(self._many())}
        return named | others

    def _many(self) -> int:
        return self._chance.choice((0, 1, 8, 200, MOST_INSIDE)) if self._left > 0 else 0


@trying(max_examples=40, deadline=None)
@given(st.sampled_from(list(FORMS.values())), st.randoms(use_true_random=False))
def test_a_question_of_many_faults_is_refused_after_the_first_of_them(model: type, chance: random.Random) -> None:
    asked = Flood(model, chance, most=20_000).question()
    refused: list[WrongFieldsError | None] = []
    assert calls_of(lambda: refused.append(refusal(model, asked))) < MOST_CALLS
    if refused[0] is not None:
        assert 0 < len(refused[0].problems) <= MOST_PROBLEMS


PUMP = {"kind": "pump", "is": "pump/x"}


def unknown(count: int) -> dict[str, int]:
    return {f"k{number}": number for number in range(count)}


def runs(**fields: Any) -> list[dict[str, Any]]:
    return [{"from": "a.b", "to": "c.d", **fields} for _ in range(400)]


FLOODS: dict[str, tuple[str, Any]] = {
    "names in every part of a loop": ("/v1/loop", {"parts": {f"p{n}": PUMP | unknown(400) for n in range(200)}}),
    "ports of every part of a loop": (
        "/v1/loop",
        {"parts": {f"p{n}": {"kind": "pump", "ports": dict.fromkeys(map(str, range(400)), 1)} for n in range(200)}},
    ),
    "fittings that are numbers": ("/v1/loop", {"parts": {"p": PUMP}, "runs": runs(fittings_to=[1] * 8, tube=1)}),
    "names in fittings": (
        "/v1/loop",
        {"parts": {"p": PUMP}, "runs": runs(fittings_to=[{"kind": "tube"} | unknown(12)] * 8)},
    ),
    "plugs that are numbers": ("/v1/loop", {"parts": {"p": PUMP}, "plugs": dict.fromkeys(unknown(900), 1)}),
    "circumstances that are texts": ("/v1/pair", {"a": GOOD, "b": GOOD, "conditions": dict.fromkeys(unknown(900), "")}),
    "verdicts that are none": ("/v1/partners", {"part": GOOD, "verdicts": ["x"] * 900}),
    "parts that are numbers": ("/v1/fluids", {"parts": [1] * 900}),
    "names in a part": ("/v1/pair", {"a": {"kind": "tube"} | unknown(900), "b": GOOD}),
    "names at the top": ("/v1/pair", {"a": GOOD, "b": GOOD} | unknown(900)),
    "ids that are too long": ("/v1/loop", {"parts": {"p": PUMP}, "runs": runs(fittings_to=["x" * 81] * 8)}),
}


@pytest.mark.parametrize("name", FLOODS)
def test_what_takes_most_to_refuse_takes_few_calls(name: str) -> None:
    path, body = FLOODS[name]
    value = parse_json(json.dumps(body).encode())
    assert calls_of(lambda: refusal(FORMS[path], value)) < MOST_CALLS


@pytest.mark.parametrize("name", FLOODS)
def test_a_flood_of_faults_gets_a_document_that_reports_the_first(ask: Asker, name: str) -> None:
    reply = ask(posted(*FLOODS[name]))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert (problem.status, problem.type) == (422, "/problems/invalid-question")
    assert 1 <= len(problem.errors) <= MOST_PROBLEMS
    if len(problem.errors) == MOST_PROBLEMS:
        assert problem.detail.endswith("19 more under errors, and there may be others.")


def too_many(where: str, count: int) -> Any:
    return {
        "at the top": {"a": GOOD, "b": GOOD} | unknown(count),
        "in a part": {"a": {"kind": "tube"} | unknown(count), "b": GOOD},
        "parts of a loop": {"parts": {name: {"kind": "pump"} for name in unknown(count)}},
        "circumstances": {"a": GOOD, "b": GOOD, "conditions": unknown(count)},
        "a list": {"parts": [1] * count},
        "a list in lists": {"a": [[1], [[2] * count]]},
    }[where]


PLACES = ("at the top", "in a part", "parts of a loop", "circumstances", "a list", "a list in lists")


@pytest.mark.parametrize(
    ("where", "count"),
    [*((where, count) for where in PLACES for count in (MOST_INSIDE + 1, 30_000)), ("in a part", 60_000)],
)
def test_more_than_any_question_can_use_is_refused_with_the_bound(ask: Asker, where: str, count: int) -> None:
    body = json.dumps(too_many(where, count), separators=(",", ":")).encode()
    assert len(body) < LARGEST_BODY_BYTES
    reply = ask(posted("/v1/pair", body))
    [error] = require_problem(reply.status, reply.headers, reply.body).errors
    assert reply.status == 422
    assert str(MOST_INSIDE) in error.fix


@pytest.mark.parametrize("where", PLACES)
def test_such_a_refusal_is_made_while_the_text_is_read(where: str) -> None:
    """Calls grow with objects, which the reader of JSON hands over one by one, and not with names or entries."""
    few, many = (json.dumps(too_many(where, count)).encode() for count in (MOST_INSIDE + 1, 30_000))
    objects = many.count(b"{") - few.count(b"{")

    def refused(body: bytes) -> None:
        with pytest.raises(TooManyError):
            parse_json(body)

    assert calls_of(lambda: refused(many)) - calls_of(lambda: refused(few)) <= 6 * objects + 1000


def test_as_many_as_a_question_can_use_are_read() -> None:
    for value in (unknown(MOST_INSIDE), {"a": [1] * MOST_INSIDE}, [unknown(1)] * (MOST_INSIDE + 1)):
        assert usable_json(json.dumps(value).encode()) == value


@pytest.mark.parametrize("count", [30, 2_000])
def test_of_many_unknown_parameters_the_first_are_named(ask: Asker, count: int) -> None:
    reply = ask(got("/v1/find?words=x&" + "&".join(f"p{number}=" for number in range(count))))
    problem = require_problem(reply.status, reply.headers, reply.body)
    assert [error.field for error in problem.errors] == [f"p{number}" for number in range(MOST_PROBLEMS)]
    assert "19 more" in problem.detail


@pytest.mark.parametrize(
    ("path", "query"),
    [
        ("/v1/find", "words=" + "x" * 20_000),
        ("/v1/pair", "&".join(f"condition.q{number}=1" for number in range(2_000))),
        ("/v1/fluids", "parts=" + ",".join(["metal/copper"] * 2_000)),
        ("/v1/rows/thread/" + "g" * 20_000, ""),
        ("/" + "%20" * 8_000, "a=b"),
    ],
)
@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "OPTIONS"])
def test_an_address_longer_than_any_head_is_refused_as_that(ask: Asker, method: str, path: str, query: str) -> None:
    reply = ask(got(f"{path}?{query}", method))
    assert reply.status == 414
    if method != "HEAD":
        problem = require_problem(reply.status, reply.headers, reply.body)
        assert (problem.type, "16384 bytes" in problem.detail) == ("/problems/url-too-long", True)


def test_the_longest_address_is_that_of_the_largest_head(base: KnowledgeBase) -> None:
    ask = Asker(create_app(base, Settings(largest_head_bytes=2048, log_requests=False)))
    start = "/v1/find?words="
    for length, status in ((2048, 422), (2049, 414)):
        assert ask(got(start + "x" * (length - len(start) + 1))).status == status  # the question mark is no part of it
