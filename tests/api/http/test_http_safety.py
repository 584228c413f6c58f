"""What the service keeps to, whoever asks: HEAD everywhere, closed pages, no look-alikes, no way to files, no root."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import duckdb
import pytest
from asgi_asking import Asker, got, posted, require_problem
from fastapi import FastAPI
from starlette.testclient import TestClient

from kb import KnowledgeBase
from kb.load import load_tables
from kb.store.duckdb_file import open_read_only, write_file
from schemas.questions.questions import MOST_PARTS

ROOT = Path(__file__).resolve().parents[3]
PAGES = ("/docs", "/problems", "/problems/unknown-id")
NOBODY = 65534
LONGEST_ANSWER_S = 3.0  # eight times what it takes here
REAL = "thread/g-1-4"
LOOK_ALIKES = {
    "cyrillic": "thre\u0430d/g-1-4",
    "greek": "thread/g-1-4".replace("e", "\u03b5"),
    "full width": "thread/\uff47-1-4",
    "other hyphen": "thread/g\u20111\u20114",
    "other slash": "thread\u2044g-1-4",
    "division slash": "thread\u2215g-1-4",
    "zero width space": "thread/g\u200b-1-4",
    "zero width joiner": "thread/g\u200d-1-4",
    "soft hyphen": "thread/g\u00ad-1-4",
    "byte-order mark": "\ufeffthread/g-1-4",
    "other digits": "thread/g-\u0661-4",
    "superscript": "thread/g-\u00b9-4",
    "combining mark": "thread/g\u0301-1-4",
    "variation selector": "thread/g-1-4\ufe0f",
    "capital": "THREAD/G-1-4",
    "blank behind": "thread/g-1-4 ",
    "no-break space before": "\u00a0thread/g-1-4",
    "tag characters": "thread/g-1-4\U000e0067",
    "right-to-left": "\u202e4-1-g/daerht\u202c",
}


def every_get(app: FastAPI) -> list[str]:
    described = TestClient(app).get("/openapi.json").json()
    return [*(path for path, operations in described["paths"].items() if "get" in operations), "/docs", "/openapi.json"]


def test_head_answers_wherever_get_does_with_the_same_head_and_no_body(app: FastAPI, client: TestClient) -> None:
    paths = every_get(app)
    assert len(paths) > 15
    for path in paths:
        address = path.replace("{kind}/{slug}", REAL).replace("{table}", "tubes").replace("{slug}", "unknown-id")
        named = {"X-Request-ID": "one-name"}  # problems tell it, and others grow longer
        get, head = client.get(address, headers=named), client.head(address, headers=named)
        assert (head.status_code, head.content) == (get.status_code, b""), address
        assert head.headers["content-length"] == get.headers["content-length"]
        assert head.headers["content-type"] == get.headers["content-type"]


@pytest.mark.parametrize("address", PAGES)
def test_a_page_can_neither_be_framed_nor_reached_into(client: TestClient, address: str) -> None:
    headers = client.get(address, headers={"Accept": "text/html"}).headers
    assert headers["content-security-policy"].startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["x-frame-options"] == "DENY"
    assert headers["cross-origin-opener-policy"] == headers["cross-origin-resource-policy"] == "same-origin"
    assert (headers["x-content-type-options"], headers["referrer-policy"]) == ("nosniff", "no-referrer")
    assert "geolocation=()" in headers["permissions-policy"]
    assert "set-cookie" not in headers


@pytest.mark.parametrize("name", LOOK_ALIKES)
def test_an_id_that_only_looks_like_one_is_none(ask: Asker, name: str) -> None:
    given = LOOK_ALIKES[name]
    for reply in (
        ask(posted("/v1/pair", {"a": given, "b": REAL})),
        ask(posted("/v1/pair", {"a": {"is": given}, "b": REAL})),
        ask(posted("/v1/partners", {"part": given})),
        ask(got("/v1/rows/" + "".join(f"%{byte:02x}" for byte in given.encode()))),
    ):
        assert 400 <= reply.status < 500, reply.body
        require_problem(reply.status, reply.headers, reply.body)


def test_the_largest_question_allowed_is_answered_in_time(base: KnowledgeBase, ask: Asker) -> None:
    """What bounds its time first is what a question may hold; counted is computing, whoever else is at work."""
    metals = base.snapshot.ids(("materials",))
    roles = ("body", "base-plate", "core", "tank", "top", "plating", "solder", "seal", "tube", "impeller")
    ports = {"x": "port/g-1-4-loop", "y": "port/g-1-4-loop"}
    fittings = ["fitting/compression-10x16-g-1-4"] * 8
    question = {
        "parts": {
            f"p{n}": {"kind": "pump", "ports": ports, "materials": dict(zip(roles, metals[n % 40 :], strict=False))}
            for n in range(MOST_PARTS)
        },
        "runs": [
            {"from": f"p{n}.x", "to": f"p{(n + 1) % MOST_PARTS}.y", "tube": "tube/soft-10x16"}
            | {"fittings_from": fittings, "fittings_to": fittings}
            for n in range(MOST_PARTS)
        ],
        "fluid": "fluid/distilled-water",
    }
    began = time.process_time()
    reply = ask(posted("/v1/loop", question))
    assert reply.status == 200, reply.body
    assert time.process_time() - began < LONGEST_ANSWER_S


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TABLE intruder (a INTEGER)",
        "DELETE FROM tubes",
        "SELECT * FROM read_csv('/etc/passwd')",
        "SELECT * FROM read_text('/etc/passwd')",
        "SELECT * FROM glob('/*')",
        "COPY tubes TO '/tmp/intruder.csv'",
        "ATTACH '/tmp/intruder.duckdb'",
        "EXPORT DATABASE '/tmp/intruder'",
        "INSTALL httpfs",
        "LOAD '/tmp/intruder.duckdb_extension'",
        "SET enable_external_access = true",
        "SET python_enable_replacements = true",
        "SET lock_configuration = false",
        "RESET lock_configuration",
        "PRAGMA threads = 8",
        "SELECT * FROM local_frame",
    ],
)
def test_the_frozen_tables_lead_nowhere(built: Path, statement: str) -> None:
    local_frame = __import__("pandas").DataFrame({"a": [1]})
    with open_read_only(built) as connection, pytest.raises(duckdb.Error):
        connection.execute(statement)
    assert len(local_frame) == 1


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("frozen") / "tables.duckdb"
    write_file(path, load_tables().rows)
    return path


def test_nothing_needs_a_writable_disk_or_another_user() -> None:
    """Start, answer and refuse as nobody, with no folder to write to."""
    code = (
        "import sys; sys.path.insert(0, '.')\n"
        "from starlette.testclient import TestClient\n"
        "from api.http.app import create_app\n"
        "import kb\n"
        "client = TestClient(create_app(kb.load()))\n"
        "print(client.get('/health').status_code, client.get('/v1/pair?a=thread/g-1-4&b=thread/g-1-4').status_code)"
    )
    environment = {"PATH": os.environ["PATH"], "HOME": "/proc/none", "WETTED_CACHE_DIR": "/proc/none/cache"}
    environment |= {"TMPDIR": "/proc/none", "PYTHONDONTWRITEBYTECODE": "1"}
    user = {"user": NOBODY, "group": NOBODY, "extra_groups": []} if can_be_nobody() else {}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True, check=False, **user
    )
    assert done.stdout.split() == ["200", "200"], done.stderr[-2000:]


def can_be_nobody() -> bool:
    """Return whether this process may become nobody, and nobody could read the interpreter and the code."""
    if os.getuid() != 0:
        return False
    look = [sys.executable, "-c", f"open({str(ROOT / 'kb' / 'base.py')!r})"]
    try:
        return not subprocess.run(look, user=NOBODY, group=NOBODY, capture_output=True, check=False).returncode
    except OSError:
        return False


def test_no_answer_holds_what_only_the_machine_knows(client: TestClient) -> None:
    secrets = (str(ROOT), os.environ.get("HOME", "/root") + "/", sys.prefix)
    for address in ("/", "/health", "/v1/version", "/v1/tables", "/openapi.json", "/problems", "/nothing", "/v1/pair"):
        text = client.get(address).text
        assert not [one for one in secrets if one in text]
    assert json.loads(client.get("/nothing").text)["instance"] == "/nothing"
