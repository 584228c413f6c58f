"""New rows: whole, at their place, judged before they are written; nothing else changes."""

from __future__ import annotations

import csv
import io
import shutil
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import NamedTuple

import pytest

from api.cli.main import main
from kb.curation.rows.kinds import table_of
from kb.curation.rows.new_row import Draft, RowRefusedError, add_rows, alias_draft, fill, read_settings
from kb.curation.rows.proposals import nearest_rows, propose_id, usual_value
from kb.curation.rows.table_lines import with_line
from kb.load import TABLES_FOLDER, check_folder
from kb.store.faults import QuestionError
from kb.store.typed_rows import Tables, read_tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES
from schemas.tables.kinds import prefixes_of

TODAY = date(2031, 5, 17)
TUBE = (
    "family_id=family/tube-soft",
    "designation=9 x 13 mm",
    "nominal_means=both",
    "id_mm=9",
    "od_mm=13",
    "source_id=source/from-memory",
)
FITTING = (
    "family_id=family/fitting-barb",
    "title=barb for 9 mm soft tube, G 1/4",
    "angle_deg=0",
    "turns_after_tightening=no",
    "source_id=source/from-memory",
    "end-a.end_kind=male-thread",
    "end-a.thread_id=thread/g-1-4",
    "end-a.seals_on=face",
    "end-b.end_kind=barb",
    "end-b.tube_id_mm=9",
    "end-b.barb_od_mm=10.1",
)
RULE = (
    "topic=contact",
    "subject_id=metal/brass-yellow",
    "object_id=fluid/acetone",
    "is_directed=no",
    "level=warning",
    "requirement_id=requirement/thread-tried",
    "scope=couple",
    "level_reason=It may swell, and trying shows it.",
    "reason=An invented reason for a test.",
    "locator=p. 3",
    "confidence=medium",
    "condition-1.quantity_id=quantity/coolant-temperature",
    "condition-1.operator=>",
    "condition-1.value=60",
    "source.title=An invented handbook of cleaning",
    "source.kind=handbook",
    "source.how_seen=original",
    "source.publisher=Inventor",
    "source.year=2026",
    "source.address_kind=url",
    "source.address=https://example.org/",
)


class Outcome(NamedTuple):
    """How a call of `wetted` ended."""

    code: int
    out: str
    err: str


@pytest.fixture(scope="module")
def sound_tables() -> Tables:
    tables, faults = read_tables({f"{name}.csv": (TABLES_FOLDER / f"{name}.csv").read_bytes() for name in ROW_CLASSES})
    assert not faults
    return tables


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shutil.copytree(TABLES_FOLDER, tmp_path / "tables")


@pytest.fixture
def new(
    folder: Path, capsysbinary: pytest.CaptureFixture[bytes], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Outcome]:
    """Call `wetted tables new` on the folder; answers are typed line by line, without any nothing may be asked."""

    def call(*arguments: str, answers: str | None = None) -> Outcome:
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers or ""))
        asking = [] if answers is not None else ["--no-input"]
        code = main(["tables", "new", *arguments, "--folder", str(folder), *asking])
        captured = capsysbinary.readouterr()
        return Outcome(code, captured.out.decode(), captured.err.decode())

    return call


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def whole(table: str, settings: tuple[str, ...], tables: Tables) -> list[Draft]:
    drafts = read_settings(table, settings)
    fill(drafts, tables, TODAY)
    return drafts


def flags(settings: tuple[str, ...]) -> list[str]:
    return [word for setting in settings for word in ("--set", setting)]


def added_lines(before: dict[str, bytes], after: dict[str, bytes]) -> dict[str, list[str]]:
    """Return the new lines of every changed file, after making sure that without them the file is as it was."""
    changed = {name for name in before if before[name] != after[name]}
    assert set(before) == set(after)
    new: dict[str, list[str]] = {}
    for name in changed:
        old_lines = before[name].split(b"\n")
        new[name] = [line.decode() for line in after[name].split(b"\n") if line not in old_lines]
        kept = [line for line in after[name].split(b"\n") if line.decode() not in new[name]]
        assert b"\n".join(kept) == before[name]
    return new


