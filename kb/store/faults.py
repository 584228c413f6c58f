"""What can be wrong with tables and with questions, as data.

Owns: the types of faults. Does not own: finding them (`kb/load.py`, `kb/checks/`, `kb/parts/resolver.py`) or printing
them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong in one table, with the place and the remedy.

    Attributes:
        file: file name inside the tables folder.
        line: line number in the file, 1 = header; 0 if the whole file is meant.
        column: column name, empty if the whole line is meant.
        code: permanent code of the check.
        row_id: id of the row, if it has one.
        what: what is wrong.
        fix: what to do.
    """

    file: str
    line: int
    column: str
    code: str
    row_id: str
    what: str
    fix: str

    def __str__(self) -> str:
        place = " ".join(part for part in (f"{self.file}:{self.line}", self.row_id, self.column) if part)
        return f"{place} {self.code}: {self.what}; fix: {self.fix}"


class TablesRefusedError(Exception):
    """The tables were not loaded, not even in part.

    Attributes:
        faults: everything that is wrong, in order of file and line.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(sorted(faults))
        super().__init__(f"{len(self.faults)} fault(s) in the tables:\n" + "\n".join(map(str, self.faults)))


class QuestionError(ValueError):
    """A question that cannot be asked as it stands.

    Attributes:
        field: path of the offending field, such as `a` or `runs.2.tube`.
        what: what is wrong with it.
        fix: what to do.
        nearest: valid ids or names close to what was given, nearest first.
        others: errors of other fields that were found with this one.
    """

    def __init__(self, field: str, what: str, fix: str, nearest: Sequence[str] = ()) -> None:
        self.field = field
        self.what = what
        self.fix = fix
        self.nearest = tuple(nearest)
        self.others: tuple[QuestionError, ...] = ()
        super().__init__(f"{field}: {what}; {fix}")

    @property
    def every(self) -> tuple[QuestionError, ...]:
        """This error and the others."""
        return (self, *self.others)


def refuse_all(errors: Sequence[QuestionError]) -> None:
    """Raise the first of several errors with all of them; nothing if there is none.

    Raises:
        QuestionError: if there is any.
    """
    if errors:
        errors[0].others = tuple(errors[1:])
        raise errors[0]
