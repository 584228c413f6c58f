"""What is built can be used: from the wheel alone, away from the checkout, README's examples answer as in it.

Every dependency comes from this environment, the program from the wheel alone; the paths of its modules are looked at.
"""

from __future__ import annotations

import shutil
import signal
import socket
import subprocess
import sys
import sysconfig
import tarfile
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from email.parser import Parser
from pathlib import Path
from typing import NamedTuple
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from readme_commands import (
    ANYWHERE,
    PAGE,
    PAIRS,
    PAIRS_FILE,
    RELEASE_FOLDER,
    ROOT,
    VERDICTS_FILE,
    first_answer,
    right_code,
)
from wetted_program import Wetted, assert_printed, surroundings, wetted_program

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(sys.platform == "win32", reason="the places in an environment are those of other systems"),
]
PACKAGES = ("api", "kb", "schemas")
FILES = ("MANIFEST.in", "pyproject.toml", "requirements*.lock", "*.md", "LICENSE")
SOURCES = (*PACKAGES, "scripts", "tests", *FILES)
NOT_COPIED = shutil.ignore_patterns("__pycache__", ".*", "*.py[cod]", "*.duckdb*", "*.egg-info")
SHOWN_ADDRESS = "http://127.0.0.1:8000"
PATIENCE_S = 60.0
WHERE_MODULES_ARE = f"""
import sys
import api.cli.main, api.client, api.http.app, api.notebook
for name, module in list(sys.modules.items()):
    if name.split(".")[0] in {PACKAGES}:
        print(module.__file__)
"""
A_USERS_SCRIPT = """
import kb
from api.client import Client

reveal_type(kb.load().pair("thread/g-1-4", "thread/npt-1-4"))
reveal_type(Client("http://127.0.0.1:8000").pair("thread/g-1-4", "thread/npt-1-4"))
"""
# Everything but what the script names is skipped: reading all of it takes ten times as long and tells no more.
SKIP_THE_REST = "[mypy]\nstrict = True\nfollow_imports = skip\n" + "".join(
    f"[mypy-{module}]\nfollow_imports = normal\n"
    for module in (
        "kb",
        "kb.knowledge_base",
        "schemas.questions.questions",
        "schemas.answers.answers",
        "api.client",
        "api.client.sync_client",
    )
)


class Built(NamedTuple):
    """The files of the checkout, and what was built from a copy of it."""

    files: frozenset[str]
    sdist: Path
    wheel: Path
    wheel_of_sdist: Path


class Installed(NamedTuple):
    """An environment that holds the wheel, and a folder away from the checkout whose project has its own `api`."""

    programs: Path
    packages: Path
    project: Path


def run(*command: str | Path, cwd: Path, code: int = 0, **more: str) -> str:
    done = subprocess.run(command, cwd=cwd, env=surroundings(**more), capture_output=True, text=True, check=False)
    assert done.returncode == code, done.stdout + done.stderr
    return done.stdout


