"""The house: imports keep its laws, modules say what they own, kb holds ten rooms and two files."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("schemas", "kb", "api")
MODULES = sorted(path for package in PACKAGES for path in (ROOT / package).rglob("*.py"))
LONGEST_FILE = 520
ROOMS = {
    "bulk",
    "checks",
    "compatibility",
    "curation",
    "evidence",
    "formulas",
    "loops",
    "parts",
    "report",
    "store",
}
DATA = {"examples", "tables"}
FILES = {"__init__.py", "knowledge_base.py", "load.py", "py.typed"}


def test_imports_keep_the_laws_of_the_house() -> None:
    """The laws stand in pyproject.toml, `[tool.importlinter]`."""
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"]
    done = subprocess.run([*command, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_kb_holds_its_rooms_its_data_and_nothing_else() -> None:
    found = {path.name for path in (ROOT / "kb").iterdir() if path.name != "__pycache__"}
    assert found == ROOMS | DATA | FILES


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_module_says_what_it_owns(path: Path) -> None:
    words = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    assert words
    assert path.name == "__init__.py" or "Owns:" in words


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_grows_beyond_one_subject(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_nothing_private_of_the_server_or_the_framework_is_leaned_on() -> None:
    for path in (ROOT / "api").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import | ast.ImportFrom) else []
            parts = [part for name in names for part in name.split(".")]
            private = [part for part in parts if part.startswith("_") and not part.endswith("__")]
            assert not private, path
