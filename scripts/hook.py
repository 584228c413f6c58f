"""Checks the tables before each commit: `python3 scripts/hook.py install` switches it on, `remove` off again.

Owns: the hook of git, and taking the tables as they will be committed, not as they lie in the work tree. A commit that
leaves kb/tables alone is not held up. Does not own: what is checked (`wetted tables check`, `wetted tables tidy`).
"""

import argparse
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

from environment import CHECKOUT, RUN, exit_code, prepare, run_program

TABLES = "kb/tables"
MADE_HERE = "# made by scripts/hook.py"
REFUSED = f"not committed: fix the lines above, `git add {TABLES}` and commit again"
CHECKS = (("tables", "check"), ("tables", "tidy", "--check"))


def git(folder: Path, *words: str, stdin: bytes = b"") -> bytes:
    """Return what git prints in a folder; raises OSError with git's own words where it fails."""
    done = subprocess.run(["git", *words], cwd=folder, input=stdin, capture_output=True, check=False)
    if done.returncode:
        raise OSError(done.stderr.decode(errors="replace").strip() or f"git {words[0]} failed")
    return done.stdout


def hook_path(folder: Path) -> Path:
    """Return where git looks for the hook of a checkout."""
    return folder / git(folder, "rev-parse", "--git-path", "hooks").decode().rstrip("\n") / "pre-commit"


def install(folder: Path) -> str:
    """Switch the hook on; a hook that somebody else wrote is left alone. Returns what to tell."""
    path = hook_path(folder)
    if path.exists() and MADE_HERE not in path.read_text(encoding="utf-8", errors="replace"):
        line = f"{shlex.quote(Path(sys.executable).as_posix())} scripts/hook.py check"
        return f"{path} exists and is not ours: add to it the line\n{line}"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(_hook_text(), encoding="utf-8", newline="\n")
    path.chmod(0o755)
    return f"on: every commit that changes {TABLES} is checked first ({path})"


def remove(folder: Path) -> str:
    """Switch the hook off. Returns what to tell."""
    path = hook_path(folder)
    if not path.exists() or MADE_HERE not in path.read_text(encoding="utf-8", errors="replace"):
        return "there is no hook of ours"
    path.unlink()
    return "off: commits are not checked any more"


def check(folder: Path) -> int:
    """Check the tables as they will be committed and return an exit code; 0 at once if they do not change."""
    if not git(folder, "diff", "--cached", "--name-only", "--", TABLES):
        return 0
    environment = prepare(RUN)
    with tempfile.TemporaryDirectory() as place:
        write_staged(folder, Path(place))
        for words in CHECKS:
            run = [environment.program("wetted"), *words, "--folder", str(Path(place, TABLES))]
            code = run_program(run, environment)
            if code:
                print(REFUSED, file=sys.stderr)
                return code
    return 0


def write_staged(folder: Path, place: Path) -> None:
    """Write the tables of the index, byte for byte, under another folder."""
    (place / TABLES).mkdir(parents=True)
    names = git(folder, "ls-files", "-z", "--cached", "--", TABLES)
    unchanged = ("-c", "core.autocrlf=false", "checkout-index", "-z", "--stdin", "--force", f"--prefix={place}/")
    git(folder, *unchanged, stdin=names)


def _hook_text() -> str:
    python = shlex.quote(Path(sys.executable).as_posix())
    return (
        f"#!/bin/sh\n{MADE_HERE}; `python3 scripts/hook.py remove` switches it off\n"
        f"[ -f scripts/hook.py ] || exit 0\nexec {python} scripts/hook.py check\n"
    )


def main(arguments: list[str]) -> int:
    """Switch the hook on or off, or do its work."""
    parser = argparse.ArgumentParser(description="Checks the tables before each commit.")
    parser.add_argument("action", choices=("install", "remove", "check"))
    action = parser.parse_args(arguments).action
    if action == "check":
        return check(CHECKOUT)
    reported = install(CHECKOUT) if action == "install" else remove(CHECKOUT)
    print(reported)
    return int("is not ours" in reported)


if __name__ == "__main__":
    sys.exit(exit_code(main))
