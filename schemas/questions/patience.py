"""How long a question is looked through for faults: it is refused for one of them, and only a few are reported.

Owns: counting faults while a question is validated. Does not own: validating (`schemas/questions/questions.py`), or
the faults.
"""

from __future__ import annotations

from dataclasses import dataclass

MOST_FAULTS = 200  # several times as many as anybody is reported; one wrong place can count for seven


@dataclass(slots=True)
class Patience:
    """The faults found so far in one question; the context of its validation.

    Attributes:
        found: how many there are.
    """

    found: int = 0

    @property
    def is_spent(self) -> bool:
        """Return whether enough was found; what has not been looked at by now does not have to be."""
        return self.found >= MOST_FAULTS
