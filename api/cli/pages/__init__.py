"""What each answer looks like as a page of text.

Owns: which page belongs to which answer. Does not own: the pages (one file a sort of answer), or printing
(`api/cli/render.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import RenderableType

    from api.cli.pages.names import Names
    from schemas.answers.answers import Answer

# by names, because a page is imported when its answer is printed: that of a pair needs nothing of loops
_WITH_NAMES = MappingProxyType(
    {
        "PairAnswer": "pair.pair_page",
        "LoopAnswer": "loop.loop_page",
        "SuitableAnswer": "suitable.suitable_page",
        "MatrixAnswer": "matrix.matrix_page",
        "MixAnswer": "mix.mix_page",
    }
)
_WITHOUT_NAMES = MappingProxyType(
    {
        "PartnersAnswer": "candidates.partners_page",
        "BetweenAnswer": "candidates.between_page",
        "FindAnswer": "candidates.find_page",
        "RecordAnswer": "rows.record_page",
        "RecordsAnswer": "rows.records_page",
        "VersionAnswer": "rows.version_page",
    }
)


def page_of(answer: Answer, names: Names) -> Iterator[RenderableType]:
    """Return the blocks of an answer's page, from top to bottom.

    Args:
        answer: any answer of the knowledge base.
        names: words for the ids in it.

    Raises:
        TypeError: if there is no page for this sort of answer.
    """
    sort = type(answer).__name__
    if sort in _WITH_NAMES:
        return _page(_WITH_NAMES[sort])(answer, names)
    if sort in _WITHOUT_NAMES:
        return _page(_WITHOUT_NAMES[sort])(answer)
    raise TypeError(f"no page for {sort}")


def _page(place: str) -> Callable[..., Iterator[RenderableType]]:
    module, _, function = place.partition(".")
    page: Callable[..., Iterator[RenderableType]] = getattr(import_module(f"api.cli.pages.{module}"), function)
    return page
