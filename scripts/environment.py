"""Makes and keeps the checkout's own Python environment, `.venv`, with nothing but the standard library.

Owns: when `.venv` is made anew, what is installed, that one start at a time makes it, what a program run in it sees.
Does not own: which program is run (run.py, test.py), how the lock files are made (lock.py).

The file keeps to syntax that Python 3.7 can read, so that an old interpreter reaches the line that says what to do.
"""

import contextlib
import hashlib
import importlib.util
import json
import os
import platform
import shlex
import signal
import subprocess
import sys
import sysconfig
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

OLDEST_PYTHON = (3, 11)


def version_obstacle(version: "tuple[int, ...]") -> "str | None":
    """Say what to do when an interpreter of this version is too old, None when it will do.

    >>> version_obstacle((3, 11, 7)) is None
    True
    >>> version_obstacle((3, 9, 18))
    'Python 3.9 is too old: install 3.11 or newer and start again with it, e.g. python3.11 in place of python3'
    """
    if version[:2] >= OLDEST_PYTHON:
        return None
    found, needed = (".".join(map(str, each[:2])) for each in (version, OLDEST_PYTHON))
    return (
        f"Python {found} is too old: install {needed} or newer and start again with it, "
        f"e.g. python{needed} in place of python3"
    )


if version_obstacle(sys.version_info[:3]):
    sys.exit(version_obstacle(sys.version_info[:3]))

CHECKOUT = Path(__file__).resolve().parent.parent
PATIENCE_S = 900.0
INTERRUPTED = 130
READER_LEFT = 141  # as a shell tells SIGPIPE
NEEDED_MODULES = ("venv", "ensurepip")
# Where packages come from and how to reach them. Every other PIP_ variable would change what is installed, or where.
PIP_ACCESS = (
    "PIP_CACHE_DIR",
    "PIP_CERT",
    "PIP_CLIENT_CERT",
    "PIP_CONFIG_FILE",
    "PIP_DEFAULT_TIMEOUT",
    "PIP_EXTRA_INDEX_URL",
    "PIP_FIND_LINKS",
    "PIP_INDEX_URL",
    "PIP_KEYRING_PROVIDER",
    "PIP_NO_CACHE_DIR",
    "PIP_NO_INDEX",
    "PIP_PROXY",
    "PIP_RETRIES",
    "PIP_TIMEOUT",
    "PIP_TRUSTED_HOST",
)
PIP_OPTIONS = {
    "PIP_DISABLE_PIP_VERSION_CHECK": "1",
    "PIP_NO_INPUT": "1",
    "PIP_PROGRESS_BAR": "off",
    "PIP_ROOT_USER_ACTION": "ignore",
    "PIP_USER": "0",
}
# These point a program at modules of another Python.
FOREIGN_MODULES = frozenset({"PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__"})


@dataclass(frozen=True, slots=True)
class Purpose:
    """What an environment is made for: a name and the lock files installed for it, in order."""

    name: str
    locks: tuple[str, ...]


RUN = Purpose("run", ("requirements.lock",))
# requirements-dev.lock holds every line of requirements.lock, so an environment for tests also runs.
TEST = Purpose("test", ("requirements-dev.lock", "requirements-outside.lock"))


@dataclass(frozen=True, slots=True)
class Step:
    """One command of the set-up and the words that tell a person what is going on."""

    doing: str
    command: tuple[str, ...]


