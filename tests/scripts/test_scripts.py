"""What the set-up of a checkout promises.

Owns: when an environment is made, completed or left alone, what a failure says, that the lock files fit pyproject.toml.
Does not own: that the packages themselves install; every run of these tests shows that.
"""

import ast
import doctest
import importlib
import re
import signal
import subprocess
import sys
import time
import tomllib
import venv
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

CHECKOUT = Path(__file__).resolve().parents[2]
SCRIPTS = CHECKOUT / "scripts"
FILES = ("requirements.lock", "requirements-dev.lock", "requirements-outside.lock", "pyproject.toml")


@pytest.fixture
def script(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], ModuleType]:
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return importlib.import_module


@pytest.fixture
def environment(script: Callable[[str], ModuleType]) -> Any:
    return script("environment")


class Installer:
    """Stands in for pip: makes a real but empty environment, notes each step, fails at a chosen one."""

    def __init__(self, fail_at: str | None = None) -> None:
        self.done: list[str] = []
        self.fail_at = fail_at

    def __call__(self, step: Any, place: Any) -> None:
        self.done.append(step.doing)
        if step.doing == "making .venv":
            venv.create(place.folder, clear=True)
        if step.doing == self.fail_at:
            raise KeyboardInterrupt
        (place.packages / step.doing.split()[-1]).mkdir()


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    folder = tmp_path / "a checkout"
    folder.mkdir()
    for name in FILES:
        (folder / name).write_text(name)
    return folder


@pytest.fixture
def prepare(environment: Any, checkout: Path) -> Callable[..., list[str]]:
    def steps_taken(purpose: Any, fail_at: str | None = None) -> list[str]:
        installer = Installer(fail_at)
        try:
            environment.prepare(purpose, checkout, installer)
        except KeyboardInterrupt:
            installer.done.append("interrupted")
        return installer.done

    return steps_taken


RUN_ANEW = ["making .venv", "installing requirements.lock", "installing the project"]
TEST_TOOLS = ["installing requirements-dev.lock", "installing requirements-outside.lock"]
TEST_ANEW = ["making .venv", *TEST_TOOLS, "installing the project"]


def test_first_start_makes_everything_and_second_start_nothing(environment: Any, prepare: Any) -> None:
    assert prepare(environment.RUN) == RUN_ANEW
    assert prepare(environment.RUN) == []


def test_tests_after_a_run_only_add_their_tools(environment: Any, prepare: Any) -> None:
    prepare(environment.RUN)
    assert prepare(environment.TEST) == TEST_TOOLS
    assert prepare(environment.RUN) == []


def test_an_environment_for_tests_also_runs(environment: Any, prepare: Any) -> None:
    assert prepare(environment.TEST) == TEST_ANEW
    assert prepare(environment.RUN) == []


@pytest.mark.parametrize("moment", RUN_ANEW)
def test_interrupted_set_up_starts_over(environment: Any, prepare: Any, moment: str) -> None:
    assert prepare(environment.RUN, fail_at=moment)[-1] == "interrupted"
    assert prepare(environment.RUN) == RUN_ANEW


def test_interrupted_completion_starts_over(environment: Any, prepare: Any) -> None:
    prepare(environment.RUN)
    prepare(environment.TEST, fail_at=TEST_TOOLS[0])
    assert prepare(environment.RUN) == RUN_ANEW


@pytest.mark.parametrize("name", ["requirements.lock", "pyproject.toml"])
def test_a_changed_lock_or_project_file_makes_it_anew(
    environment: Any, prepare: Any, checkout: Path, name: str
) -> None:
    prepare(environment.RUN)
    (checkout / name).write_text("changed")
    assert prepare(environment.RUN) == RUN_ANEW


def test_a_changed_lock_to_run_makes_an_environment_for_tests_anew(
    environment: Any, prepare: Any, checkout: Path
) -> None:
    prepare(environment.TEST)
    (checkout / "requirements.lock").write_text("changed")
    assert prepare(environment.TEST) == TEST_ANEW


def test_changed_test_tools_leave_nothing_of_the_old_ones(environment: Any, prepare: Any, checkout: Path) -> None:
    prepare(environment.TEST)
    (checkout / "requirements-dev.lock").write_text("changed")
    assert prepare(environment.RUN) == []
    assert prepare(environment.TEST) == TEST_ANEW