@pytest.mark.parametrize("table", ROW_CLASSES)
def test_a_row_taken_out_and_put_back_leaves_the_same_bytes(table: str) -> None:
    content = (TABLES_FOLDER / f"{table}.csv").read_bytes()
    lines = content.split(b"\n")
    for number in (1, len(lines) // 2, len(lines) - 2):
        (cells,) = csv.reader(io.StringIO(lines[number].decode(), newline=""))
        without = b"\n".join(lines[:number] + lines[number + 1 :])
        again, placed = with_line(f"{table}.csv", without, cells)
        assert again == content
        assert placed.line == number + 1


def test_a_tube_takes_one_line_and_its_alias_another(folder: Path, sound_tables: Tables) -> None:
    before = contents(folder)
    drafts = read_settings("tubes", TUBE)
    drafts.append(alias_draft("9/13", 1))
    fill(drafts, sound_tables, TODAY)
    add_rows(folder, drafts)
    assert added_lines(before, contents(folder)) == {
        "tubes.csv": [
            "tube/soft-9x13,family/tube-soft,soft tube 9 x 13 mm,9 x 13 mm,both,,9,,13,,,"
            "source/from-memory,,from-memory,low,2031-05-17,,,,,,"
        ],
        "aliases.csv": [
            "alias/9-13,9/13,tube/soft-9x13,same,source/trade-usage,,common-practice,medium,2031-05-17,,,,,,"
        ],
    }
    assert check_folder(folder) == []


def test_a_fitting_comes_with_its_ends(folder: Path, sound_tables: Tables) -> None:
    before = contents(folder)
    placed = add_rows(folder, whole("fittings", FITTING, sound_tables))
    assert [line.file for line in placed] == ["fittings.csv", "fitting_ends.csv", "fitting_ends.csv"]
    assert set(added_lines(before, contents(folder))) == {"fittings.csv", "fitting_ends.csv"}
    assert check_folder(folder) == []


def test_a_rule_comes_with_its_condition_and_a_source_of_its_own(folder: Path, sound_tables: Tables) -> None:
    placed = add_rows(folder, whole("rules", RULE, sound_tables))
    assert [line.text.split(",")[0] for line in placed] == [
        "source/invented-handbook-cleaning",
        "rule/brass-yellow-in-acetone",
        "condition/brass-yellow-in-acetone-coolant-temperature",
    ]
    assert ",>,60,degC,source/invented-handbook-cleaning,p. 3,published,medium,2031-05-17" in placed[2].text
    assert check_folder(folder) == []


def test_the_line_reported_is_the_line_written(folder: Path, sound_tables: Tables) -> None:
    for line in add_rows(folder, whole("fittings", FITTING, sound_tables)):
        assert (folder / line.file).read_text().split("\n")[line.line - 1] == line.text


@pytest.mark.parametrize("spoiled", ["id_mm=14", "designation==1+1", "id=tube/soft-10x16"])
def test_a_refused_row_changes_no_file(spoiled: str, folder: Path, sound_tables: Tables) -> None:
    before = contents(folder)
    column = spoiled.partition("=")[0]
    settings = (*(text for text in TUBE if text.partition("=")[0] != column), spoiled)
    with pytest.raises(RowRefusedError) as refused:
        add_rows(folder, whole("tubes", settings, sound_tables))
    assert not refused.value.is_older
    assert all(fault.file == "tubes.csv" and fault.fix for fault in refused.value.faults)
    assert contents(folder) == before


def test_faults_that_stood_there_before_are_not_blamed_on_the_row(folder: Path, sound_tables: Tables) -> None:
    path = folder / "seals.csv"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    with pytest.raises(RowRefusedError) as refused:
        add_rows(folder, whole("tubes", TUBE, sound_tables))
    assert refused.value.is_older
    assert {fault.file for fault in refused.value.faults} == {"seals.csv"}


@pytest.mark.parametrize("table", ROW_CLASSES)
def test_a_proposed_id_is_well_formed_and_free(table: str, sound_tables: Tables) -> None:
    used = {row.id for row in sound_tables.rows[table]}
    for row in sound_tables.rows[table][:3]:
        cells = {field.name: str(getattr(row, field.name) or "") for field in fields_of(ROW_CLASSES[table])}
        proposed = propose_id(table, cells, sound_tables)
        assert proposed.startswith(tuple(f"{prefix}/" for prefix in prefixes_of(table)))
        assert proposed not in used


def test_a_material_is_named_after_the_root_of_its_family(sound_tables: Tables) -> None:
    cells = {"family_id": "family/fluoro-rubber", "title": "Some rubber"}
    assert propose_id("materials", cells, sound_tables) == "elastomer/some-rubber"


def test_sources_are_found_by_words(sound_tables: Tables) -> None:
    assert nearest_rows("en 1057", ("sources",), sound_tables)[0].id == "source/en-1057"
    assert nearest_rows("plastic pipe", ("sources",), sound_tables)[0].id == "source/plastic-pipe-manual"


def test_the_rank_of_a_new_source_is_that_of_its_like(sound_tables: Tables) -> None:
    assert usual_value("sources", "rank", {"kind": "standard"}, sound_tables) == "1"


@pytest.mark.parametrize(
    ("settings", "named"),
    [
        (["odmm=3"], "od_mm"),
        (["end-a.value=3"], "alias"),
        (["nothing"], "column=value"),
        (["id_mm=1", "id_mm=2"], "id_mm"),
    ],
)
def test_settings_that_set_nothing_name_what_they_could(settings: list[str], named: str) -> None:
    with pytest.raises(QuestionError) as error:
        read_settings("tubes", settings)
    assert named in f"{error.value} {error.value.nearest}"


def test_an_unknown_kind_names_the_nearest() -> None:
    with pytest.raises(QuestionError) as error:
        table_of("tub")
    assert "tube" in error.value.nearest


def test_the_command_prints_the_line_and_its_place(new: Callable[..., Outcome], folder: Path) -> None:
    done = new("tube", *flags(TUBE), "--alias", "9/13")
    assert done.code == 0
    places = [line.split(" ")[0] for line in done.out.splitlines()]
    for place in places:
        file, line = place.split(":")
        assert (folder / file).read_text().split("\n")[int(line) - 1] in done.out
    assert [place.split(":")[0] for place in places] == ["tubes.csv", "aliases.csv"]


def test_a_trial_writes_nothing(new: Callable[..., Outcome], folder: Path) -> None:
    before = contents(folder)
    done = new("tube", *flags(TUBE), "--dry-run")
    assert (done.code, "tube/soft-9x13,family/tube-soft" in done.out) == (0, True)
    assert contents(folder) == before


def test_what_is_missing_is_reported_all_at_once_with_the_remedy(new: Callable[..., Outcome], folder: Path) -> None:
    before = contents(folder)
    done = new("tube", "--set", "family_id=family/tube-soft")
    assert done.code == 2
    assert [line.split()[1] for line in done.err.splitlines()] == [
        "designation",
        "nominal_means",
        "source_id",
        "basis",
        "confidence",
        "title",
    ]
    assert "One of: inside, outside, both, neither." in done.err
    assert "--set designation=..." in done.err
    assert contents(folder) == before


def test_a_refused_command_reports_the_faults_and_changes_nothing(new: Callable[..., Outcome], folder: Path) -> None:
    before = contents(folder)
    done = new("tube", *flags((*TUBE[:4], "od_mm=8", TUBE[5])))
    assert done.code == 3
    assert "tube/soft-9x13 od_mm TUB-001" in done.err
    assert contents(folder) == before


def test_a_row_is_asked_for_column_by_column_and_again_where_it_was_refused(
    new: Callable[..., Outcome], folder: Path
) -> None:
    answers = ["soft tube", "family/tube-soft", "9 x 13 mm", "both", "13", "13", "", "source/plastic-pipe-manual"]
    answers += [
        "",
        "",
        "page 4",
        "medium",
        "",
        "",
        "",
        "",
    ]  # basis, locator twice, confidence, note, names, alias
    answers += ["", "", "", "9", *[""] * 12]  # the same again, with another inside diameter
    done = new("tube", answers="\n".join(answers) + "\n")
    assert done.code == 0, done.err
    assert "no row has this id; the nearest are:" in done.err
    assert done.out.splitlines()[0].endswith(
        f",9,,13,,,source/plastic-pipe-manual,page 4,published,medium,{date.today().isoformat()},curator,original,,,,"
    )
    assert "alias/9-13,9/13,tube/soft-9x13,same" in done.out
    assert check_folder(folder) == []


def test_inches_go_into_their_own_column(new: Callable[..., Outcome]) -> None:
    answers = ["family/tube-soft", "7/16 x 3/4 in", "both", "7/16 in", '3/4"', "", "source/from-memory"]
    answers += ["", "", "", "", "", "", "-"]
    done = new("tube", "--dry-run", answers="\n".join(answers) + "\n")
    assert "tube/soft-7-16x3-4,family/tube-soft,soft tube 7/16 x 3/4 in,7/16 x 3/4 in,both,7/16,,3/4,," in done.out, (
        done.err
    )


def test_questions_that_find_no_answer_end_quietly(new: Callable[..., Outcome], folder: Path) -> None:
    before = contents(folder)
    done = new("tube", answers="family/tube-soft\n")
    assert (done.code, done.out) == (130, "")
    assert contents(folder) == before
