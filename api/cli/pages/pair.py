"""The page for two parts.

Owns: the order of its sections. Does not own: the look of reasons (`reasons.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import RenderableType
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, bullets, foot, headline, section, sign
from api.cli.pages.names import WITH, Names
from schemas.answers.answers import Finding, PairAnswer

_STATE_YOURS = "--condition ph=7.5, or properties in the fluid's JSON"


def pair_page(answer: PairAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: verdict, what decides, what fixes it, the rest in brief, cautions, sources."""
    yield headline(answer.verdict, answer.summary)
    yield Text(_what_was_judged(answer), style=QUIET)
    found = answer.findings
    decides, also = reasons.deciding(found, answer.verdict), reasons.lesser(found, answer.verdict)
    shown: set[str] = set()
    with_places = _is_of_substances(answer) and len({one.place for one in found}) > 1
    yield reasons.strength(answer)
    yield from reasons.left_to_do(answer.requirements)
    if decides:
        yield section("What decides", reasons.in_full(decides, names, shown, with_places))
    if also:
        yield section("What else to know", reasons.in_full(also, names, shown, with_places))
    yield from reasons.remedies((*decides, *also))
    yield from reasons.suggestions(found)
    well, noted = reasons.fitting(found), reasons.notes(found)
    yield from reasons.settled(answer.requirements)
    yield from reasons.noted(noted, names, with_places)
    yield from reasons.in_vain(answer.unused)
    yield from _rest(answer, well, names, with_places)
    yield from reasons.cautions_and_sources(answer, (*decides, *also, *noted, *well))
    yield foot(answer.kb_version, "; every number with its row and source: --json")


def _what_was_judged(answer: PairAnswer) -> str:
    """Return the joint; substances have none, so both are named."""
    return f"{answer.a} with {answer.b}" if _is_of_substances(answer) else f"Joint: {answer.joint}"


def _is_of_substances(answer: PairAnswer) -> bool:
    return WITH in answer.joint


def _rest(answer: PairAnswer, well: Sequence[Finding], names: Names, with_places: bool) -> Iterator[RenderableType]:
    if well:
        yield section("What fits", *reasons.in_brief(well, names, with_places))
    circumstances = reasons.elsewhere(answer.findings, answer.verdict)
    if circumstances:
        yield section("Under other circumstances", reasons.in_circumstances(circumstances, names))
    yield from reasons.usual_values(answer.findings, _STATE_YOURS)
    if answer.others:
        items = ((sign(one.verdict), Text(f"{one.place}: {one.verdict.value}")) for one in answer.others)
        yield section("Other ways to join them", bullets(items))
