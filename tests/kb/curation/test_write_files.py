"""Several files change together or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from kb.curation.rows.write_files import FileChange, FileChangedError, change_files


@pytest.fixture
def two(tmp_path: Path) -> list[FileChange]:
    changes = [FileChange(tmp_path / name, name.encode(), name.encode() + b" anew") for name in ("a", "b")]
    for change in changes:
        change.path.write_bytes(change.before)
    return changes


def test_all_files_are_changed_and_nothing_is_left_lying(two: list[FileChange], tmp_path: Path) -> None:
    change_files(two)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"a anew", "b": b"b anew"}


def test_permissions_stay(two: list[FileChange]) -> None:
    two[0].path.chmod(0o640)
    change_files(two)
    assert two[0].path.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(two: list[FileChange], tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(two[0].path)
    change_files([FileChange(link, two[0].before, two[0].after)])
    assert link.is_symlink()
    assert two[0].path.read_bytes() == two[0].after


def test_a_file_that_somebody_changed_stops_all(two: list[FileChange], tmp_path: Path) -> None:
    two[1].path.write_bytes(b"by somebody else")
    with pytest.raises(FileChangedError):
        change_files(two)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"a", "b": b"by somebody else"}


def test_if_the_second_file_cannot_be_replaced_the_first_is_put_back(
    two: list[FileChange], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    really = Path.replace

    def fail_for_b(draft: Path, target: Path) -> Path:
        if target.name == "b":
            raise OSError(28, "No space left on device")
        return really(draft, target)

    monkeypatch.setattr(Path, "replace", fail_for_b)
    with pytest.raises(OSError, match="No space"):
        change_files(two)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"a", "b": b"b"}