def test_a_moved_checkout_makes_it_anew(environment: Any, prepare: Any, checkout: Path) -> None:
    prepare(environment.RUN)
    moved = checkout.rename(checkout.with_name("moved"))
    installer = Installer()
    environment.prepare(environment.RUN, moved, installer)
    assert installer.done == RUN_ANEW


def test_a_deleted_package_makes_it_anew(environment: Any, prepare: Any, checkout: Path) -> None:
    prepare(environment.RUN)
    (environment.Environment(checkout).packages / "requirements.lock").rmdir()
    assert prepare(environment.RUN) == RUN_ANEW


def test_an_interpreter_that_no_longer_starts_makes_it_anew(environment: Any, prepare: Any, checkout: Path) -> None:
    prepare(environment.RUN)
    python = environment.Environment(checkout).program("python")
    python.unlink()
    python.write_text("")
    assert prepare(environment.RUN) == RUN_ANEW


@pytest.mark.parametrize("stamp", ["", "[]", "{}", '{"made_for": 1, "contents": []}', "\x00"])
def test_a_damaged_stamp_makes_it_anew(environment: Any, prepare: Any, checkout: Path, stamp: str) -> None:
    prepare(environment.RUN)
    environment.Environment(checkout).stamp.write_text(stamp)
    assert prepare(environment.RUN) == RUN_ANEW


def test_a_file_in_the_place_of_the_environment_is_replaced(environment: Any, prepare: Any, checkout: Path) -> None:
    (checkout / ".venv").write_text("")
    assert prepare(environment.RUN) == RUN_ANEW


def test_second_start_waits_while_the_first_one_works(environment: Any, checkout: Path) -> None:
    guard = checkout / ".venv.lock"
    first = environment.one_at_a_time(guard)
    second = environment.one_at_a_time(guard, patience_s=0.3)
    with first, pytest.raises(environment.SetupError, match="stays locked"), second:
        pytest.fail("two at once")


def test_nobody_else_gets_in_during_any_step(environment: Any, checkout: Path) -> None:
    installer = Installer()

    def guarded(step: Any, place: Any) -> None:
        with pytest.raises(environment.SetupError), environment.one_at_a_time(place.guard, patience_s=0):
            pytest.fail("two at once")
        installer(step, place)

    environment.prepare(environment.RUN, checkout, guarded)
    assert installer.done == RUN_ANEW


@pytest.mark.skipif(sys.platform == "win32", reason="Windows ties a lock to one process")
def test_installer_that_outlives_a_killed_start_keeps_the_lock(environment: Any, checkout: Path) -> None:
    place = environment.Environment(checkout)
    outlive = "import time; print('working', flush=True); time.sleep(1.5)"
    start = f"""if True:
        import pathlib, sys
        sys.path.insert(0, {str(SCRIPTS)!r})
        import environment
        place = environment.Environment(pathlib.Path({str(checkout)!r}))
        with environment.one_at_a_time(place.guard):
            environment.run_logged(environment.Step("installing", (sys.executable, "-c", {outlive!r})), place)
    """
    with subprocess.Popen([sys.executable, "-c", start]) as killed:
        while "working\n" not in (place.log.read_text() if place.log.exists() else ""):
            assert killed.poll() is None
            time.sleep(0.02)
        killed.kill()
    with pytest.raises(environment.SetupError), environment.one_at_a_time(place.guard, patience_s=0):
        pytest.fail("two at once")
    with environment.one_at_a_time(place.guard, patience_s=20):
        assert place.guard.exists()


