"""The command `wetted tables codes`.

Owns: its arguments and lines. Does not own: the codes (`kb/checks/codes.py`).
"""

from __future__ import annotations

import click

from api.cli.commands.asking_commands import as_json_option
from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import write


@click.command(epilog=exit_codes_help())
@click.argument("code", required=False)
@as_json_option
def codes(code: str | None, as_json: bool) -> ExitCode:
    """Say what the codes of `wetted tables check` promise: one CODE, or all."""
    from kb.checks.codes import all_codes, reported_code  # noqa: PLC0415 - so that the help answers at once
    from schemas.answers.faults import CodesAnswer  # noqa: PLC0415

    answer = CodesAnswer(codes=(reported_code(code),) if code else all_codes())
    if as_json:
        write(answer.to_json_bytes(indent=2) + b"\n")
        return ExitCode.DONE
    for one in answer.codes:
        write(f"{one.code}  {one.promise}  [{one.file}]\n")
    return ExitCode.DONE
