"""The commands for curators: `wetted tables ...`, one file a command.

Owns: the group. Does not own: what the commands do.
"""

from __future__ import annotations

import click

from api.cli.tables.check import check
from api.cli.tables.codes import codes
from api.cli.tables.cover import cover
from api.cli.tables.diff import diff
from api.cli.tables.new import new
from api.cli.tables.release import release
from api.cli.tables.tidy import tidy


@click.group()
def tables() -> None:
    """Work on the tables."""


for _command in (check, codes, cover, diff, new, release, tidy):
    tables.add_command(_command)
