"""Requests that mean harm or come from broken clients: never a 5xx, always a problem document."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from asgi_asking import Asker, Raw, got, posted, require_problem

from api.http.requests.echo import LONGEST_ECHO
from api.http.requests.field_errors import MOST_PROBLEMS

JSON = (b"content-type", b"application/json")
LONG = b"a" * 5000


def pair_with(a: bytes) -> Raw:
    return posted("/v1/pair", b'{"a": ' + a + b', "b": "thread/g-1-4"}')


def headed(*headers: tuple[bytes, bytes]) -> Raw:
    return Raw("POST", b"/v1/pair", chunks=(b"{}",), headers=headers)


PUMP = {"kind": "pump", "ports": {"x": "port/g-1-4-loop"}}
BODIES = {
    "empty": b"",
    "blank": b" \n\t ",
    "not json": b"a=1&b=2",
    "cut off": b'{"a": "thread/g-1-4", "b"',
    "two values": b'{"a":1}{"b":2}',
    "trailing comma": b'{"a": "x", "b": "y",}',
    "single quotes": b"{'a': 'x'}",
    "comment": b'{/* x */ "a": "x", "b": "y"}',
    "byte-order mark": b'\xef\xbb\xbf{"a": "x", "b": "y"}',
    "utf-16": '{"a": "x"}'.encode("utf-16"),
    "latin-1": b'{"a": "\xe9", "b": "y"}',
    "overlong utf-8": b'{"a": "\xc0\xaf", "b": "y"}',
    "encoded surrogate": b'{"a": "\xed\xa0\x80", "b": "y"}',
    "lone high surrogate": rb'{"a": "\ud800", "b": "y"}',
    "lone low surrogate": rb'{"a": "\udfff", "b": "y"}',
    "surrogates the wrong way round": rb'{"a": "\udc00\ud800", "b": "y"}',
    "surrogate in a name": rb'{"\ud800": 1, "a": "x", "b": "y"}',
    "surrogate deep inside": rb'{"a": {"kind": "tube", "family": "\ud800"}, "b": "y"}',
    "raw control character": b'{"a": "x\x01", "b": "y"}',
    "raw nul": b'{"a": "x\x00", "b": "y"}',
    "nothing but nul": b"\x00" * 100,
    "same name twice": b'{"a": "thread/g-1-4", "a": "thread/g-1-2", "b": "y"}',
    "same name twice by escape": rb'{"a": "x", "\u0061": "z", "b": "y"}',
    "same name twice inside": b'{"a": {"kind": "tube", "kind": "thread"}, "b": "y"}',
    "nan": b'{"a": NaN, "b": "y"}',
    "infinity": b'{"a": {"kind": "tube", "od_mm": Infinity}, "b": "y"}',
    "minus infinity": b'{"a": {"kind": "tube", "od_mm": -Infinity}, "b": "y"}',
    "beyond double": b'{"a": {"kind": "tube", "od_mm": 1e999}, "b": "y"}',
    "beyond double, negative": b'{"a": {"kind": "tube", "od_mm": -1e999}, "b": "y"}',
    "whole number of 5000 digits": b'{"a": {"kind": "tube", "od_mm": ' + b"9" * 5000 + b'}, "b": "y"}',
    "whole number of 400 digits": b'{"a": {"kind": "tube", "od_mm": ' + b"9" * 400 + b'}, "b": "y"}',
    "deep lists": b"[" * 200_000 + b"]" * 200_000,
    "deep lists left open": b"[" * 1_000_000,
    "deep objects": b'{"a":' * 100_000 + b"1" + b"}" * 100_000,
    "a little too deep": b'{"a":' * 40 + b"1" + b"}" * 40,
    "list": b"[]",
    "text": b'"thread/g-1-4"',
    "number": b"5",
    "null": b"null",
    "true": b"true",
}
PARTS = {
    "number": b"5",
    "list": b"[1,2,3]",
    "list of objects": b'[{"kind": "tube"}]',
    "empty object": b"{}",
    "object with a list as kind": b'{"kind": ["tube"]}',
    "object with an object as kind": b'{"kind": {"a": 1}}',
    "object with a list as is": b'{"is": ["tube/soft-10x16"]}',
    "object with a number as is": b'{"is": 5}',
    "is of another kind": b'{"kind": "tube", "is": "thread/g-1-4"}',
    "is a table's other row": b'{"is": "source/iso-228-1"}',
    "rule as a part": b'"rule/acrylic-warm"',
    "nul in an id": rb'"thread/\u0000g-1-4"',
    "newline in an id": rb'"thread/g-1-4\n"',
    "right-to-left mark in an id": rb'"thread/\u202eg-1-4"',
    "emoji in an id": '"thread/\U0001f6bf"'.encode(),
    "query language in an id": b"\"thread/g-1-4' OR '1'='1\"",
    "path in an id": b'"../../etc/passwd"',
    "template in an id": b'"{{7*7}}${7*7}<%= 7 %>"',
    "markup in an id": b'"<script>alert(1)</script>"',
    "format in an id": b'"%s%n{0.__class__}"',
    "power as a length": b'{"kind": "tube", "od": "9**9**9 mm"}',
    "sum as a length": b'{"kind": "tube", "od": "1+1 in"}',
    "division by zero as a length": b'{"kind": "tube", "od": "1/0 in"}',
    "arabic digits as a length": '{"kind": "tube", "od": "\u0661\u0662 mm"}'.encode(),
    "long text as a length": b'{"kind": "tube", "od": "' + b"1" * 100_000 + b' mm"}',
    "list as a length": b'{"kind": "tube", "od_mm": [1]}',
    "truth as a length": b'{"kind": "tube", "od_mm": true}',
    "truth as a tolerance": b'{"kind": "tube", "od_mm": 16, "od_tolerance_mm": false}',
    "number as text": b'{"kind": "tube", "od_mm": 16, "od_tolerance_mm": "0.1"}',
    "tiny length": b'{"kind": "tube", "od_mm": 5e-324, "id_mm": 1e-300}',
    "thread without pitch": b'{"kind": "thread", "threads_per_inch": 1e-300}',
    "inside out": b'{"kind": "tube", "od_mm": 1, "id_mm": 999}',
    "port on an unknown thread": b'{"kind": "port", "thread": "thread/none"}',
    "fitting whose end is a list": b'{"kind": "fitting", "ends": {"a": []}}',
    "fitting whose ends are a list": b'{"kind": "fitting", "ends": []}',
    "fitting in a fitting": b'{"kind": "fitting", "ends": {"a": {"kind": "barb", "ends": {}}}}',
    "dunder field": b'{"kind": "tube", "__class__": {}}',
}
REQUESTS = {
    "path with a lone percent": Raw("GET", b"/v1/rows/thread/%"),
    "path with a broken escape": Raw("GET", b"/v1/rows/thread/%g1"),
    "path with latin-1": Raw("GET", b"/v1/rows/thread/%e9"),
    "path with raw bytes": Raw("GET", b"/v1/rows/thread/\xff\xfe"),
    "path with a surrogate": Raw("GET", b"/v1/rows/thread/%ed%a0%80"),
    "path with an overlong slash": Raw("GET", b"/v1/rows/thread%c0%afg-1-4"),
    "path with nul": Raw("GET", b"/v1/tables/tubes%00"),
    "path with a line break": Raw("GET", b"/v1/tables/tubes%0d%0aX-Injected:%201"),
    "path with dots": Raw("GET", b"/v1/tables/../../etc/passwd"),
    "path with escaped dots": Raw("GET", b"/v1/tables/%2e%2e%2f%2e%2e%2fetc%2fpasswd"),
    "path with a double slash": Raw("GET", b"//v1/tables"),
    "path with a closing slash": Raw("GET", b"/v1/tables/"),
    "long path": Raw("GET", b"/v1/rows/thread/" + LONG),
    "asset outside": Raw("GET", b"/docs/..%2f..%2fpyproject.toml"),
    "unknown problem": Raw("GET", b"/problems/%3Cscript%3E"),
    "query with a broken escape": Raw("GET", b"/v1/find", b"words=%zz"),
    "query with latin-1": Raw("GET", b"/v1/find", b"words=%e9"),
    "query with raw bytes": Raw("GET", b"/v1/find", b"words=\xff"),
    "query with nul": Raw("GET", b"/v1/find", b"words=a%00b"),
    "query with a surrogate": Raw("GET", b"/v1/find", b"words=%ed%a0%80"),
    "query with a c1 control": Raw("GET", b"/v1/find", b"words=%c2%85"),
    "query with a delete character": Raw("GET", b"/v1/find", b"words=a%7f"),
    "query with an empty name": Raw("GET", b"/v1/find", b"words=x&=5"),
    "query with the same name by escape": Raw("GET", b"/v1/find", b"words=x&%77ords=y"),
    "query with brackets": Raw("GET", b"/v1/find", b"words[]=x"),
    "query without words": Raw("GET", b"/v1/find", b"words="),
    "query with long words": Raw("GET", b"/v1/find", b"words=" + LONG),
    "query with a huge limit": Raw("GET", b"/v1/find", b"words=x&limit=" + b"9" * 5000),
    "query with a negative limit": Raw("GET", b"/v1/find", b"words=x&limit=-1"),
    "query with a fractional limit": Raw("GET", b"/v1/find", b"words=x&limit=1.5"),
    "query with an exponent": Raw("GET", b"/v1/find", b"words=x&limit=1e1"),
    "query with arabic digits": Raw("GET", b"/v1/find", "words=x&limit=\u0665".encode()),
    "query with ten thousand names": Raw("GET", b"/v1/find", b"&".join(b"p%d=1" % n for n in range(10_000))),
    "condition without a name": Raw("GET", b"/v1/pair", b"a=thread/g-1-4&b=thread/g-1-4&condition.=1"),
    "condition nan": Raw("GET", b"/v1/pair", b"a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature=nan"),
    "condition infinite": Raw("GET", b"/v1/pair", b"a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature=1e999"),
    "condition empty": Raw("GET", b"/v1/pair", b"a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature="),
    "table with an odd limit": Raw("GET", b"/v1/tables/tubes", b"limit=0x10"),
    "no content type": headed(),
    "form": headed((b"content-type", b"application/x-www-form-urlencoded")),
    "multipart": headed((b"content-type", b"multipart/form-data; boundary=x")),
    "other json": headed((b"content-type", b"application/vnd.x+json")),
    "other charset": headed((b"content-type", b"application/json; charset=utf-16")),
    "odd bytes as content type": headed((b"content-type", b"\xff" * 500)),
    "compressed": headed(JSON, (b"content-encoding", b"gzip")),
    "length that is no number": headed(JSON, (b"content-length", b"many")),
    "length beyond all": headed(JSON, (b"content-length", b"9" * 5000)),
    "body in crumbs": Raw("POST", b"/v1/pair", chunks=tuple(bytes([byte]) for byte in b'{"a": 1}')),
    "odd method": Raw("BREW", b"/v1/pair"),
    "long method": Raw("X" * 5000, b"/v1/pair"),
    "trace": Raw("TRACE", b"/v1/pair"),
    "delete a row": Raw("DELETE", b"/v1/rows/thread/g-1-4"),
    "query parameters on a post": Raw("POST", b"/v1/pair", b"a=1", chunks=(b"{}",)),
    "loop to itself": posted("/v1/loop", {"parts": {"a": PUMP}, "runs": [{"from": "a.x", "to": "a.x"}]}),
    "loop of unknown ports": posted("/v1/loop", {"parts": {"a": PUMP}, "runs": [{"from": "a.y", "to": "b.z"}]}),
    "loop of too many parts": posted("/v1/loop", {"parts": {f"p{n}": PUMP for n in range(500)}}),
    "loop of ten thousand mistakes": posted("/v1/loop", {"parts": {f"P{n}": n for n in range(10_000)}}),
}
WATER = {"is": "fluid/distilled-water"}
MIX = {"glycol": "propylene-glycol", "concentrate_parts": 1, "water_parts": 3}
CHEMISTRY = {
    "fluid with an unknown quantity": posted("/v1/materials", {"fluid": WATER | {"properties": {"acidity": 7}}}),
    "fluid with a quantity of another sort": posted("/v1/materials", {"fluid": WATER | {"properties": {"od_mm": 7}}}),
    "fluid with a quantity in words": posted("/v1/materials", {"fluid": WATER | {"properties": {"ph": "7"}}}),
    "fluid with a quantity that is true": posted("/v1/materials", {"fluid": WATER | {"properties": {"ph": True}}}),
    "fluid with a quantity that is null": posted("/v1/materials", {"fluid": WATER | {"properties": {"ph": None}}}),
    "fluid with a list of quantities": posted("/v1/materials", {"fluid": WATER | {"properties": [7]}}),
    "fluid with ten thousand quantities": posted(
        "/v1/materials", {"fluid": WATER | {"properties": {f"q{number}": 1 for number in range(10_000)}}}
    ),
    "fluid with a long name of a quantity": posted("/v1/materials", {"fluid": WATER | {"properties": {"q" * 5000: 1}}}),
    "fluid with nan": posted("/v1/materials", b'{"fluid": {"is": "fluid/distilled-water", "properties": {"ph": NaN}}}'),
    "fluid beyond double": posted(
        "/v1/materials", b'{"fluid": {"is": "fluid/distilled-water", "properties": {"ph": 1e999}}}'
    ),
    "fluid at the edge of double": posted("/v1/materials", {"fluid": WATER | {"properties": {"ph": 1.7e308}}}),
    "fluid of negative ions": posted("/v1/materials", {"fluid": WATER | {"properties": {"chloride": -1e308}}}),
    "fluid with a quantity twice": posted(
        "/v1/materials", {"fluid": WATER | {"properties": {"ph": 7, "quantity/ph": 9}}}
    ),
    "fluid with an unknown additive": posted("/v1/materials", {"fluid": WATER | {"additives": ["additive/none"]}}),
    "fluid with a metal as additive": posted("/v1/materials", {"fluid": WATER | {"additives": ["metal/copper"]}}),
    "fluid with the same additive often": posted(
        "/v1/materials", {"fluid": WATER | {"additives": ["additive/benzotriazole"] * 20}}
    ),
    "fluid with too many additives": posted(
        "/v1/materials", {"fluid": WATER | {"additives": ["additive/benzotriazole"] * 21}}
    ),
    "fluid in a fluid": posted("/v1/materials", {"fluid": WATER | {"additives": [WATER]}}),
    "fluid like a tube": posted("/v1/materials", {"fluid": {"kind": "fluid", "is": "tube/soft-10x16"}}),
    "fluid like nothing": posted("/v1/materials", {"fluid": {"kind": "fluid"}}),
    "metal as a fluid": posted("/v1/materials", {"fluid": "metal/copper"}),
    "tube as a fluid": posted("/v1/materials", {"fluid": {"is": "tube/soft-10x16"}}),
    "family of fluids as materials": posted("/v1/materials", {"fluid": WATER, "family": "family/water"}),
    "tube as an additive": posted("/v1/fluids", {"parts": ["metal/copper"], "additives": ["tube/soft-10x16"]}),
    "fitting as an additive": posted("/v1/fluids", {"parts": ["metal/copper"], "additives": ["fitting/barb-10-g-1-4"]}),
    "fluid as a part": posted("/v1/fluids", {"parts": [WATER]}),
    "parts that are an object": posted("/v1/fluids", {"parts": {"0": "metal/copper"}}),
    "parts in parts": posted("/v1/fluids", {"parts": [["metal/copper"]]}),
    "null as a part": posted("/v1/fluids", {"parts": [None]}),
    "ten thousand parts": posted("/v1/fluids", {"parts": ["metal/copper"] * 10_000}),
    "fitting made of nothing": posted(
        "/v1/fluids", {"parts": [{"is": "fitting/barb-10-g-1-4", "materials": {"body": None}}]}
    ),
    "fitting of ten thousand materials": posted(
        "/v1/fluids",
        {"parts": [{"is": "fitting/barb-10-g-1-4", "materials": {f"r{n}": "metal/copper" for n in range(10_000)}}]},
    ),
    "fitting whose material is a list": posted(
        "/v1/fluids", {"parts": [{"is": "fitting/barb-10-g-1-4", "materials": {"body": ["metal/copper"]}}]}
    ),
    "metal with a line break": posted("/v1/fluids", {"parts": ["metal/x\n\x1b[31m"]}),
    "metal of markup": posted("/v1/fluids", {"parts": ["metal/<script>alert(1)</script>"]}),
    "metal written from right to left": posted("/v1/fluids", {"parts": ["metal/\u202ereppoc"]}),
    "metal without a name": posted("/v1/fluids", {"parts": ["metal/"]}),
    "block of a formula": posted(
        "/v1/loop", {"parts": {"a": PUMP | {"materials": {"body": "metal/=1+1"}}}, "fluid": WATER}
    ),
    "tube made of water": posted(
        "/v1/fluids", {"parts": [{"is": "tube/soft-10x16", "material": "fluid/distilled-water"}]}
    ),
    "block of ten thousand materials": posted(
        "/v1/loop", {"parts": {"a": PUMP | {"materials": {f"r{n}": "metal/copper" for n in range(10_000)}}}}
    ),
    "block of null roles": posted("/v1/loop", {"parts": {"a": PUMP | {"materials": {"body": None}}}, "fluid": WATER}),
    "block of a null map": posted("/v1/loop", {"parts": {"a": PUMP | {"materials": None}}, "fluid": WATER}),
    "block with a role without a name": posted(
        "/v1/loop", {"parts": {"a": PUMP | {"materials": {"": "metal/copper"}}}}
    ),
    "block with a null role": posted(
        "/v1/loop", b'{"parts": {"a": {"kind": "pump", "materials": {null: "metal/copper"}}}}'
    ),
    "block of nan area": posted(
        "/v1/loop",
        b'{"parts": {"a": {"kind": "pump", "ports": {"x": "port/g-1-4-loop"}, "areas_cm2": {"body": NaN}}}}',
    ),
    "block of no area": posted("/v1/loop", {"parts": {"a": PUMP | {"areas_cm2": {"body": 0}}}}),
    "block of tiny area": posted(
        "/v1/loop",
        {
            "parts": {
                "a": PUMP | {"materials": {"body": "metal/copper"}, "areas_cm2": {"body": 5e-324}},
                "b": PUMP | {"materials": {"body": "metal/aluminium-3003"}, "areas_cm2": {"body": 999_999}},
            },
            "fluid": WATER,
        },
    ),
    "loop filled with a metal": posted("/v1/loop", {"parts": {"a": PUMP}, "fluid": "metal/copper"}),
    "loop filled with a list": posted("/v1/loop", {"parts": {"a": PUMP}, "fluid": [WATER]}),
    "matrix of parts": posted("/v1/matrix", {"rows": "metal/copper", "columns": "fluid/distilled-water"}),
    "matrix of an inline part": posted("/v1/matrix", {"rows": WATER, "columns": "family/water"}),
    "matrix of everything": posted("/v1/matrix", {"rows": "family/material", "columns": "family/material"}),
    "matrix of tubes": posted("/v1/matrix", {"rows": "family/tube", "columns": "family/water"}),
    "matrix in an unknown form": got("/v1/matrix?rows=family/brass&columns=family/water&format=xml"),
    "matrix as a picture": got(
        "/v1/matrix?rows=family/brass&columns=family/water", headers=[(b"accept", b"image/png;q=1, */*;q=0")]
    ),
    "matrix for odd bytes": got(
        "/v1/matrix?rows=family/brass&columns=family/water", headers=[(b"accept", b"\xff" * 500)]
    ),
    "matrix for a long wish": got(
        "/v1/matrix?rows=family/brass&columns=family/water", headers=[(b"accept", b"a/b;q=0.1," * 1500)]
    ),
    "matrix for a wish of semicolons": got(
        "/v1/matrix?rows=family/brass&columns=family/water", headers=[(b"accept", b"a/b" + b"; " * 8000)]
    ),
    "mix of nothing": posted("/v1/mix", MIX | {"concentrate_parts": 0, "water_parts": 0}),
    "mix of less than nothing": posted("/v1/mix", MIX | {"water_parts": -1}),
    "mix of words": posted("/v1/mix", MIX | {"water_parts": "3"}),
    "mix of truth": posted("/v1/mix", MIX | {"water_parts": True}),
    "mix of nan": posted("/v1/mix", b'{"glycol": "propylene-glycol", "concentrate_parts": NaN, "water_parts": 1}'),
    "mix too hot": posted("/v1/mix", MIX | {"temperature_c": 101}),
    "mix too strong": posted("/v1/mix", MIX | {"concentrate_glycol_percent": 100.1}),
    "mix of the smallest": posted("/v1/mix", MIX | {"concentrate_parts": 5e-324, "water_parts": 0}),
    "mix of the smallest share": posted("/v1/mix", MIX | {"concentrate_glycol_percent": 5e-324}),
    "mix of the largest": posted("/v1/mix", MIX | {"concentrate_parts": 1e6, "water_parts": 0, "temperature_c": -40}),
    "mix without numbers by address": got("/v1/mix?glycol=propylene-glycol&concentrate_parts=&water_parts=1"),
    "mix of another glycol by address": got("/v1/mix?glycol=5&concentrate_parts=1&water_parts=1"),
    "parts with an empty place": got("/v1/fluids?parts=metal/copper,,elastomer/epdm"),
    "parts with nothing": got("/v1/fluids?parts="),
    "parts with commas alone": got("/v1/fluids?parts=" + "," * 500),
    "parts without end": got("/v1/fluids?parts=" + ",".join(["metal/copper"] * 1000)),
    "parts in brackets": got("/v1/fluids?parts[]=metal/copper"),
}
EXPECTED: dict[str, str] = json.loads((Path(__file__).parent / "hostile" / "expected.json").read_text("utf-8"))
ADDRESSES = (
    "/v1/partners",
    "/v1/between",
    "/v1/find",
    "/v1/loop",
    "/v1/fluids",
    "/v1/materials",
    "/v1/matrix",
    "/v1/mix",
)
CORPUS = (
    {f"body: {name}": posted("/v1/pair", body) for name, body in BODIES.items()}
    | {f"part: {name}": pair_with(part) for name, part in PARTS.items()}
    | {f"request: {name}": request for name, request in REQUESTS.items()}
    | {f"chemistry: {name}": request for name, request in CHEMISTRY.items()}
)


@pytest.mark.parametrize("name", CORPUS)
def test_hostile_request_ends_as_expected(ask: Asker, name: str) -> None:
    reply = ask(CORPUS[name])
    assert reply.status < 500, reply.body
    status, _, slug = EXPECTED[name].partition(" ")
    assert reply.status == int(status), reply.body
    if slug:
        assert require_problem(reply.status, reply.headers, reply.body).type == f"/problems/{slug}"


def test_every_hostile_request_has_one_expected_end() -> None:
    assert set(EXPECTED) == set(CORPUS)
    assert len(CORPUS) > 200


def test_a_refusal_never_sends_back_more_than_a_short_excerpt(ask: Asker) -> None:
    mark = "\u2603" * 40_000
    for path in ADDRESSES:
        for body in ({mark: 1}, {"a": mark, "b": [mark]}, {"parts": {mark: mark}}, {"parts": [mark] * 20}, mark):
            reply = ask(posted(path, body))
            assert 400 <= reply.status < 500
            assert reply.body.decode().count("\u2603") <= MOST_PROBLEMS * 4 * LONGEST_ECHO
            require_problem(reply.status, reply.headers, reply.body)


@pytest.mark.parametrize("name", BODIES)
@pytest.mark.parametrize("path", ADDRESSES)
def test_hostile_body_is_refused_at_every_address(ask: Asker, path: str, name: str) -> None:
    reply = ask(posted(path, BODIES[name]))
    assert 400 <= reply.status < 500, reply.body
    require_problem(reply.status, reply.headers, reply.body)


def test_a_path_of_any_text_is_answered_below_500(ask: Asker) -> None:
    for table in ("%F0%9F%9A%BF", "tubes%20", "TUBES", "tubes%2Fsoft", "tubes?after=%E2%80%AE", "tubes?family=tube/x"):
        assert ask(got(f"/v1/tables/{table}")).status < 500
