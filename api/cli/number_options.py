"""Options of the command line that take a number.

Owns: refusing what only looks like one, such as `1_0` or `+5`. Does not own: what a number is
(`schemas/columns/number_text.py`).
"""

from __future__ import annotations

from typing import Any

import click

from schemas.columns.number_text import number_in, whole_in


class WholeNumber(click.IntRange):
    """A whole number, within a range if one is given."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number.

        Raises:
            click.BadParameter: if it is none, or out of range.
        """
        if isinstance(value, str) and whole_in(value) is None:
            self.fail(f"{value!r} is not a whole number", param, ctx)
        return super().convert(value, param, ctx)


class Number(click.ParamType[float]):
    """A number with or without a point."""

    name = "float"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the number.

        Raises:
            click.BadParameter: if it is none.
        """
        number = number_in(value) if isinstance(value, str) else value
        if number is None:
            self.fail(f"{value!r} is not a number", param, ctx)
        return number