def files_of(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def build(kind: str, source: Path, target: Path) -> Path:
    """Build a wheel or sdist from a folder with the tools of this environment; nothing is left in the folder."""
    hook = f"import sys, setuptools.build_meta as backend; print(backend.build_{kind}(sys.argv[1]))"
    name = run(sys.executable, "-c", hook, target, cwd=source).splitlines()[-1]
    for left in (source / "build", *source.glob("*.egg-info")):  # they would have a say in what is built next
        shutil.rmtree(left, ignore_errors=True)
    return target / name


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    place = tmp_path_factory.mktemp("built")
    source = place / "source"
    source.mkdir()
    for path in [path for pattern in SOURCES for path in ROOT.glob(pattern)]:
        if path.is_dir():
            shutil.copytree(path, source / path.name, ignore=NOT_COPIED)
        else:
            shutil.copy(path, source)
    files = frozenset(files_of(source))
    sdist, wheel = build("sdist", source, place), build("wheel", source, place)
    with tarfile.open(sdist) as archive:
        archive.extractall(place / "unpacked", filter="data")
    [unpacked] = (place / "unpacked").iterdir()
    return Built(files, sdist, wheel, build("wheel", unpacked, place / "unpacked"))


@pytest.fixture(scope="module")
def installed(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    place = tmp_path_factory.mktemp("elsewhere")
    run(sys.executable, "-m", "venv", "--without-pip", place / "env", cwd=place)
    packages = Path(sysconfig.get_path("purelib", "venv", {"base": str(place / "env")}))
    programs = Path(sysconfig.get_path("scripts", "venv", {"base": str(place / "env")}))
    to_env = ("--python", programs / "python", "install", "--quiet", "--no-deps", "--no-index", "--no-compile")
    run(sys.executable, "-m", "pip", *to_env, built.wheel, cwd=place)
    # A path in a .pth file is searched last, and .pth files in it are not obeyed: the checkout stays unknown.
    (packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n")
    own_api = place / "project" / "api"
    own_api.mkdir(parents=True)
    (own_api / "__init__.py").write_text("raise SystemExit('this is the api of the project')\n")
    (place / "project" / PAIRS_FILE).write_text(PAIRS)
    return Installed(programs, packages, place / "project")


@pytest.fixture(scope="module")
def elsewhere(installed: Installed) -> dict[str, str]:
    """Return the variables of the environment; what is frozen is kept in it."""
    return {"PATH": f"{installed.programs}:/usr/bin:/bin", "WETTED_CACHE_DIR": str(installed.project.parent / "cache")}


@pytest.fixture(scope="module")
def wetted(installed: Installed, elsewhere: dict[str, str]) -> Iterator[Wetted]:
    python = installed.programs / "python"
    with wetted_program(installed.project, surroundings(**elsewhere), python, ["-P"]) as call:
        yield call


def test_the_wheel_holds_every_file_of_the_packages(built: Built) -> None:
    with zipfile.ZipFile(built.wheel) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held == {name for name in built.files if name.startswith(tuple(f"{project}/" for project in PACKAGES))}


def test_the_source_distribution_holds_every_file_of_the_checkout(built: Built) -> None:
    with tarfile.open(built.sdist) as sdist:
        held = {member.name.partition("/")[2] for member in sdist.getmembers() if member.isfile()}
    made = {name for name in held if name.split("/")[0].endswith(".egg-info")} | {"PKG-INFO", "setup.cfg"}
    assert held - made == built.files


def test_the_wheel_of_the_source_distribution_is_that_of_the_checkout(built: Built) -> None:
    contents = []
    for path in (built.wheel, built.wheel_of_sdist):
        with zipfile.ZipFile(path) as wheel:
            contents.append({name: wheel.read(name) for name in wheel.namelist()})
    assert contents[0] == contents[1]


def test_the_wheel_says_what_it_needs_and_under_which_licences(built: Built) -> None:
    with zipfile.ZipFile(built.wheel) as wheel:
        record = next(name for name in wheel.namelist() if name.endswith(".dist-info/METADATA"))
        said = Parser().parsestr(wheel.read(record).decode())
    assert "client" in said.get_all("Provides-Extra", [])
    assert {"LICENSE", "LICENSE-DATA.md"} <= set(said.get_all("License-File", []))


def test_wetted_answers_beside_a_project_with_an_api_of_its_own(
    installed: Installed, elsewhere: dict[str, str]
) -> None:
    command = next(one for one in ANYWHERE if one.words[1] == "pair")
    reported = run("bash", "-c", command.text, cwd=installed.project, code=right_code(command), **elsewhere)
    assert_printed(command.promised, reported, command.text)


def test_commands_of_the_readme_answer_anywhere(wetted: Wetted, installed: Installed) -> None:
    assert len(ANYWHERE) > 15
    assert wetted(["tables", "release", RELEASE_FOLDER]).code == 0
    for command in ANYWHERE:
        done = wetted(command.words[1:])
        assert done.code == right_code(command), f"{command.text}: {done.err}"
        assert_printed(command.promised, done.out, command.text)
    assert (installed.project / VERDICTS_FILE).stat().st_size > 0


def test_python_of_the_readme_answers_anywhere_and_all_of_it_comes_from_the_wheel(
    installed: Installed, elsewhere: dict[str, str], tmp_path: Path
) -> None:
    [here] = [text for text in PAGE.texts("python") if SHOWN_ADDRESS not in text]
    (tmp_path / "example.py").write_text(here + WHERE_MODULES_ARE)
    reported = run(installed.programs / "python", "example.py", cwd=tmp_path, **elsewhere)
    assert reported.startswith(first_answer())
    loaded = reported.removeprefix(first_answer()).splitlines()
    assert len(loaded) > 100
    assert [path for path in loaded if not Path(path).is_relative_to(installed.packages)] == []


@contextmanager
def serving(installed: Installed, elsewhere: dict[str, str]) -> Iterator[str]:
    """Start the service as README does, on a free port, and give its address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [installed.programs / "wetted", "serve", "--port", str(port)]
    environment, quiet = surroundings(**elsewhere), subprocess.DEVNULL
    with subprocess.Popen(command, cwd=installed.project, env=environment, stderr=quiet) as one:
        try:
            wait_until_ready(f"http://127.0.0.1:{port}/ready")
            yield f"http://127.0.0.1:{port}"
        finally:
            one.send_signal(signal.SIGTERM)


def wait_until_ready(address: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        try:
            with urlopen(address, timeout=PATIENCE_S):
                return
        except URLError:
            time.sleep(0.05)
    pytest.fail("the service does not start")


def test_the_service_answers_the_client_of_the_readme_anywhere(
    installed: Installed, elsewhere: dict[str, str], tmp_path: Path
) -> None:
    [over_http] = [text for text in PAGE.texts("python") if SHOWN_ADDRESS in text]
    with serving(installed, elsewhere) as address:
        (tmp_path / "example.py").write_text(over_http.replace(SHOWN_ADDRESS, address))
        assert run(installed.programs / "python", "example.py", cwd=tmp_path, **elsewhere) == first_answer()


def test_types_are_seen_by_whoever_uses_the_packages(installed: Installed, tmp_path: Path) -> None:
    (tmp_path / "mine.py").write_text(A_USERS_SCRIPT)
    (tmp_path / "mypy.ini").write_text(SKIP_THE_REST)
    options = ("--python-executable", installed.programs / "python", "--cache-dir", tmp_path / "cache")
    reported = run(sys.executable, "-m", "mypy", *options, "mine.py", cwd=tmp_path)
    assert reported.count('Revealed type is "schemas.answers.answers.PairAnswer"') == 2
