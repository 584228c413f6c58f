"""Renews the lock files from pyproject.toml; arguments are passed on to pip-compile, e.g. `--upgrade`.

Owns: requirements.lock (to run), requirements-dev.lock (to test), requirements-outside.lock (outside carriers of
standard tables, installed without what they depend on, which is a CAD kernel).
Does not own: which packages are wanted (pyproject.toml), how they are installed (environment.py).

Needs Python 3.11, the oldest one supported, with `pip install pip-tools`.
"""

import json
import os
import subprocess
import sys

from environment import CHECKOUT, OLDEST_PYTHON

COMMAND = "python3.11 scripts/lock.py"
COMPILE = (
    "piptools",
    "compile",
    "--quiet",
    "--generate-hashes",
    "--no-emit-index-url",
    "--no-emit-trusted-host",
    "--no-emit-find-links",
    "--allow-unsafe",
    "--strip-extras",
    "--all-build-deps",
    "pyproject.toml",
    "--output-file",
)
OUTSIDE = ("bd-warehouse==0.4.0", "solidpython2==2.1.3")
# pip-compile leaves out what another platform needs; pytest needs this one on Windows.
WINDOWS_ONLY = "colorama==0.4.6"


def python(*arguments: str) -> str:
    """Run a module under this Python and return what it printed.

    No settings of pip and no local folders of packages have a say. Raises CalledProcessError when it fails.
    """
    hidden = ("PIP_FIND_LINKS", "PIP_EXTRA_INDEX_URL", "PIP_CONSTRAINT")
    surroundings = {name: value for name, value in os.environ.items() if name not in hidden}
    surroundings |= {"PIP_CONFIG_FILE": os.devnull, "CUSTOM_COMPILE_COMMAND": COMMAND}
    command = [sys.executable, "-P", "-m", *arguments]
    return subprocess.run(command, cwd=CHECKOUT, env=surroundings, check=True, stdout=subprocess.PIPE, text=True).stdout


def pinned(requirements: tuple[str, ...], marker: str = "") -> str:
    """Return lock lines for packages whose one wheel serves every platform, without what they depend on."""
    options = ("install", "--dry-run", "--ignore-installed", "--no-deps", "--only-binary", ":all:")
    report = json.loads(python("pip", *options, "--quiet", "--report", "-", *requirements))
    hashes = [each["download_info"]["archive_info"]["hashes"]["sha256"] for each in report["install"]]
    pairs = zip(requirements, hashes, strict=True)
    return "".join(f"{name}{marker} \\\n    --hash=sha256:{sha}\n" for name, sha in pairs)


def main(arguments: list[str]) -> None:
    """Write the three lock files; the second one holds every line of the first."""
    if sys.version_info[:2] != OLDEST_PYTHON:
        sys.exit(f"the locks are made with the oldest Python supported: {COMMAND}")
    python(*COMPILE, "requirements.lock", *arguments)
    python(*COMPILE, "requirements-dev.lock", "--extra", "dev", "--constraint", "requirements.lock", *arguments)
    with (CHECKOUT / "requirements-dev.lock").open("a", encoding="utf-8", newline="\n") as lock:
        lock.write("# on Windows only\n" + pinned((WINDOWS_ONLY,), ' ; sys_platform == "win32"'))
    header = f"# Written by {COMMAND}. Install with --no-deps: only the tables inside are read, not the code.\n"
    outside = CHECKOUT / "requirements-outside.lock"
    outside.write_text(header + pinned(OUTSIDE), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
