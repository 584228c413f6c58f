"""Reference loops are read whole, and each can be asked today."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kb.curation.diff.loops import changed_loops, judge_loops, read_loops
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.verdict import Verdict


def test_there_are_a_dozen_loops_and_more_and_each_says_that_it_is_invented() -> None:
    loops = read_loops()
    assert len(loops) >= 12
    assert all("Invented" in (loop.question.note or "") for loop in loops)


def test_every_reference_loop_can_be_asked_and_they_differ(base: KnowledgeBase) -> None:
    judged = judge_loops(base, read_loops())
    assert [one.refusal for one in judged if one.refusal] == []
    assert {one.verdict for one in judged} >= {Verdict.CONDITIONAL, Verdict.UNKNOWN, Verdict.INCOMPATIBLE}


def test_a_loop_that_names_a_part_which_is_gone_says_so(base: KnowledgeBase) -> None:
    (loop, *_) = read_loops()
    gone = loop.question.model_copy(update={"fluid": "fluid/nowhere-1-known_"})
    before, after = judge_loops(base, [loop]), judge_loops(base, [type(loop)(loop.name, gone)])
    (change,) = changed_loops(before, after, {}, {})
    assert (change.before, change.after) == (before[0].verdict, None)
    assert "fluid/nowhere-1-known_" in change.refusals[0]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"{", "Expecting"),
        (b"\xff", "utf-8"),
        (b"[]", "valid"),
        (json.dumps({"parts": {}, "strange": 1}).encode(), "parts"),
    ],
)
def test_a_file_that_is_no_loop_is_refused_by_name(tmp_path: Path, content: bytes, words: str) -> None:
    (tmp_path / "bad.json").write_bytes(content)
    with pytest.raises(QuestionError) as refused:
        read_loops(tmp_path)
    assert "bad.json" in refused.value.field
    assert words in refused.value.what


def test_a_folder_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    with pytest.raises(QuestionError, match="no folder"):
        read_loops(tmp_path / "nowhere")
