"""Signs, colours and the few shapes that all pages are made of.

Owns: how a verdict, a heading, a list look. Does not own: what stands in them.
A sign says what its colour says, so that nothing is lost without colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from schemas.verdict import Verdict

SIGNS: Mapping[Verdict, str] = MappingProxyType(
    {Verdict.COMPATIBLE: "✓", Verdict.CONDITIONAL: "~", Verdict.UNKNOWN: "?", Verdict.INCOMPATIBLE: "✗"}
)
_COLOURS = MappingProxyType(
    {
        Verdict.COMPATIBLE: "green",
        Verdict.CONDITIONAL: "yellow",
        Verdict.UNKNOWN: "cyan",
        Verdict.INCOMPATIBLE: "red",
    }
)
_SPOKEN = MappingProxyType({"id": "inside diameter", "od": "outside diameter"})
QUIET = "dim"
STRONG = "bold"


def colour(verdict: Verdict, strength: str = "") -> str:
    """Return the style for a verdict.

    >>> colour(Verdict.INCOMPATIBLE, STRONG)
    'bold red'
    """
    return f"{strength} {_COLOURS[verdict]}".strip()


def sign(verdict: Verdict) -> Text:
    """Return the sign of a verdict."""
    return Text(SIGNS[verdict], style=colour(verdict, STRONG))


def headline(verdict: Verdict, summary: str) -> Text:
    """Return the first line of an answer: the verdict as a word, then the summary."""
    return Text.assemble((f"{SIGNS[verdict]} {verdict.value.upper()}", colour(verdict, STRONG)), f"  {summary}")


def section(title: str, *blocks: RenderableType) -> Group:
    """Return blocks under a heading, with an empty line before it."""
    return Group(Text(), Text(title, style=STRONG), *blocks)


def bullets(items: Iterable[tuple[Text, RenderableType]]) -> Table:
    """Return a list whose long lines are indented behind their signs."""
    table = Table.grid(padding=(0, 1, 0, 0))
    table.add_column(width=3, justify="right", no_wrap=True)
    table.add_column(ratio=1, overflow="fold")
    for mark, block in items:
        table.add_row(mark, block)
    return table


def columns(*titles: str) -> Table:
    """Return an empty table without frame; a narrow terminal folds cells, it never cuts them."""
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_header=any(titles))
    for title in titles:
        table.add_column(title, overflow="fold", justify="left")
    return table


def indented(block: RenderableType, cells: int = 2) -> Padding:
    """Return a block moved to the right."""
    return Padding(block, (0, 0, 0, cells), expand=False)


def foot(kb_version: str, hint: str = "") -> Group:
    """Return the last line: which tables answered."""
    return Group(Text(), Text(f"Tables {kb_version}{hint}", style=QUIET))


def spoken_column(words: str) -> str:
    """Return the words of a column's name as people say them.

    >>> spoken_column("barb_od")
    'barb outside diameter'
    """
    return " ".join(_SPOKEN.get(word, word) for word in words.replace("_", " ").split())
