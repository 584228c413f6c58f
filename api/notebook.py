"""Answers as tables in a notebook.

Owns: how an answer looks in HTML. Does not own: the answer (`schemas/answers/answers.py`) or its words
(`kb/report/sentences/findings.py`). Everything an answer says is escaped: some of it was written by whoever asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from html import escape
from typing import Any

from schemas.answers.answers import Answer, Finding
from schemas.answers.base import AnswerModel

_SUMMARY = frozenset({"findings", "sources", "cautions", "kb_version", "verdict", "summary"})


@dataclass(frozen=True, slots=True)
class Shown:
    """An answer that a notebook shows as tables.

    Attributes:
        answer: the answer.
    """

    answer: Answer

    def _repr_html_(self) -> str:
        """Return the answer as HTML; notebooks call this."""
        return "\n".join(_parts(self.answer))


def shown(answer: Answer) -> Shown:
    """Return an answer in a form that a notebook shows as tables.

    Args:
        answer: any answer, from the knowledge base or from a client.

    >>> from kb import load
    >>> "<table>" in shown(load().find("10/16"))._repr_html_()
    True
    """
    return Shown(answer)


def _parts(answer: Answer) -> Iterator[str]:
    verdict, summary = getattr(answer, "verdict", None), getattr(answer, "summary", None)
    if verdict is not None:
        yield f"<p><strong>{_text(verdict.value)}</strong> {_text(summary)}</p>"
    findings: tuple[Finding, ...] = getattr(answer, "findings", ())
    if findings:
        yield _table(("verdict", "reason", "remedy", "sources"), map(_finding_cells, findings), "reasons")
    plain = {name: value for name, value in _items(answer) if name not in _SUMMARY and not _is_table(value)}
    yield _table((), ((name, value) for name, value in plain.items() if value not in (None, ())), "")
    for name, value in _items(answer):
        if name not in _SUMMARY and _is_table(value):
            yield _records(name, value)
    for caution in getattr(answer, "cautions", ()):
        yield f"<p><em>{_text(caution.title)}</em> {_text(caution.text)}</p>"
    yield f"<p><small>tables {_text(answer.kb_version)}</small></p>"


def _finding_cells(finding: Finding) -> tuple[Any, ...]:
    return finding.verdict.value, finding.sentence, finding.remedy, finding.sources


def _is_table(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and isinstance(value[0], AnswerModel)


def _records(name: str, records: Sequence[AnswerModel]) -> str:
    heads = tuple(name for name, _ in _items(records[0]))
    return _table(heads, ([getattr(record, head) for head in heads] for record in records), name)


def _table(heads: Sequence[str], rows: Iterable[Sequence[Any]], caption: str) -> str:
    lines = ["<tr>" + "".join(f"<td>{_text(cell)}</td>" for cell in row) + "</tr>" for row in rows]
    if not lines:
        return ""
    head = "<tr>" + "".join(f"<th>{_text(one)}</th>" for one in heads) + "</tr>" if heads else ""
    title = f"<caption>{_text(caption)}</caption>" if caption else ""
    return f"<table>{title}{head}{''.join(lines)}</table>"


def _items(answer: AnswerModel) -> Iterator[tuple[str, Any]]:
    return ((field.name, getattr(answer, field.name)) for field in fields(answer))  # type: ignore[arg-type]


def _text(value: Any) -> str:
    """Return a cell's text, escaped: lists by commas, models field by field, nothing as nothing."""
    if value is None:
        return ""
    if isinstance(value, AnswerModel):
        return "; ".join(f"{_text(name)}: {_text(one)}" for name, one in _items(value) if one not in (None, ()))
    if isinstance(value, dict):
        return "; ".join(f"{_text(name)}: {_text(one)}" for name, one in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(map(_text, value))
    return escape(f"{value:g}" if isinstance(value, float) else str(value))
