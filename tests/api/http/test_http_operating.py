"""What operators see: metrics that add up, lines of JSON that show no content, readiness, a graceful end."""

from __future__ import annotations

import json
import logging
import re
from pathlib import Path

import pytest
from asgi_asking import Asker, Raw, got, posted
from live_service import exchange, serving

from api.http.app import create_app
from api.http.responses.logs import JsonLines, RequestLog, question_digest
from api.http.responses.metrics import MEDIA_TYPE
from api.http.settings import Settings
from kb import KnowledgeBase

PAIR = "/v1/pair?a=thread/g-1-4&b=thread/rp-1-4"
SAMPLE = re.compile(r'([a-z_]+)(?:\{((?:[a-z_]+="(?:[^"\\\n]|\\.)*",?)*)\})? (-?[0-9.e+-]+|\+Inf|NaN)')
LABEL = re.compile(r'([a-z_]+)="((?:[^"\\]|\\.)*)"')


def samples(text: str) -> dict[tuple[str, ...], float]:
    """Read the text exposition format strictly: every line is a comment or a sample, and no sample comes twice.

    Labels come in the order of their names.
    """
    found: dict[tuple[str, ...], float] = {}
    typed = set()
    assert text.endswith("\n")
    for line in text.splitlines():
        if line.startswith("# "):
            kind, name = line.split()[1:3]
            assert kind in {"HELP", "TYPE"}
            typed |= {name} if kind == "TYPE" else set()
            continue
        match = SAMPLE.fullmatch(line)
        assert match, line
        name, labels, value = match.groups()
        assert re.sub("_(bucket|sum|count)$", "", name) in typed or name in typed
        key = (name, *sorted(f"{label}={text}" for label, text in LABEL.findall(labels or "")))
        assert key not in found
        found[key] = float(value)
    return found


@pytest.fixture
def ask(base: KnowledgeBase) -> Asker:
    return Asker(create_app(base, Settings(log_requests=False)))


def test_requests_are_counted_by_method_address_and_status(ask: Asker) -> None:
    for request in (
        *[got(PAIR)] * 3,
        got(PAIR, "HEAD"),
        got("/v1/pair?a=x&b=y"),
        got("/nothing/at/all"),
        got("/ready"),
    ):
        ask(request)
    ask(posted("/v1/pair", b"{"))
    ask(got("/v1/rows/thread/g-1-4"))
    reply = ask(got("/metrics"))
    assert (reply.status, reply.headers["content-type"]) == (200, MEDIA_TYPE)
    found = samples(reply.body.decode())

    def requests(method: str, route: str, status: int) -> float:
        return found["wetted_requests_total", f"method={method}", f"route={route}", f"status={status}"]

    assert requests("GET", "/v1/pair", 200) == 3
    assert requests("HEAD", "/v1/pair", 200) == requests("GET", "/v1/pair", 422) == 1
    assert requests("POST", "/v1/pair", 400) == requests("GET", "none", 404) == requests("GET", "/ready", 200) == 1
    assert requests("GET", "/v1/rows/{kind}/{slug}", 200) == 1
    assert found["wetted_cached_responses_total", "route=/v1/pair"] == 3
    assert found["wetted_request_seconds_count", "route=/v1/pair"] == 6
    assert found["wetted_request_seconds_bucket", "le=+Inf", "route=/v1/pair"] == 6
    assert 0 < found["wetted_request_seconds_sum", "route=/v1/pair"] < 5


def test_names_in_metrics_stay_few_whatever_is_asked(ask: Asker) -> None:
    for number in range(50):
        ask(got(f"/v1/rows/thread/none-{number}"))
        ask(got(f"/none-{number}", f"ODD{number}"))
    found = samples(ask(got("/metrics")).body.decode())
    assert found["wetted_requests_total", "method=other", "route=none", "status=404"] == 50
    assert len([key for key in found if key[0] == "wetted_requests_total"]) == 2


def test_refused_connections_are_counted(base: KnowledgeBase) -> None:
    with serving(base, Settings(port=0, log_requests=False)) as port:
        exchange(port, b"nonsense\r\n\r\n")
        body = exchange(port, b"GET /metrics HTTP/1.1\r\nHost: x\r\n\r\n")[2]
    found = samples(body.decode())
    assert found["wetted_refused_connections_total", "problem=malformed-request"] == 1
    assert found["wetted_requests_total", "method=other", "route=none", "status=400"] == 1
    assert found["wetted_open_connections",] == 1


def test_what_answers_is_named(ask: Asker, base: KnowledgeBase) -> None:
    found = samples(ask(got("/metrics")).body.decode())
    assert found["wetted_info", "api_version=1.0.0", f"kb_version={base.version}"] == 1
    assert found["wetted_reloads_total",] == found["wetted_refused_reloads_total",] == 0
    ready = ask(got("/ready")).json()
    assert (ready["status"], ready["kb_version"], ready["last_refused"]) == ("ready", base.version, False)


def test_a_request_leaves_one_line_that_reports_its_digest_and_not_its_content(
    base: KnowledgeBase, capfd: pytest.CaptureFixture[str]
) -> None:
    ask = Asker(create_app(base))
    capfd.readouterr()
    ask(got(PAIR, headers=[(b"x-request-id", b"order-7")]))
    ask(got(PAIR))
    body = b'{"a": "secret-part", "b": "thread/g-1-4"}'
    length = (b"content-length", str(len(body)).encode())
    ask(Raw("POST", b"/v1/pair", chunks=(body,), headers=((b"content-type", b"application/json"), length)))
    lines = [json.loads(line) for line in capfd.readouterr().err.splitlines()]
    assert [line["status"] for line in lines] == [200, 200, 422]
    first, again, refused = lines
    assert set(first) == {
        *("time", "level", "event", "request_id", "method", "route", "status", "ms", "question", "kb_version")
    }
    assert (first["request_id"], first["route"], first["kb_version"]) == ("order-7", "/v1/pair", base.version)
    assert first["question"] == again["question"] == question_digest((b"/v1/pair", PAIR.split("?")[1].encode(), b""))
    assert refused["question"] not in {"", first["question"]}
    assert "secret-part" not in json.dumps(lines)
    assert "thread" not in json.dumps(lines)


@pytest.mark.parametrize(
    ("logger", "event"),
    [
        ("uvicorn.error", "server"),
        ("uvicorn", "server"),
        ("wetted.reloading", "wetted.reloading"),
        ("api.http.edge", "api.http.edge"),
    ],
)
def test_what_the_server_says_is_no_error_by_its_name(logger: str, event: str) -> None:
    record = logging.LogRecord(logger, logging.INFO, "", 0, "Started server process [%d]", (7,), None)
    line = json.loads(JsonLines().format(record))
    assert (line["level"], line["event"], line["message"]) == ("info", event, "Started server process [7]")


@pytest.mark.parametrize("method", ['G"ET', "GET\n{}", "X" * 5000, "ÄÖÜ"])
def test_a_hostile_method_does_not_break_a_line(tmp_path: Path, method: str) -> None:
    path = tmp_path / "log"
    with path.open("wb") as file:
        RequestLog(file.fileno()).write("id", method, "", 404, 0.001, (), "1")
    (line,) = path.read_text().splitlines()
    assert len(json.loads(line)["method"]) <= 20


def test_a_log_that_cannot_be_written_does_not_stop_answers() -> None:
    RequestLog(file=-1).write("id", "GET", "", 200, 0.001, (), "1")
