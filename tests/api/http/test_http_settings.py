"""Settings: where they come from, what is refused, and that what is printed can be read back."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.http.settings import Settings, SettingsError, read_settings, settings_text


def test_the_command_line_goes_before_the_environment_and_that_before_the_file(tmp_path: Path) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text('host = "::1"\nport = 1\nkeep_s = 7\n')
    read = read_settings({"host": "h", "port": None}, {"WETTED_PORT": "2", "WETTED_HOST": "e"}, file)
    assert (read.settings.host, read.settings.port, read.settings.keep_s) == ("h", 2, 7)
    origins = {one.name: one.origin for one in read.origins}
    assert (origins["host"], origins["port"]) == ("command line", "environment WETTED_PORT")
    assert (origins["keep_s"], origins["watch_s"]) == (f"file {file}", "usual")


def test_the_environment_can_name_the_file(tmp_path: Path) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text('cors_origins = ["https://a.example"]\n')
    assert read_settings(environment={"WETTED_SETTINGS": str(file)}).settings.cors_origins == ("https://a.example",)


def test_what_is_printed_can_be_read_back(tmp_path: Path) -> None:
    environment = {
        "WETTED_HOST": 'a"b\\c\n',
        "WETTED_CORS_ORIGINS": "https://a.example, https://b.example",
        "WETTED_PORT": "0",
    }
    read = read_settings(environment=environment)
    file = tmp_path / "wetted.toml"
    file.write_text(settings_text(read))
    assert read_settings(environment={}, file=file).settings == read.settings


@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"WETTED_PROT": "1"}, "nearest: port"),
        ({"WETTED_PORT": "http"}, "write a whole number"),
        ({"WETTED_PORT": "65536"}, "from 0 to 65535"),
        ({"WETTED_WATCH_S": "nan"}, "from 0 to 3600"),
        ({"WETTED_KEEP_S": "1.5"}, "write a whole number"),
        ({"WETTED_SETTINGS": "/nowhere/at/all.toml"}, "cannot be read"),
    ],
)
def test_a_setting_that_cannot_be_meant_is_refused(environment: dict[str, str], words: str) -> None:
    with pytest.raises(SettingsError, match=words):
        read_settings(environment=environment)


@pytest.mark.parametrize(
    "text", ["port = true", 'port = "80"', "watch_s = inf", "cors_origins = [1]", "port =", "x = 1"]
)
def test_a_file_that_cannot_be_meant_is_refused(tmp_path: Path, text: str) -> None:
    file = tmp_path / "wetted.toml"
    file.write_text(text)
    with pytest.raises(SettingsError):
        read_settings(environment={}, file=file)


def test_variables_of_others_are_left_alone() -> None:
    assert read_settings(environment={"WETTED_CACHE_DIR": "/x", "HOST": "y"}).settings == Settings()


SERVICES = ("wetted", "wetted-api", "wetted-port", "wetted-canary-2")
PORT_NAMES = st.from_regex(r"[a-z][a-z0-9-]{0,12}", fullmatch=True)


@given(
    service=st.sampled_from(SERVICES),
    number=st.integers(1, 65535),
    protocol=st.sampled_from(("tcp", "udp", "sctp")),
    port_name=PORT_NAMES,
    host=st.ip_addresses(v=4),
)
def test_what_a_cluster_says_of_its_services_does_not_stop_the_server(
    service: str, number: int, protocol: str, port_name: str, host: object
) -> None:
    """Kubernetes documentation, "Service", "Environment variables": a service is told to every container so."""
    prefix, address = service.upper().replace("-", "_"), f"{protocol}://{host}:{number}"
    one = f"{prefix}_PORT_{number}_{protocol.upper()}"
    told = {
        f"{prefix}_SERVICE_HOST": str(host),
        f"{prefix}_SERVICE_PORT": str(number),
        f"{prefix}_SERVICE_PORT_{port_name.upper().replace('-', '_')}": str(number),
        f"{prefix}_PORT": address,
        one: address,
        f"{one}_PROTO": protocol,
        f"{one}_PORT": str(number),
        f"{one}_ADDR": str(host),
    }
    assert read_settings(environment=told).settings == Settings()


@pytest.mark.parametrize("name", [one.name for one in fields(Settings)])
def test_a_setting_with_one_letter_left_out_is_refused_with_the_nearest_name(name: str) -> None:
    for at in range(len(name)):
        variable = f"WETTED_{(name[:at] + name[at + 1 :]).upper()}"
        with pytest.raises(SettingsError, match=rf"nearest: .*\b{name}\b"):
            read_settings(environment={variable: "1"})


def test_a_variable_like_no_setting_is_left_to_whoever_reads_it() -> None:
    assert read_settings(environment={"WETTED_BUILD_COMMIT": "abc", "WETTED_TEAM": "x"}).settings == Settings()
