"""Temporary folders of dead writers go, those of living ones stay."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kb.store import temp_folder as drafts
from kb.store.temp_folder import OLDEST_TEMPORARY_S, sweep_temporary_folders, temporary_folder

CHECKOUT = Path(__file__).resolve().parents[3]
_WRITING = """
import sys, time
from pathlib import Path
from kb.store.temp_folder import temporary_folder
with temporary_folder(Path(sys.argv[1]), ".writing-") as folder:
    (folder / "half").write_text("half")
    print("writing", flush=True)
    time.sleep(60)
"""
needs_locks = pytest.mark.skipif(sys.platform == "win32", reason="folders cannot be locked there")


def test_a_draft_is_gone_when_its_writer_is_done(tmp_path: Path) -> None:
    with temporary_folder(tmp_path, ".x-") as folder:
        (folder / "file").write_text("text")
    assert list(tmp_path.iterdir()) == []


@needs_locks
def test_a_draft_is_swept_as_soon_as_its_writer_is_killed_and_not_before(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", _WRITING, str(tmp_path)], cwd=CHECKOUT, stdout=subprocess.PIPE
    ) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"writing\n"
        assert sweep_temporary_folders(tmp_path, ".writing-") == 0
        assert len(list(tmp_path.glob(".writing-*/half"))) == 1
        writer.kill()
    assert sweep_temporary_folders(tmp_path, ".other-") == 0
    assert sweep_temporary_folders(tmp_path, ".writing-") == 1
    assert list(tmp_path.iterdir()) == []


@needs_locks
def test_a_new_draft_sweeps_dead_ones_of_its_kind_and_leaves_living_ones(tmp_path: Path) -> None:
    (tmp_path / ".x-dead").mkdir()
    (tmp_path / ".x-file").write_text("no folder")
    with temporary_folder(tmp_path, ".x-") as first, temporary_folder(tmp_path, ".x-") as second:
        assert set(tmp_path.iterdir()) == {first, second, tmp_path / ".x-file"}


def test_where_nothing_can_be_locked_only_old_drafts_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "_held", lambda *_, **__: None)
    for name, age_s in ((".x-old", OLDEST_TEMPORARY_S + 60), (".x-young", 60)):
        (tmp_path / name).mkdir()
        os.utime(tmp_path / name, (time.time() - age_s,) * 2)
    assert sweep_temporary_folders(tmp_path, ".x-") == 1
    assert [path.name for path in tmp_path.iterdir()] == [".x-young"]
