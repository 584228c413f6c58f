"""Every message is said somewhere, with the places that it declares; so rows of messages can be trusted to be all."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import kb
from kb.knowledge_base import KnowledgeBase
from kb.report.sentences.words import words
from schemas.messages import MESSAGES, Gap, Text
from schemas.tables.messages import Message

SOURCES = sorted(Path(kb.__file__).parent.rglob("*.py"))
NOTES = {message for message in Text if message.startswith("reading-")}  # chosen by the name of the note


def members_named(tree: ast.AST) -> Iterator[Gap | Text]:
    """Yield every message that code names as `Gap.NAME` or `Text.NAME`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in ("Gap", "Text"):
            yield Gap[node.attr] if node.value.id == "Gap" else Text[node.attr]


def calls_of_words(tree: ast.AST) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "words":
            yield node


def test_every_message_is_named_by_the_code_that_says_it() -> None:
    named = {one for path in SOURCES for one in members_named(ast.parse(path.read_text(encoding="utf-8")))}
    assert set(MESSAGES) - NOTES - named == set()


@pytest.mark.parametrize("path", [path for path in SOURCES if "words(" in path.read_text(encoding="utf-8")], ids=str)
def test_whoever_says_a_message_fills_its_places(path: Path) -> None:
    for call in calls_of_words(ast.parse(path.read_text(encoding="utf-8"))):
        filled = {keyword.arg for keyword in call.keywords}
        if None not in filled:  # places handed on as a whole: filled where they are made
            for message in members_named(call.args[1]):
                assert set(message.places) <= filled, f"{path.name}:{call.lineno} {message}"


@pytest.mark.parametrize("message", MESSAGES)
def test_every_message_can_be_said(base: KnowledgeBase, message: Gap | Text) -> None:
    places = {name: f"<{name} {{}}>" for name in message.places}
    sentence = words(base.snapshot, message, **places)
    remedy = base.snapshot.get(Message, message.row_id).remedy or ""
    said = sentence + remedy.format(**places)
    assert all(text in said for text in places.values())


def test_no_sentence_of_an_answer_is_left_in_code() -> None:
    """What ends with a full stop in code of sentences is a docstring, or does not reach anybody."""
    for path in (path for path in SOURCES if path.parent.name == "sentences"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        texts = [one.value for one in ast.walk(tree) if isinstance(one, ast.Constant) and isinstance(one.value, str)]
        documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
        docstrings = {ast.get_docstring(one, clean=False) for one in ast.walk(tree) if isinstance(one, documented)}
        assert [one for one in texts if " " in one.strip() and one.endswith(".") and one not in docstrings] == []
