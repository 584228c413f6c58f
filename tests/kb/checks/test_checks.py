"""What holds for all checks together."""

from __future__ import annotations

import re
from pathlib import Path

from kb.checks import CHECKS


def test_every_check_has_a_code_of_its_own() -> None:
    codes = [check.CODE for check in CHECKS]
    assert len(set(codes)) == len(codes)
    assert all(re.fullmatch(r"[A-Z]{3}-\d{3}", code) for code in codes)


def test_every_file_with_a_code_is_run() -> None:
    folder = Path(CHECKS[0].__file__ or "").parent
    written = {path.stem for path in folder.glob("*.py") if "\nCODE = " in path.read_text()}
    assert written == {check.__name__.rpartition(".")[2] for check in CHECKS}


def test_every_check_has_tests() -> None:
    tested = {path.stem.removeprefix("test_") for path in Path(__file__).parent.glob("test_*.py")}
    assert {check.__name__.rpartition(".")[2] for check in CHECKS} <= tested


def test_every_promise_is_one_sentence() -> None:
    for check in CHECKS:
        assert re.fullmatch(r"[A-Z][^.]*\.", check.PROMISE), check.CODE


def test_no_check_looks_at_the_clock() -> None:
    folder = Path(CHECKS[0].__file__ or "").parent
    for path in folder.glob("*.py"):
        assert not re.search(r"\b(today|now|time)\(", path.read_text()), path.name
