"""What README.md shows of the service happens: python, curl and JavaScript against a live one."""

from __future__ import annotations

import contextlib
import io
import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from urllib.request import urlopen

import pytest
from readme_commands import PAGE, first_answer

import api.notebook  # noqa: F401 - README calls it
from api.client import Client
from schemas.questions.questions import PairQuestion

SHOWN = "http://127.0.0.1:8000"
PATIENCE_S = 30
LANGUAGES = ("python", "bash", "js", "")
ASKING = {language: [text for text in PAGE.texts(language) if SHOWN in text] for language in LANGUAGES}
needs_curl = pytest.mark.skipif(shutil.which("curl") is None or shutil.which("bash") is None, reason="no curl here")


def run(command: list[str], given: str = "") -> str:
    done = subprocess.run(command, input=given, capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_every_block_is_tried_here_or_without_a_service() -> None:
    assert {language: len(texts) for language, texts in ASKING.items()} == {"python": 1, "bash": 1, "js": 1, "": 1}
    assert {block.language for block in PAGE.blocks} == {"", "bash", "console", "js", "python"}
    assert len(PAGE.texts("python")) == len(ASKING["python"]) + 1  # the first one, in ../test_readme.py


def test_python_prints_the_first_answer_in_five_lines(address: str) -> None:
    [code] = ASKING["python"]
    assert len([line for line in code.splitlines() if line.strip()]) <= 5
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(code.replace(SHOWN, address), "README.md", "exec"), {})
    assert printed.getvalue() == first_answer()


def test_calls_in_running_text_can_be_made(address: str) -> None:
    calls = [dimension for dimension in PAGE.dimensions() if re.match(r"(service\.|Client\(|api\.notebook)", dimension)]
    with Client(address) as service:
        answer = service.pair("thread/g-1-4", "thread/npt-1-4")
        questions = [PairQuestion(a="thread/g-1-4", b="thread/npt-1-4")]
        known = globals() | {"service": service, "address": address, "answer": answer, "questions": questions}
        for call in calls:
            reported = eval(call, known)
            assert next(reported) if isinstance(reported, Iterator) else reported, call
    assert len(calls) == 4


@needs_curl
def test_curl_gets_an_entry_a_line(address: str) -> None:
    [script] = ASKING["bash"]
    lines = run(["bash", "-euo", "pipefail", "-c", script.replace(SHOWN, address)]).splitlines()
    first, second = map(json.loads, lines)
    assert first["answer"]["findings"]
    assert "thread/g-1-4" in second["problem"]["errors"][0]["nearest"]


@needs_curl
def test_curl_gets_an_answer(address: str) -> None:
    [script] = ASKING[""]
    assert json.loads(run(["bash", "-c", script.replace(SHOWN, address)]))["verdict"]


@pytest.mark.skipif(shutil.which("node") is None, reason="no node here")
def test_javascript_prints_the_first_answer(address: str) -> None:
    [script] = ASKING["js"]
    assert run(["node", "--input-type=module", "-"], script.replace(SHOWN, address)) == first_answer()


def test_paths_in_running_text_are_served(address: str) -> None:
    with urlopen(f"{address}/openapi.json", timeout=PATIENCE_S) as response:
        described = json.load(response)["paths"]
    shown = {dimension for dimension in PAGE.dimensions() if re.fullmatch(r"/[a-z][\w./-]*", dimension)}
    assert "/docs" in shown
    for path in shown - described.keys():
        with urlopen(f"{address}{path}", timeout=PATIENCE_S) as response:
            assert response.status == 200, path


def test_every_example_asks_an_address_that_there_is_with_what_it_takes(address: str) -> None:
    with urlopen(f"{address}/openapi.json", timeout=PATIENCE_S) as response:
        paths = json.load(response)["paths"]
    for language in ("bash", "js", ""):
        [code] = ASKING[language]
        [path] = re.findall(rf"{SHOWN}(/[\w/-]*)", code)
        [media_type] = re.findall(r"application/[\w-]+", code)
        assert media_type in paths[path]["post"]["requestBody"]["content"]
        assert 'method: "POST"' in code or "-X POST" in code
