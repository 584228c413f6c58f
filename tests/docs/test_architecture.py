"""The house: imports run one way, faces hold no knowledge, modules say what they own."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HOUSES = ("schemas", "kb", "api")
MODULES = sorted(path for house in HOUSES for path in (ROOT / house).rglob("*.py"))
LONGEST_FILE = 520
ALLOWED = {"schemas": {"schemas"}, "kb": {"schemas", "kb"}, "api": {"schemas", "kb", "api"}}


def imported_houses(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    return {name.split(".")[0] for name in names} & set(HOUSES)


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_from_api_to_kb_to_schemas_and_never_back(path: Path) -> None:
    house = path.relative_to(ROOT).parts[0]
    assert imported_houses(path) <= ALLOWED[house]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_module_says_what_it_owns(path: Path) -> None:
    words = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    assert words
    assert path.name == "__init__.py" or "Owns:" in words


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_grows_beyond_one_subject(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


def test_the_knowledge_neither_prints_nor_serves() -> None:
    for path in (ROOT / "kb").rglob("*.py"):
        source = path.read_text(encoding="utf-8")
        assert "print(" not in source, path
        assert "fastapi" not in source, path
