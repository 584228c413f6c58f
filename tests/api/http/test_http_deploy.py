"""The examples for running the service say only what the program and their formats know."""

from __future__ import annotations

import configparser
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from container_trial import CONTAINERFILE, Image, replay, steps

from api.cli.main import wetted
from api.http.settings import FILE_VARIABLE, NOT_OURS, PREFIX, Settings, read_settings

ROOT = Path(__file__).resolve().parents[3]
DEPLOY = ROOT / "scripts" / "deploy"
INSTRUCTIONS = {"FROM", "WORKDIR", "COPY", "RUN", "ENV", "USER", "EXPOSE", "STOPSIGNAL", "HEALTHCHECK", "ENTRYPOINT"}


def container_steps() -> list[tuple[str, str]]:
    return steps(CONTAINERFILE.read_text())


def unit() -> configparser.ConfigParser:
    parser = configparser.ConfigParser(strict=False, interpolation=None)
    parser.optionxform = str  # type: ignore[method-assign, assignment]
    parser.read(DEPLOY / "wetted.service")
    return parser


@pytest.mark.parametrize("name", ["Containerfile", "wetted.service"])
def test_every_variable_named_is_a_setting_or_one_of_ours(name: str) -> None:
    named = set(re.findall(rf"\b{PREFIX}[A-Z_]+", (DEPLOY / name).read_text()))
    known = {f"{PREFIX}{one.upper()}" for one in Settings.__dataclass_fields__} | NOT_OURS
    assert named
    assert named <= known


def test_the_settings_file_can_be_read() -> None:
    read = read_settings(environment={FILE_VARIABLE: str(DEPLOY / "wetted.toml")})
    assert read.settings.workers == 2
    assert {one.name for one in read.origins if one.origin.startswith("file")} >= {"host", "port", "tables"}


def test_the_container_is_built_from_what_there_is_and_runs_as_nobody() -> None:
    steps = container_steps()
    assert {name for name, _ in steps} <= INSTRUCTIONS
    for name, rest in steps:
        words = shlex.split(rest)
        if name == "COPY" and not words[0].startswith("--from"):
            assert [word for word in words[:-1] if not (ROOT / word).exists()] == []
    last = [rest for name, rest in steps if name == "USER"][-1]
    assert last.split(":")[0] not in {"0", "root"}
    assert [name for name, _ in steps].count("ENTRYPOINT") == 1
    assert "serve" in wetted.commands
    assert (ROOT / "api" / "cli" / "main.py").exists()


def test_the_unit_has_its_sections_and_gives_up_every_right_it_can() -> None:
    parser = unit()
    service = parser["Service"]
    assert parser.sections() == ["Unit", "Service", "Install"]
    assert service["ExecStart"].split()[1:] == ["serve"]
    assert service["DynamicUser"] == service["NoNewPrivileges"] == "yes"
    assert (service["ProtectSystem"], service["CapabilityBoundingSet"]) == ("strict", "")
    settings = read_settings(environment={FILE_VARIABLE: str(DEPLOY / "wetted.toml")}).settings
    assert int(service["TimeoutStopSec"]) > settings.last_requests_s
    assert int(service["LimitNOFILE"]) > settings.most_connections


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not there")
def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    text = (DEPLOY / "wetted.service").read_text().replace("/opt/wetted/bin/wetted", "/bin/true")
    (tmp_path / "wetted.service").write_text(text)
    done = subprocess.run(
        ["systemd-analyze", "verify", str(tmp_path / "wetted.service")], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_container_without_its_packages_is_built_step_by_step(tmp_path: Path) -> None:
    """The packages are those of this environment; `container_trial.py` installs them as the image does."""
    image = Image(tmp_path, {"PATH": f"{Path(sys.executable).parent}:/usr/bin:/bin"}, tmp_path)
    for name, rest in container_steps():
        if not rest.startswith("pip install"):
            replay(image, name, rest)
    project = tmp_path / "opt" / "wetted"
    assert {path.name for path in project.iterdir()} == {"requirements.lock", "schemas", "kb", "api", "snapshot"}
    assert sorted(path.suffix for path in (project / "snapshot").iterdir()) == [".duckdb", ".tables"]
    assert not [path for path in project.rglob("*") if path.stat().st_mode & 0o222]
    assert (image.user, image.entry[-1]) == (65534, "serve")
    for path in (project, *project.rglob("*")):
        path.chmod(path.stat().st_mode | 0o200)
