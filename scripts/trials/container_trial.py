"""Does what the Containerfile says, step by step, in a folder of its own, and asks the service that comes out.

Owns: replaying its steps where no container engine runs. Does not own: the steps (`scripts/deploy/Containerfile`). Run
it in the project's environment: `.venv/bin/python scripts/trials/container_trial.py`. Needs a package index for `pip
install`. Replayed are COPY, RUN, WORKDIR, ENV, USER, HEALTHCHECK and ENTRYPOINT, in their order and with their very
words; an absolute path of the image stands for the same one below the folder, and the image of FROM for a fresh
environment of this Python. USER needs the rights of root. Not replayed: the base image itself, and the limits that an
engine sets.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import socket
import stat
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CONTAINERFILE = ROOT / "scripts" / "deploy" / "Containerfile"
NOTHING_TO_DO = frozenset({"FROM", "EXPOSE", "STOPSIGNAL"})
LONGEST_START_S = 60.0
PROJECT = "/opt/wetted"
OK = 200


@dataclass(slots=True)
class Image:
    """What the steps so far have made.

    Attributes:
        root: folder that stands for `/`.
        environment: variables that are set.
        folder: working folder.
        user: number of the user, `None` as long as it is root.
        health: command that tells whether it works.
        entry: command that it starts with.
    """

    root: Path
    environment: dict[str, str]
    folder: Path
    user: int | None = None
    health: list[str] = field(default_factory=list)
    entry: list[str] = field(default_factory=list)

    def placed(self, text: str) -> str:
        """Return a text with paths of the image as they are here."""
        return text.replace(PROJECT, f"{self.root}{PROJECT}")

    def start(self, command: list[str]) -> subprocess.Popen[bytes]:
        """Start a command as the image's user, if we may become somebody else."""
        number = self.user if os.geteuid() == 0 else None
        groups = None if number is None else list[int]()
        return subprocess.Popen(
            command, cwd=self.folder, env=self.environment, user=number, group=number, extra_groups=groups
        )


def steps(text: str) -> list[tuple[str, str]]:
    """Return the instructions of a Containerfile with what follows each.

    >>> steps("# why\\nRUN a \\\\\\n  b\\nUSER 1")
    [('RUN', 'a    b'), ('USER', '1')]
    """
    lines = [line for line in re.sub(r"\\\n", " ", text).splitlines() if line.strip() and not line.startswith("#")]
    return [(line.split(maxsplit=1)[0], line.split(maxsplit=1)[1]) for line in lines]


def replay(image: Image, instruction: str, rest: str) -> None:
    """Do one step.

    Raises:
        ValueError: if nobody knows the instruction.
        subprocess.CalledProcessError: if a command fails.
    """
    match instruction:
        case "COPY":
            _copy(image, shlex.split(rest))
        case "RUN":
            subprocess.run(["/bin/sh", "-c", image.placed(rest)], cwd=image.folder, env=image.environment, check=True)
        case "WORKDIR":
            image.folder = Path(image.placed(rest))
            image.folder.mkdir(parents=True, exist_ok=True)
        case "ENV":
            image.environment.update(
                {name: value for name, _, value in (one.partition("=") for one in shlex.split(image.placed(rest)))}
            )
        case "USER":
            image.user = int(rest.split(":", maxsplit=1)[0])
        case "HEALTHCHECK":
            image.health = json.loads(rest.partition("CMD ")[2])
        case "ENTRYPOINT":
            image.entry = json.loads(rest)
        case _ if instruction not in NOTHING_TO_DO:
            raise ValueError(f"{instruction} cannot be replayed")


def _copy(image: Image, words: list[str]) -> None:
    *sources, target = words
    place = image.folder / image.placed(target)
    for source in sources:
        if (ROOT / source).is_dir():
            shutil.copytree(ROOT / source, place, ignore=shutil.ignore_patterns("__pycache__"), dirs_exist_ok=True)
        else:
            place.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / source, place)


