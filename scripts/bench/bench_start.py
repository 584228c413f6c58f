"""What starting the command line costs: CPU time of whole processes against an empty Python, median of seven.

Owns: the commands and how they are timed. Does not own: what a command does (`api/cli/`).
Run it inside the environment: `.venv/bin/python scripts/bench/bench_start.py`. Times are user and system time, so other
work on the machine disturbs them little; the ratio to `python -c pass` of the same run is what can be compared.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from pathlib import Path

RUNS = 7
PYTHON = (sys.executable, "-c", "pass")
WETTED = str(Path(sys.executable).with_name("wetted"))
COMMANDS = (
    ("--help",),
    ("pair", "tube/soft-10x16", "fitting/compression-10x16-g-1-4"),
    ("pair", "tube/soft-10x16", "fitting/compression-10x16-g-1-4", "--json"),
    ("pair", "metal/copper", "fluid/distilled-water"),
    ("pair", "tube/soft-10x16x", "fitting/compression-10x16-g-1-4"),
    ("find", "10/16 soft tube"),
    ("partners", "tube/soft-10x16"),
    ("loop", "example/first-loop"),
)


def cpu_s(command: tuple[str, ...]) -> float:
    """Return the median CPU time of a process in seconds, after one run that fills caches."""
    return statistics.median([_cpu_once_s(command) for _ in range(RUNS + 1)][1:])


def _cpu_once_s(command: tuple[str, ...]) -> float:
    # bytecode is cached as it is for everybody, even where the surroundings forbid it
    surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=surroundings)
    _, _, used = os.wait4(process.pid, 0)
    process.returncode = 0  # it has been waited for
    return used.ru_utime + used.ru_stime


def main() -> None:
    """Print one line a command."""
    floor = cpu_s(PYTHON)
    print(f"{'python -c pass':<72}{floor * 1e3:6.0f} ms")
    for command in COMMANDS:
        used = cpu_s((WETTED, *command))
        print(f"{' '.join(('wetted', *command)):<72}{used * 1e3:6.0f} ms  {used / floor:5.1f} x")


if __name__ == "__main__":
    main()
