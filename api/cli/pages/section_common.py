"""What the pages on flow, heat, filling and space have in common.

Owns: the lead of a section, its findings, and what was assumed or left out. Does not own: any one section.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, STRONG, colour, indented
from api.cli.pages.names import Names
from kb.report.sentences.findings import number_text
from schemas.answers.answers import Finding
from schemas.answers.assumed import AssumedValue
from schemas.verdict import Verdict


def lead(verdict: Verdict, words: str) -> Text:
    """Return the first line of a section: its verdict, then words."""
    return Text.assemble((f"  {verdict.value}", colour(verdict, STRONG)), words)


def subsection(title: str, *blocks: RenderableType) -> Group:
    """Return blocks under a quiet heading, with an empty line before it."""
    return Group(Text(), Text(f"  {title}", style=QUIET), *blocks)


def found(findings: Sequence[Finding], names: Names) -> Iterator[RenderableType]:
    """Yield what is wrong or open in a section, under the places it speaks of."""
    if findings:
        yield Text()
        yield reasons.by_place(findings, names, lambda place: Text(place, style=STRONG))


def more(name: str, words: str) -> RenderableType:
    """Return the hint at what a section asked for alone shows in addition."""
    return Group(Text(), indented(Text(f"More ({words}): --section {name}", style=QUIET)))


def assumed(values: Iterable[AssumedValue]) -> Iterator[RenderableType]:
    """Yield what nobody stated, in one line."""
    words = "; ".join(f"{one.title} {number_text(one.value, one.unit)}" for one in values)
    if words:
        yield Text()
        yield indented(Text(f"Assumed, as not specified: {words}.", style=QUIET))


def left_out(words: Sequence[str]) -> Iterator[RenderableType]:
    """Yield what a computation leaves out."""
    if words:
        yield indented(Text(f"Left out: {' '.join(words)}", style=QUIET))