@contextmanager
def built() -> Iterator[Image]:
    """Replay all steps in a folder and give what comes out."""
    with tempfile.TemporaryDirectory(prefix="container-") as folder:
        root = Path(folder)
        root.chmod(0o755)
        subprocess.run([interpreter(root), "-m", "venv", str(root / "python")], check=True)
        kept = {name: os.environ[name] for name in ("HOME", "LANG") if name in os.environ}
        path = f"{root / 'python' / 'bin'}:/usr/bin:/bin"
        own = {"PATH": path, "PYTHONDONTWRITEBYTECODE": "1", "LD_LIBRARY_PATH": str(root / "base" / "lib")}
        image = Image(root, {**kept, **own}, root)
        for instruction, rest in steps(CONTAINERFILE.read_text()):
            print(f"{instruction} {rest[:100]}", flush=True)
            replay(image, instruction, rest)
        yield image


def interpreter(root: Path) -> str:
    """Return a Python that everybody can reach: this one, or a copy of it."""
    base = Path(sys.base_prefix).resolve()
    name = Path("bin") / f"python3.{sys.version_info.minor}"
    if all(folder.stat().st_mode & stat.S_IXOTH for folder in (base, *base.parents)):
        return str(base / name)
    left_out = shutil.ignore_patterns("site-packages", "test", "__pycache__", "*.a", "share", "include")
    shutil.copytree(base, root / "base", symlinks=True, ignore=left_out)
    return str(root / "base" / name)


def marks(folder: Path) -> dict[str, tuple[int, int]]:
    """Return what shows whether anything in a folder was changed."""
    return {str(path): (path.lstat().st_mtime_ns, path.lstat().st_size) for path in folder.rglob("*")}


def writable(folder: Path) -> list[str]:
    """Return what others than root may write."""
    return [str(path) for path in folder.rglob("*") if not path.is_symlink() and path.stat().st_mode & stat.S_IWOTH]


def asked(port: int) -> str:
    """Return the verdict that the service gives on a pair, as soon as it is ready."""
    end = time.monotonic() + LONGEST_START_S
    while True:
        try:
            address = f"http://127.0.0.1:{port}/v1/pair?a=thread/g-1-4&b=thread/npt-1-4"
            with urllib.request.urlopen(address, timeout=5) as answer:
                return str(json.load(answer)["verdict"])
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def main() -> int:
    """Replay the file, start what it makes, ask it, and end it."""
    with built() as image:
        project = Path(f"{image.root}{PROJECT}")
        before = marks(project)
        with socket.create_server(("127.0.0.1", 0)) as free:
            port = free.getsockname()[1]
        image.environment |= {"WETTED_PORT": str(port), "WETTED_HOST": "127.0.0.1"}
        process = image.start(image.entry)
        try:
            verdict = asked(port)
            health = [word.replace(":8000/", f":{port}/") for word in image.health]
            is_healthy = image.start(health).wait(timeout=20) == 0
            users = set(Path(f"/proc/{process.pid}/status").read_text().partition("Uid:")[2].split()[:4])
        finally:
            process.terminate()
            code = process.wait(timeout=30)
        found = {
            "verdict on two threads that are not compatible": verdict,
            "the health check agrees": is_healthy,
            "ran as user": " ".join(sorted(users)),
            "files that the user may write": len(writable(project)),
            "files that changed while it ran": len(before.items() ^ marks(project).items()),
            "ended on SIGTERM with code": code,
        }
        for what, value in found.items():
            print(f"{what}: {value}")
    is_user = os.geteuid() != 0 or users == {str(image.user)}
    is_quiet = not found["files that the user may write"] and not found["files that changed while it ran"]
    return 0 if verdict == "incompatible" and is_healthy and is_user and is_quiet and code in {0, -15} else 1


if __name__ == "__main__":
    sys.exit(main())
