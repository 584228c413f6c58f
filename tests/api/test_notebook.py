"""Answers in a notebook: tables that say what the answer says, and nothing that a browser would obey."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest

from api.http.openapi.examples import examples
from api.notebook import shown
from kb import KnowledgeBase
from schemas.answers.answers import Answer, FindAnswer

TAGS = {"table", "caption", "tr", "th", "td", "p", "em", "strong", "small"}
HOSTILE = "<script>alert('x')</script>&\"'"
EXAMPLES = {example.operation_id: example for example in examples()}

ABOUT_THE_SERVICE = {"list_problems", "explain_problem"}  # no tables gave these


class Page(HTMLParser):
    """Collects the tags and the text of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.text = ""
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not attrs
        self.open.append(tag)
        self.tags.add(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("operation_id", [name for name in EXAMPLES if name not in ABOUT_THE_SERVICE])
def test_every_answer_is_whole_html_of_a_few_plain_tags(base: KnowledgeBase, operation_id: str) -> None:
    answer = EXAMPLES[operation_id].answer(base)
    assert isinstance(answer, Answer)
    page = Page(shown(answer)._repr_html_())
    assert not page.open
    assert page.tags <= TAGS
    assert "table" in page.tags
    assert answer.kb_version in page.text


def test_a_pair_shows_verdict_reasons_and_cautions(base: KnowledgeBase) -> None:
    answer = base.pair("metal/aluminium-6061", "metal/copper")
    text = Page(shown(answer)._repr_html_()).text
    for words in ("incompatible", answer.summary, answer.findings[0].sentence, *(one.text for one in answer.cautions)):
        assert words in text


def test_what_an_asker_wrote_is_shown_and_not_obeyed() -> None:
    answer = FindAnswer(kb_version=HOSTILE, words=HOSTILE, readings=(HOSTILE,), candidates=())
    page = Page(shown(answer)._repr_html_())
    assert page.tags <= TAGS
    assert page.text.count(HOSTILE) == 3


def test_it_needs_no_knowledge_and_no_service() -> None:
    source = (Path(__file__).resolve().parents[2] / "api" / "notebook.py").read_text(encoding="utf-8")
    assert "fastapi" not in source
