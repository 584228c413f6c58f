"""The commands for curators: `wetted tables ...`, one file a command.

Owns: the group. Does not own: what the commands do.
"""

from __future__ import annotations

import click

from api.cli.tables.check import check


@click.group()
def tables() -> None:
    """Work on the tables."""


for _command in (check,):
    tables.add_command(_command)
