"""The page that ranks fluids for materials, or materials for a fluid.

Owns: its look. Does not own: the ranking.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import attrgetter

from rich.console import RenderableType
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, STRONG, bullets, foot, section, sign
from api.cli.pages.names import Names
from schemas.answers.answers import RankedSubstance, SuitableAnswer
from schemas.verdict import Verdict

_TITLES = {
    Verdict.COMPATIBLE: "Compatible",
    Verdict.CONDITIONAL: "Conditional: compatible under conditions",
    Verdict.UNKNOWN: "Unknown: not enough is known",
    Verdict.INCOMPATIBLE: "Incompatible",
}


def suitable_page(answer: SuitableAnswer, names: Names) -> Iterator[RenderableType]:
    """Yield the page: a section a verdict, neighbours of one reason together."""
    yield Text(f"Compatible with {_joined([names.title(one) for one in answer.asked])}, best first", style=STRONG)
    if not answer.suitable:
        yield Text("Nothing was found.")
    for verdict, of_verdict in groupby(answer.suitable, key=attrgetter("verdict")):
        yield section(_TITLES[verdict], *_reasons(tuple(of_verdict), names))
    yield from reasons.in_vain(answer.unused)
    more = "There are more: raise --limit. " if answer.more else ""
    yield Text()
    yield Text(f"{more}All reasons of one: wetted pair MATERIAL FLUID", style=QUIET)
    yield foot(answer.kb_version)


def _reasons(reported: Sequence[RankedSubstance], names: Names) -> Iterator[RenderableType]:
    for (reason, faults), alike in groupby(reported, key=attrgetter("reason", "faults")):
        more = f" (and {_count(faults - 1)})" if faults > 1 else ""
        lines = [(sign(one.verdict), Text.assemble((one.title, STRONG), (f"  {one.id}", QUIET))) for one in alike]
        yield bullets((*lines, (Text(), Text(f"{names.within(reason)}{more}", style=QUIET))))


def _joined(titles: Sequence[str]) -> str:
    """Return titles as people list them.

    >>> _joined(["copper"]), _joined(["copper", "tin", "lead"])
    ('copper', 'copper, tin and lead')
    """
    *others, last = titles
    return f"{', '.join(others)} and {last}" if others else last


def _count(number: int) -> str:
    return f"{number} more reason" if number == 1 else f"{number} more reasons"
