"""The command `wetted`: the group of commands, and the one exit for every error.

Owns: what is called with which arguments, that a shell may ask for completions, and that an error ends in one line and
an exit code, never a traceback.
Does not own: the commands (one file a group), or the words for errors (`api/cli/errors.py`).
Nothing heavy is imported before a command needs it: `wetted --help` answers at once.
"""

from __future__ import annotations

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress

import click

from api.cli.commands.asking_commands import ASKING_COMMANDS
from api.cli.commands.bulk_command import BULK_COMMANDS
from api.cli.commands.chemistry_commands import CHEMISTRY_COMMANDS
from api.cli.commands.reading_commands import READING_COMMANDS
from api.cli.commands.service_commands import SERVICE_COMMANDS
from api.cli.errors import Failure, failure_of
from api.cli.exit_codes import ExitCode, exit_codes_help
from api.cli.render import remark, silence_output, write
from api.cli.tables import tables
from api.cli.versions import version_line

# so many new objects before the next look for cycles among them: imports and tables make very many, and hardly a cycle
# that a command would have to get rid of; looking for them more often took a fifth of a start
COLLECT_SELDOM = (50_000, 20, 100)
COMPLETION_VARIABLE = "_WETTED_COMPLETE"

_EXAMPLES = """\b
Examples:
  wetted pair fitting/barb-3-8-g-1-4 tube/soft-10x16
  wetted pair '{"is": "tube/soft-10x16", "id_mm": 9.8}' fitting/barb-10-g-1-4
  wetted find 10/16 soft tube
  wetted partners tube/soft-10x16 --kind fitting
  wetted pair metal/copper fluid/distilled-water
  wetted fluids metal/copper metal/brass-yellow
  wetted mix propylene-glycol --parts 1:3
"""


def _report_version(context: click.Context, _: click.Parameter, is_asked: bool) -> None:
    if is_asked and not context.resilient_parsing:
        write(version_line() + "\n")
        context.exit()


@click.group(
    name="wetted",
    epilog=f"{_EXAMPLES}\n{exit_codes_help()}",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_report_version,
    help="Print the versions of the program and of its tables, and stop.",
)
def wetted() -> None:
    """Say whether the parts of a custom liquid-cooling loop are compatible, with reasons and sources.

    A part is given as an id (tube/soft-10x16), as JSON describing a part by its spec sheet, as @FILE holding such
    JSON, or as the words of a spec sheet, if they can mean only one part. Materials, fluids and additives count
    as parts, too.
    """


for _command in (
    *ASKING_COMMANDS,
    *CHEMISTRY_COMMANDS,
    *READING_COMMANDS,
    *BULK_COMMANDS,
    *SERVICE_COMMANDS,
    tables,
):
    wetted.add_command(_command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    Args:
        arguments: the words after `wetted`; by default those of the process.
    """
    gc.set_threshold(*COLLECT_SELDOM)
    atexit.register(gc.freeze)  # what a process leaves behind goes with it: nobody looks through it once more
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        asked_by_shell = os.environ.get(COMPLETION_VARIABLE)
        if asked_by_shell:
            return _complete(asked_by_shell)
        with wetted.make_context("wetted", words) as context:
            return int(wetted.invoke(context) or ExitCode.DONE)
    except click.exceptions.Exit as done:
        return done.exit_code
    except click.exceptions.NoArgsIsHelpError as bare:
        bare.show()
        return ExitCode.NOT_A_QUESTION
    except BrokenPipeError:
        silence_output()
        return ExitCode.DONE
    except OSError as error:
        silence_output()  # what could not be written must not be tried again at exit
        return _report(failure_of(error))
    except (Exception, KeyboardInterrupt) as error:
        return _report(failure_of(error))


def _complete(instruction: str) -> int:
    """Print a shell's completion script (`bash_source`), or what completes the words it has (`bash_complete`)."""
    from click.shell_completion import shell_complete  # noqa: PLC0415 - shells alone ask for it

    with suppress(LookupError, ValueError):  # the shell's words are missing or make no sense
        if not shell_complete(wetted, {}, "wetted", COMPLETION_VARIABLE, instruction):
            return ExitCode.DONE
    what = f"{COMPLETION_VARIABLE}={instruction[:80]} asks for nothing that there is"
    raise click.UsageError(f"{what}: use bash_source, zsh_source or fish_source")


def _report(failure: Failure) -> int:
    for line in failure.lines:
        remark(line)
    return failure.code


if __name__ == "__main__":
    sys.exit(main())
