"""What `schemas` offers under its own name."""

from __future__ import annotations

import subprocess
import sys

import pytest

import schemas


@pytest.mark.parametrize("name", schemas.__all__)
def test_questions_and_answers_can_be_imported_from_schemas(name: str) -> None:
    assert getattr(schemas, name).__name__ == name


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'Pears'"):
        schemas.Pears  # noqa: B018


def test_a_pair_question_loads_nothing_of_loops() -> None:
    code = "import sys; from schemas import PairQuestion; sys.exit('schemas.questions.loop' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