class SetupError(Exception):
    """The environment cannot be made: what is wrong, what to do about it, and the log that tells more, if any."""

    def __init__(self, what: str, fix: str, log: Path | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.fix = fix
        self.log = log


@dataclass(frozen=True, slots=True)
class Environment:
    """Where things lie in the environment of one checkout, on every platform."""

    checkout: Path

    @property
    def folder(self) -> Path:
        """The environment itself."""
        return self.checkout / ".venv"

    @property
    def stamp(self) -> Path:
        """Written last: what the environment was made from."""
        return self.folder / "ready.json"

    @property
    def log(self) -> Path:
        """What pip said during the latest set-up; outside the environment, which a set-up may empty."""
        return self.checkout / ".venv.log"

    @property
    def guard(self) -> Path:
        """The file that is locked while somebody makes the environment."""
        return self.checkout / ".venv.lock"

    @property
    def programs(self) -> Path:
        """The folder of programs: `bin`, on Windows `Scripts`."""
        return Path(sysconfig.get_path("scripts", "venv", {"base": str(self.folder)}))

    @property
    def packages(self) -> Path:
        """The folder of installed packages."""
        return Path(sysconfig.get_path("purelib", "venv", {"base": str(self.folder)}))

    def program(self, name: str) -> Path:
        """Return the path of an installed program.

        >>> Environment(Path("checkout")).program("wetted").stem
        'wetted'
        """
        return self.programs / (f"{name}.exe" if os.name == "nt" else name)


def say(words: str) -> None:
    """Tell a person what is going on; on the error stream, so that an answer in JSON stays JSON."""
    print(f"setup: {words}", file=sys.stderr, flush=True)


def fingerprint(checkout: Path, purpose: Purpose) -> str:
    """Return a SHA-256 over all that decides what an environment for this purpose holds.

    That is: its lock files, pyproject.toml, the interpreter and the place of the checkout. Raises OSError for a lock
    file that is missing.
    """
    names = sorted({*RUN.locks, *purpose.locks, "pyproject.toml"})
    interpreter = f"{sys.version} {platform.machine()} {sys.base_prefix}"
    digest = hashlib.sha256(f"{checkout} {interpreter}".encode())
    for name in names:
        digest.update(hashlib.sha256((checkout / name).read_bytes()).digest())
    return digest.hexdigest()


def contents(environment: Environment) -> list[str]:
    """List what lies in the folders of programs and packages, empty where there is no such folder."""
    folders = [environment.programs, environment.packages]
    found = [f"{folder.name}/{path.name}" for folder in folders if folder.is_dir() for path in folder.iterdir()]
    return sorted(name for name in found if not name.endswith("/__pycache__"))


def write_stamp(environment: Environment, purposes: Sequence[Purpose]) -> None:
    """Record that the environment is whole, for which purposes, and what lies in it; all at once or not at all."""
    made_for = {purpose.name: fingerprint(environment.checkout, purpose) for purpose in purposes}
    draft = environment.stamp.with_suffix(".draft")
    draft.write_text(json.dumps({"made_for": made_for, "contents": contents(environment)}), encoding="utf-8")
    draft.replace(environment.stamp)


def purposes_served(environment: Environment, purposes: Sequence[Purpose]) -> set[str]:
    """Return the names of those purposes that the environment, as it lies there now, is whole and current for."""
    try:
        stamp = json.loads(environment.stamp.read_text(encoding="utf-8"))
        made_for, recorded = dict(stamp["made_for"]), set(stamp["contents"])
    except (OSError, ValueError, KeyError, TypeError):
        return set()
    if recorded - set(contents(environment)) or not answers(environment.program("python")):
        return set()
    return {each.name for each in purposes if made_for.get(each.name) == fingerprint(environment.checkout, each)}


def answers(interpreter: Path) -> bool:
    """Tell whether an interpreter starts at all; it does not when the Python it was made from has gone."""
    try:
        return subprocess.run([interpreter, "-I", "-S", "-c", ""], check=False, capture_output=True).returncode == 0
    except OSError:
        return False


def module_obstacle(is_there: Callable[[str], bool]) -> SetupError | None:
    """Say what to do when this Python lacks what it needs to make an environment, None when nothing is missing.

    >>> module_obstacle(lambda name: True) is None
    True
    >>> module_obstacle(lambda name: name != "ensurepip").what
    'this Python cannot make environments: it has no ensurepip'
    """
    missing = [name for name in NEEDED_MODULES if not is_there(name)]
    if not missing:
        return None
    version = ".".join(map(str, sys.version_info[:2]))
    return SetupError(
        f"this Python cannot make environments: it has no {' and no '.join(missing)}",
        f"on Debian or Ubuntu: apt install python{version}-venv; elsewhere install a complete Python {version}",
    )


def is_importable(name: str) -> bool:
    """Tell whether a module is there, without importing it.

    >>> is_importable("json"), is_importable("no_such_module")
    (True, False)
    """
    return importlib.util.find_spec(name) is not None


def steps(environment: Environment, purpose: Purpose, *, anew: bool) -> list[Step]:
    """List the commands that make an environment anew, or that add what a purpose needs to a whole one."""
    python = str(environment.program("python"))
    pip = (python, "-m", "pip", "install", "--no-deps")
    locked = (*pip, "--require-hashes", "--only-binary", ":all:", "-r")
    adding = [Step(f"installing {name}", (*locked, str(environment.checkout / name))) for name in purpose.locks]
    if not anew:
        return adding
    # Not sys.executable: that may be the very environment that is about to be emptied.
    base = str(getattr(sys, "_base_executable", sys.executable))
    making = Step("making .venv", (base, "-m", "venv", "--clear", str(environment.folder)))
    local = (*pip, "--no-build-isolation", "--no-index", "-e", str(environment.checkout))
    return [making, *adding, Step("installing the project", local)]


def setup_surroundings(inherited: Mapping[str, str]) -> dict[str, str]:
    """Return the variables under which the set-up runs: only the way to the packages is taken from outside.

    >>> sorted(setup_surroundings({"PIP_TARGET": "/x", "PIP_CERT": "/c", "PYTHONHOME": "/p"}) - PIP_OPTIONS.keys())
    ['PIP_CERT']
    """
    kept = {name: value for name, value in inherited.items() if not name.startswith(("PIP_", "PYTHON", "__PYVENV"))}
    return kept | {name: inherited[name] for name in PIP_ACCESS if name in inherited} | PIP_OPTIONS


def program_surroundings(inherited: Mapping[str, str], environment: Environment) -> dict[str, str]:
    """Return the variables under which a program of the environment runs: as if the environment were activated."""
    kept = {name: value for name, value in inherited.items() if name not in FOREIGN_MODULES}
    path = os.pathsep.join(filter(None, (str(environment.programs), inherited.get("PATH"))))
    return kept | {"VIRTUAL_ENV": str(environment.folder), "PATH": path}


def run_logged(step: Step, environment: Environment) -> None:
    """Run one step of the set-up, its output appended to the log; raises SetupError naming the log when it fails."""
    with environment.log.open("ab") as log:
        log.write(f"$ {shlex.join(step.command)}\n".encode())
        log.flush()
        # close_fds=False hands the locked guard on: should this process be killed, pip keeps it until pip ends too.
        finished = subprocess.run(
            step.command,
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
            env=setup_surroundings(os.environ),
            cwd=environment.checkout,
            close_fds=False,
            check=False,
        )
    if finished.returncode != 0:
        raise SetupError(
            f"{step.doing} failed ({last_complaint(environment.log)})", "fix that and start again", environment.log
        )


def last_complaint(log: Path) -> str:
    """Return the line of a log that most likely says what went wrong: the last error, else the last line."""
    lines = [line.strip() for line in log.read_text(encoding="utf-8", errors="replace").splitlines() if line.strip()]
    complaints = [line for line in lines if line.lower().startswith("error")]
    return (complaints or lines or ["no output"])[-1]


if sys.platform == "win32":
    import msvcrt

    def try_to_lock(descriptor: int) -> bool:
        """Lock an open file for this process, unless another one has it locked."""
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def try_to_lock(descriptor: int) -> bool:
        """Lock an open file for this process and its children, unless others have it locked."""
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


@contextlib.contextmanager
def one_at_a_time(guard: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Wait until no other start makes the environment, then keep others waiting.

    The lock belongs to the processes, not to the file: it ends with them, however they end, and a file left behind
    means nothing. Raises SetupError when the patience (seconds) runs out.
    """
    deadline = time.monotonic() + patience_s
    with guard.open("ab") as stream:
        os.set_inheritable(stream.fileno(), True)
        if not try_to_lock(stream.fileno()):
            say("another start is making the environment, waiting for it")
            while not try_to_lock(stream.fileno()):
                if time.monotonic() > deadline:
                    raise SetupError(f"{guard} stays locked", "end the other start, or wait for it, then start again")
                time.sleep(0.2)
        yield


Execute = Callable[[Step, Environment], None]


def prepare(purpose: Purpose, checkout: Path = CHECKOUT, execute: Execute = run_logged) -> Environment:
    """Return the environment of a checkout, whole and current for a purpose; made or completed first where needed.

    Raises SetupError where it cannot be made.
    """
    environment = Environment(checkout)
    if purpose.name in purposes_served(environment, [purpose]):
        return environment
    with one_at_a_time(environment.guard):
        served = purposes_served(environment, [RUN, purpose])
        if purpose.name not in served:
            make(environment, purpose, execute, anew=RUN.name not in served or was_made_for(environment, purpose))
    return environment


def was_made_for(environment: Environment, purpose: Purpose) -> bool:
    """Tell whether a whole environment was once made for a purpose: if it is out of date, leftovers lie in it."""
    return purpose.name in json.loads(environment.stamp.read_text(encoding="utf-8"))["made_for"]


def make(environment: Environment, purpose: Purpose, execute: Execute, *, anew: bool) -> None:
    """Carry out the steps; the stamp goes first and comes back last, so an interrupted set-up is seen as such."""
    obstacle = module_obstacle(is_importable)
    if obstacle:
        raise obstacle
    started = time.monotonic()
    if not environment.folder.is_dir():
        environment.folder.unlink(missing_ok=True)
    environment.stamp.unlink(missing_ok=True)
    environment.log.write_bytes(b"")
    for step in steps(environment, purpose, anew=anew):
        say(step.doing)
        execute(step, environment)
    write_stamp(environment, [RUN] if purpose == RUN else [RUN, purpose])
    say(f"ready after {time.monotonic() - started:.0f} s")


def run_program(command: Sequence[str | Path], environment: Environment, folder: Path | None = None) -> int:
    """Run a program of the environment in a folder (default: the current one) and return its exit code.

    A program ended by a signal gives 128 + its number, as a shell does.
    """
    surroundings = program_surroundings(os.environ, environment)
    with subprocess.Popen(command, env=surroundings, cwd=folder) as process:
        before = signal.signal(signal.SIGTERM, lambda *_: process.terminate())
        try:
            code = wait_through_interrupts(process)
        finally:
            signal.signal(signal.SIGTERM, before)
    return code if code >= 0 else 128 - code


def wait_through_interrupts(process: "subprocess.Popen[bytes]") -> int:
    """Wait for a program to end; Ctrl-C reaches the program as well, and it ends in its own way."""
    while True:
        with contextlib.suppress(KeyboardInterrupt):
            return process.wait()


def exit_code(main: Callable[[list[str]], int]) -> int:
    """Run a script's main with the command line; what stops the set-up becomes one line for a person and code 1."""
    try:
        return main(sys.argv[1:])
    except SetupError as error:
        say(f"{error.what}; {error.fix}" + (f" (log: {error.log})" if error.log else ""))
    except BrokenPipeError:  # whoever read the answer has seen enough of it
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_LEFT
    except OSError as error:
        say(f"cannot prepare {CHECKOUT}: {error}")
    except KeyboardInterrupt:
        say("interrupted; start again to finish")
        return INTERRUPTED
    return 1
