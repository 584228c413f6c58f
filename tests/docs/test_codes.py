"""The list of codes is complete, and its page is current."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from kb.checks.codes import all_codes

ROOT = Path(__file__).resolve().parents[2]


def test_every_code_in_the_code_is_listed_and_every_listed_one_is_in_its_file() -> None:
    listed = {one.code: one.file for one in all_codes()}
    sources = {path: path.read_text(encoding="utf-8") for path in (ROOT / "kb").rglob("*.py")}
    used = {code for text in sources.values() for code in re.findall(r'"([A-Z]{3}-\d{3})"', text)}
    assert used == set(listed)
    for code, file in listed.items():
        assert (ROOT / file).is_file()
        assert not file.startswith("kb/") or f'"{code}"' in sources[ROOT / file], code


def test_every_promise_is_one_sentence() -> None:
    for one in all_codes():
        assert re.fullmatch(r"[A-Z].*\.", one.promise), one.code


def test_the_page_of_codes_is_current() -> None:
    run = subprocess.run(
        [sys.executable, ROOT / "scripts" / "codes.py", "--check"], capture_output=True, text=True, check=False
    )
    assert (run.returncode, run.stdout) == (0, "CODES.md is current\n")
