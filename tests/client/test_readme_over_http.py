"""What README.md shows of the service happens: python, curl and JavaScript against a live one."""

from __future__ import annotations

import contextlib
import io
import json
import re
import shutil
import subprocess
from pathlib import Path
from urllib.request import urlopen

import pytest

README = (Path(__file__).resolve().parent.parent.parent / "README.md").read_text(encoding="utf-8")
SHOWN = "http://127.0.0.1:8000"
PATIENCE_S = 30


def block(language: str, place: int = 0) -> str:
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)[place]


def first_answer() -> str:
    """Return what the first python example of README prints; the others ask the same."""
    return re.findall(r"^prints\n```\n(.*?)^```", README, flags=re.MULTILINE | re.DOTALL)[0]


def run(command: list[str], given: str = "") -> str:
    done = subprocess.run(command, input=given, capture_output=True, text=True, timeout=PATIENCE_S, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_python_prints_the_first_answer_in_five_lines(address: str) -> None:
    code = block("python", 1)
    assert len([line for line in code.splitlines() if line.strip()]) <= 5
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(code.replace(SHOWN, address), "README.md", "exec"), {})
    assert printed.getvalue() == first_answer()


@pytest.mark.skipif(shutil.which("curl") is None or shutil.which("bash") is None, reason="no curl here")
def test_curl_gets_an_entry_a_line(address: str) -> None:
    lines = run(["bash", "-euo", "pipefail", "-c", block("bash").replace(SHOWN, address)]).splitlines()
    first, second = map(json.loads, lines)
    assert first["answer"]["findings"]
    assert "thread/g-1-4" in second["problem"]["errors"][0]["nearest"]


@pytest.mark.skipif(shutil.which("curl") is None or shutil.which("bash") is None, reason="no curl here")
def test_curl_gets_an_answer(address: str) -> None:
    command = re.findall(r"^curl [^\n]*\\\n[^\n]*$", README, flags=re.MULTILINE)[0]
    assert json.loads(run(["bash", "-c", command.replace(SHOWN, address)]))["verdict"]


@pytest.mark.skipif(shutil.which("node") is None, reason="no node here")
def test_javascript_prints_the_first_answer(address: str) -> None:
    printed = run(["node", "--input-type=module", "-"], block("js").replace(SHOWN, address))
    assert printed == first_answer()


def test_every_example_asks_an_address_that_there_is_with_what_it_takes(address: str) -> None:
    with urlopen(f"{address}/openapi.json", timeout=PATIENCE_S) as response:
        paths = json.load(response)["paths"]
    for language in ("bash", "js"):
        code = block(language)
        [path] = re.findall(rf"{SHOWN}(/[\w/-]*)", code)
        [media_type] = re.findall(r"application/[\w-]+", code)
        assert media_type in paths[path]["post"]["requestBody"]["content"]
        assert 'method: "POST"' in code or "-X POST" in code
