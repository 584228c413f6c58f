"""The page for two parts.

Owns: the order of its sections. Does not own: the look of reasons (`reasons.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, bullets, foot, headline, section, sign
from schemas.answers import PairAnswer


def pair_page(answer: PairAnswer) -> Iterator[RenderableType]:
    """Yield the page: verdict, what decides, what mends it, the rest in brief, cautions, sources."""
    yield headline(answer.verdict, answer.summary)
    yield Text(f"Joint: {answer.joint}", style=QUIET)
    found = answer.findings
    decides, also = reasons.deciding(found, answer.verdict), reasons.milder(found, answer.verdict)
    shown: set[str] = set()
    if decides:
        yield section("What decides", reasons.in_full(decides, shown))
    if also:
        yield section("What else to know", reasons.in_full(also, shown))
    yield from reasons.mends((*decides, *also))
    yield from reasons.suggestions(found)
    yield from _rest(answer)
    yield from reasons.cautions_and_sources(answer)
    yield foot(answer.kb_version, "; every number with its row and source: --json")


def _rest(answer: PairAnswer) -> Iterator[RenderableType]:
    well, circumstances = reasons.fitting(answer.findings), reasons.elsewhere(answer.findings)
    if well:
        yield section("What fits", *reasons.in_brief(well))
    if circumstances:
        items = ((Text("-"), Text(one.sentence)) for one in circumstances)
        yield section("Under other circumstances", bullets(items))
    if answer.others:
        items = ((sign(one.verdict), Text(f"{one.place}: {one.verdict.value}")) for one in answer.others)
        yield section("Other ways to join them", bullets(items))