def test_lock_of_a_killed_start_is_free_again(environment: Any, checkout: Path) -> None:
    guard = checkout / ".venv.lock"
    hold = f"import sys, time; sys.path.insert(0, {str(SCRIPTS)!r}); import environment, pathlib\n"
    hold += f"with environment.one_at_a_time(pathlib.Path({str(guard)!r})): print('held', flush=True); time.sleep(60)"
    with subprocess.Popen([sys.executable, "-c", hold], stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline().strip() == b"held"
        with pytest.raises(environment.SetupError), environment.one_at_a_time(guard, patience_s=0.3):
            pytest.fail("two at once")
        holder.kill()
    with environment.one_at_a_time(guard, patience_s=5):
        assert guard.exists()


def test_failed_step_names_the_log_and_the_last_error(environment: Any, checkout: Path) -> None:
    place = environment.Environment(checkout)
    code = "print('ERROR: no such package'); print('hint'); raise SystemExit(3)"
    with pytest.raises(environment.SetupError, match=r"installing x failed \(ERROR: no such package\)") as failure:
        environment.run_logged(environment.Step("installing x", (sys.executable, "-c", code)), place)
    assert failure.value.log == place.log
    assert "hint" in place.log.read_text()


def test_failure_is_one_line_and_code_1(
    environment: Any, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(_: list[str]) -> int:
        raise environment.SetupError("it is so", "do this", Path("the.log"))

    monkeypatch.setattr(sys, "argv", ["run.py"])
    assert environment.exit_code(fail) == 1
    assert capsys.readouterr().err == "setup: it is so; do this (log: the.log)\n"


def test_settings_of_pip_cannot_redirect_the_installation(environment: Any) -> None:
    inherited = {"PIP_TARGET": "/x", "PIP_USER": "1", "PIP_PROXY": "p", "PYTHONPATH": "/y", "PATH": "/bin"}
    seen = environment.setup_surroundings(inherited)
    assert (seen["PIP_USER"], seen["PIP_PROXY"], seen["PATH"]) == ("0", "p", "/bin")
    assert not {"PIP_TARGET", "PYTHONPATH"} & seen.keys()


def test_programs_run_as_if_the_environment_were_activated(environment: Any, checkout: Path) -> None:
    place = environment.Environment(checkout)
    seen = environment.program_surroundings({"PYTHONPATH": "/y", "TERM": "dumb"}, place)
    assert seen == {"TERM": "dumb", "VIRTUAL_ENV": str(place.folder), "PATH": str(place.programs)}


def test_every_install_from_a_lock_demands_hashes_and_wheels(environment: Any, checkout: Path) -> None:
    place = environment.Environment(checkout)
    installs = [each for each in environment.steps(place, environment.TEST, anew=True) if "-r" in each.command]
    assert len(installs) == len(environment.TEST.locks)
    assert all({"--require-hashes", "--no-deps", "--only-binary"} <= set(each.command) for each in installs)


def test_project_is_installed_without_network(environment: Any, checkout: Path) -> None:
    last = environment.steps(environment.Environment(checkout), environment.RUN, anew=True)[-1]
    assert {"--no-index", "--no-build-isolation", "--no-deps", "-e"} <= set(last.command)


@pytest.mark.parametrize("code", [0, 3, 12])
def test_exit_code_of_a_program_is_passed_through(environment: Any, checkout: Path, code: int) -> None:
    command = [sys.executable, "-c", f"raise SystemExit({code})"]
    assert environment.run_program(command, environment.Environment(checkout)) == code


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no signals of this kind")
def test_program_ended_by_a_signal_gives_the_code_a_shell_gives(environment: Any, checkout: Path) -> None:
    command = [sys.executable, "-c", "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"]
    assert environment.run_program(command, environment.Environment(checkout)) == 128 + signal.SIGKILL


@pytest.fixture
def run(script: Callable[[str], ModuleType], environment: Any, monkeypatch: pytest.MonkeyPatch, checkout: Path) -> Any:
    """Give `run.main` a `wetted` that ends with a chosen exit code; returns (exit code, arguments that wetted got)."""
    module = script("run")
    monkeypatch.setattr(module, "prepare", lambda _: environment.Environment(checkout))

    def started(arguments: list[str], code: int) -> tuple[int, list[str]]:
        got: list[str] = []

        def wetted(command: list[Any], _: Any) -> int:
            got.extend(map(str, command[1:]))
            return code

        monkeypatch.setattr(module, "run_program", wetted)
        return module.main(arguments), got

    return started


@pytest.mark.parametrize("code", [0, 10, 11, 12])
def test_demo_that_answers_is_a_success_and_says_how_to_go_on(
    run: Any, capsys: pytest.CaptureFixture[str], code: int
) -> None:
    assert run([], code) == (0, ["loop", "example/first-loop"])
    serve, enter = capsys.readouterr().out.splitlines()
    assert re.fullmatch(r"To start the service: \S.*wetted\S* serve", serve)
    assert re.fullmatch(r"To type just wetted, as in README.md: \S.*activate\S*", enter)


@pytest.mark.parametrize("code", [1, 2, 3, 130])
def test_demo_that_fails_is_a_failure(run: Any, code: int) -> None:
    assert run([], code)[0] == code


@pytest.mark.parametrize("code", [0, 2, 12])
def test_own_question_keeps_its_exit_code_and_adds_no_words(
    run: Any, capsys: pytest.CaptureFixture[str], code: int
) -> None:
    assert run(["pair", "thread/g-1-4", "thread/npt-1-4"], code) == (code, ["pair", "thread/g-1-4", "thread/npt-1-4"])
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("name", ["environment.py", "run.py", "test.py"])
def test_an_old_interpreter_can_read_the_scripts_far_enough_to_be_told(name: str) -> None:
    ast.parse((SCRIPTS / name).read_text(encoding="utf-8"), feature_version=(3, 7))


@pytest.mark.parametrize("name", ["environment", "run"])
def test_examples_in_the_scripts_hold(script: Callable[[str], ModuleType], name: str) -> None:
    outcome = doctest.testmod(script(name))
    assert (outcome.attempted > 0, outcome.failed) == (True, 0)


def pins(lock: str) -> dict[str, str]:
    found = re.findall(r"^([a-z0-9.-]+)==(\S+)", (CHECKOUT / lock).read_text(encoding="utf-8"), re.MULTILINE)
    return dict(found)


def wanted(requirements: list[str]) -> set[str]:
    return {re.split(r"[^A-Za-z0-9._-]", each)[0].lower().replace("_", "-") for each in requirements}


def test_locks_pin_what_pyproject_asks_for() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))
    to_run = wanted(project["project"]["dependencies"]) | wanted(project["build-system"]["requires"])
    to_test = wanted(project["project"]["optional-dependencies"]["dev"])
    assert to_run <= pins("requirements.lock").keys()
    assert to_run | to_test <= pins("requirements-dev.lock").keys()


