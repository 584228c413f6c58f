"""What each answer looks like as a page of text.

Owns: which page belongs to which answer. Does not own: the pages (one file a sort of answer), or printing
(`api/cli/render.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType

from api.cli.pages.candidates import between_page, find_page, partners_page
from api.cli.pages.loop import loop_page
from api.cli.pages.matrix import matrix_page
from api.cli.pages.mix import mix_page
from api.cli.pages.names import Names
from api.cli.pages.pair import pair_page
from api.cli.pages.rows import record_page, records_page, version_page
from api.cli.pages.suitable import suitable_page
from schemas.answers.answers import (
    Answer,
    BetweenAnswer,
    FindAnswer,
    MatrixAnswer,
    MixAnswer,
    PairAnswer,
    PartnersAnswer,
    RecordAnswer,
    RecordsAnswer,
    SuitableAnswer,
    VersionAnswer,
)
from schemas.answers.loop import LoopAnswer


def page_of(answer: Answer, names: Names) -> Iterator[RenderableType]:
    """Return the blocks of an answer's page, from top to bottom.

    Args:
        answer: any answer of the knowledge base.
        names: words for the ids in it.

    Raises:
        TypeError: if there is no page for this sort of answer.
    """
    match answer:
        case PairAnswer():
            return pair_page(answer, names)
        case LoopAnswer():
            return loop_page(answer, names)
        case SuitableAnswer():
            return suitable_page(answer, names)
        case MatrixAnswer():
            return matrix_page(answer, names)
        case MixAnswer():
            return mix_page(answer, names)
        case PartnersAnswer():
            return partners_page(answer)
        case BetweenAnswer():
            return between_page(answer)
        case FindAnswer():
            return find_page(answer)
        case RecordAnswer():
            return record_page(answer)
        case RecordsAnswer():
            return records_page(answer)
        case VersionAnswer():
            return version_page(answer)
    raise TypeError(f"no page for {type(answer).__name__}")
