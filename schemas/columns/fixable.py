"""An error that says what is wrong and what to do about it.

Owns: that shape. Does not own: errors with more to them (`kb/store/faults.py`), or the words around it.
"""

from __future__ import annotations


class FixableError(ValueError):
    """Something that cannot be taken as it stands.

    Attributes:
        what: what is wrong.
        fix: what to do about it.

    >>> str(FixableError("'1/' is no length", "write 1/4 in"))
    "'1/' is no length; write 1/4 in"
    """

    def __init__(self, what: str, fix: str) -> None:
        super().__init__(f"{what}; {fix}")
        self.what = what
        self.fix = fix