def dependencies() -> dict[str, SpecifierSet]:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    read = map(Requirement, project["dependencies"])
    return {each.name.lower(): each.specifier for each in read}


def test_locks_keep_the_bounds_of_pyproject() -> None:
    locked = pins("requirements.lock")
    assert [name for name, bounds in dependencies().items() if not bounds.contains(locked[name])] == []


INSIDES = {  # how code leans on what a package does not promise
    "click": r"shell_completion import shell_complete",
    "coolprop": r"import_module\(f\"\{LIBRARY\}\.",
    "fastapi": r"from fastapi\.dependencies",
    "fastapi-offline": r"files\(\"fastapi_offline\"\)",
    "uvicorn": r"from uvicorn\.(_types|protocols|supervisors)",
}


@pytest.mark.parametrize("package", INSIDES)
def test_a_package_whose_insides_are_used_is_bounded_on_both_sides(package: str) -> None:
    sources = [path for project in ("api", "kb", "schemas") for path in (CHECKOUT / project).rglob("*.py")]
    if any(re.search(INSIDES[package], path.read_text(encoding="utf-8")) for path in sources):
        assert {each.operator for each in dependencies()[package]} == {">=", "<"}


def test_lock_for_tests_holds_every_line_of_the_lock_to_run() -> None:
    assert pins("requirements.lock").items() <= pins("requirements-dev.lock").items()


@pytest.mark.parametrize("lock", FILES[:3])
def test_every_locked_package_has_a_version_and_a_hash_and_no_address(lock: str) -> None:
    text = re.sub(r"^\s*#.*\n", "", (CHECKOUT / lock).read_text(encoding="utf-8"), flags=re.MULTILINE)
    entries = re.split(r"\n(?=\S)", text.strip())
    broken = [
        each for each in entries if not re.fullmatch(r"[a-z0-9.-]+==[^\\]+( \\\n    --hash=sha256:[0-9a-f]{64})+", each)
    ]
    assert (len(entries), broken) == (len(pins(lock)), [])
