"""What starting costs those who do not serve."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    "module", ["kb", "schemas.questions.questions", "schemas.answers.answers", "api", "api.http.requests.strict_json"]
)
def test_the_web_framework_is_not_loaded_by(module: str) -> None:
    code = f"import sys, {module}; sys.exit(any(name in sys.modules for name in ('fastapi', 'starlette', 'uvicorn')))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
