"""What the exit codes of `wetted` mean, said once for programs and for the help texts.

Owns: the closed set of exit codes. Does not own: when an error is raised.

| code | meaning |
| --- | --- |
| 0 | compatible, or the command did its job |
| 1 | internal failure |
| 2 | the question cannot be asked as it stands |
| 3 | the tables were refused |
| 10, 11, 12 | conditional, unknown, incompatible |
| 130 | stopped with Ctrl-C |

A reader that closes the pipe early (`| head`) is no failure and changes no code.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum
from types import MappingProxyType

from schemas.verdict import Verdict


class ExitCode(IntEnum):
    """How a command ended."""

    DONE = 0
    FAILED = 1
    NOT_A_QUESTION = 2
    TABLES_REFUSED = 3
    CONDITIONAL = 10
    UNKNOWN = 11
    INCOMPATIBLE = 12
    INTERRUPTED = 130


MEANINGS: Mapping[ExitCode, str] = MappingProxyType(
    {
        ExitCode.DONE: "compatible, or the command did its job",
        ExitCode.FAILED: "internal failure",
        ExitCode.NOT_A_QUESTION: "cannot be asked like this: usage, unknown id, bad JSON",
        ExitCode.TABLES_REFUSED: "the tables were refused",
        ExitCode.CONDITIONAL: "conditional: compatible under conditions",
        ExitCode.UNKNOWN: "unknown: not enough is known",
        ExitCode.INCOMPATIBLE: "incompatible",
        ExitCode.INTERRUPTED: "stopped with Ctrl-C",
    }
)

_CODES = MappingProxyType(
    {
        Verdict.COMPATIBLE: ExitCode.DONE,
        Verdict.CONDITIONAL: ExitCode.CONDITIONAL,
        Verdict.UNKNOWN: ExitCode.UNKNOWN,
        Verdict.INCOMPATIBLE: ExitCode.INCOMPATIBLE,
    }
)


def exit_code_of(verdict: Verdict) -> ExitCode:
    """Return the exit code that tells a script the verdict.

    >>> exit_code_of(Verdict.INCOMPATIBLE).value
    12
    """
    return _CODES[verdict]


def exit_codes_help() -> str:
    r"""Return the table of exit codes for the end of a help text.

    >>> exit_codes_help().splitlines()[2]
    '    0  compatible, or the command did its job'
    """
    lines = [f"  {code.value:>3}  {meaning}" for code, meaning in MEANINGS.items()]
    return "\n".join(["\b", "Exit codes:", *lines])
