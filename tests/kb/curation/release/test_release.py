"""A release holds everything, the same bytes wherever it is built, and describes itself truly."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import duckdb
import jsonschema_rs
import pytest

from kb.curation.release.build import build_release
from kb.knowledge_base import KnowledgeBase
from kb.load import TABLES_FOLDER
from kb.store.faults import QuestionError
from kb.store.frozen import BuiltTables
from kb.store.release_tables import cell_text
from schemas.columns.columns import fields_of
from schemas.questions.questions import PairQuestion
from schemas.tables import ROW_CLASSES

CHECKOUT = Path(__file__).resolve().parents[4]
PLACES = (
    {"TZ": "Asia/Tokyo", "PYTHONHASHSEED": "1", "LC_ALL": "C", "UMASK": "077"},
    {"TZ": "America/Lima", "PYTHONHASHSEED": "2", "LC_ALL": "C.UTF-8", "UMASK": "002"},
)


def files_of(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def cells_of(release: Path, table: str) -> list[dict[str, str]]:
    text = (release / "csv" / f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_everything_promised_is_there(release: Path) -> None:
    single = {"README.md", "CHANGELOG.md", "CITATION.cff", "LICENSE", "LICENSE-DATA.md", "SHA256SUMS"}
    single |= {"release.json", "datapackage.json", "openapi.json", "wetted.duckdb"}
    of_tables = {f"{form}/{table}.{form}" for table in ROW_CLASSES for form in ("csv", "parquet")}
    assert set(files_of(release)) == single | of_tables | {"schemas/questions.json", "schemas/answers.json"}


@pytest.mark.long
def test_the_same_tables_give_the_same_bytes_whatever_the_clock_language_and_hashes(tmp_path: Path) -> None:
    built = []
    for number, place in enumerate(PLACES):
        target = tmp_path / str(number)
        command = [sys.executable, "-m", "api.cli.main", "tables", "release", str(target)]
        os_mask = int(place["UMASK"], 8)
        run = subprocess.run(
            command, cwd=CHECKOUT, env={**os.environ, **place}, umask=os_mask, capture_output=True, check=False
        )
        assert run.returncode == 0, run.stderr
        built.append(files_of(target))
        assert target.stat().st_mode & 0o777 == 0o755
    one, other = built
    differing = {name for name in one if one[name] != other.get(name)} | (set(other) - set(one))
    assert differing <= {"wetted.duckdb"}
    assert json.loads(one["openapi.json"])["info"]["title"] == "wetted"


def test_checksums_name_every_file_but_the_database(release: Path) -> None:
    listed = dict(line.split("  ")[::-1] for line in (release / "SHA256SUMS").read_text().splitlines())
    files = {
        name: content for name, content in files_of(release).items() if name not in ("SHA256SUMS", "wetted.duckdb")
    }
    assert listed == {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


@pytest.mark.parametrize("table", ["tubes", "rules", "sources", "thread_tolerances", "pumps"])
def test_csv_and_parquet_say_what_the_tables_say(table: str, release: Path, tables: BuiltTables) -> None:
    names = [field.name for field in fields_of(ROW_CLASSES[table])]
    said = [[cell_text(getattr(row, name)) for name in names] for row in tables.rows[table]]
    assert [list(row.values()) for row in cells_of(release, table)] == said
    parquet = duckdb.read_parquet(str(release / "parquet" / f"{table}.parquet"))
    assert parquet.columns == names
    rows = [[cell_text(tuple(cell) if isinstance(cell, list) else cell) for cell in row] for row in parquet.fetchall()]
    assert rows == said


def test_millimetres_stand_beside_printed_inches(release: Path) -> None:
    row = next(row for row in cells_of(release, "tubes") if row["id"] == "tube/soft-3-8x5-8")
    assert (row["id_in"], row["id_mm"], row["od_in"], row["od_mm"]) == ("3/8", "9.525", "5/8", "15.875")


def package(release: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((release / "datapackage.json").read_text(encoding="utf-8"))
    return found


def test_the_package_names_every_table_with_its_size_and_hash(release: Path) -> None:
    for resource in package(release)["resources"]:
        content = (release / resource["path"]).read_bytes()
        assert resource["bytes"] == len(content)
        assert resource["hash"] == f"sha256:{hashlib.sha256(content).hexdigest()}"
    assert [resource["name"] for resource in package(release)["resources"]] == list(ROW_CLASSES)


def violations(field: dict[str, Any], text: str) -> Iterator[str]:
    """Yield what a cell breaks of its field, read by the words of the standard alone."""
    limits = field.get("constraints", {})
    if text == "":
        if limits.get("required"):
            yield "required"
        return
    if field["type"] in ("number", "integer"):
        value = float(text)
        broken = {
            "minimum": value < limits.get("minimum", value),
            "maximum": value > limits.get("maximum", value),
            "exclusiveMinimum": value <= limits.get("exclusiveMinimum", value - 1),
            "exclusiveMaximum": value >= limits.get("exclusiveMaximum", value + 1),
        }
        yield from (name for name, is_broken in broken.items() if is_broken)
    if field["type"] == "boolean" and text not in field["trueValues"] + field["falseValues"]:
        yield "boolean"
    if field["type"] == "date":
        date.fromisoformat(text)
    if "pattern" in limits and not re.fullmatch(limits["pattern"], text):
        yield "pattern"
    if "enum" in limits and text not in limits["enum"]:
        yield "enum"


def test_every_cell_keeps_what_the_package_says_of_it(release: Path) -> None:
    for resource in package(release)["resources"]:
        fields = resource["schema"]["fields"]
        for row in cells_of(release, resource["name"]):
            assert list(row) == [field["name"] for field in fields]
            for field in fields:
                assert not list(violations(field, row[field["name"]])), (resource["name"], row["id"], field["name"])


def test_every_key_of_the_package_leads_to_a_row(release: Path) -> None:
    rows = {table: cells_of(release, table) for table in ROW_CLASSES}
    for resource in package(release)["resources"]:
        own = [row["id"] for row in rows[resource["name"]]]
        assert resource["schema"]["primaryKey"] == ["id"]
        assert len(set(own)) == len(own)
        for key in resource["schema"].get("foreignKeys", ()):
            target = key["reference"].get("resource", resource["name"])
            ids = {row["id"] for row in rows[target]} | {""}
            assert {row[key["fields"][0]] for row in rows[resource["name"]]} <= ids


def test_units_and_further_references_are_reported(release: Path) -> None:
    fields = {
        (resource["name"], field["name"]): field
        for resource in package(release)["resources"]
        for field in resource["schema"]["fields"]
    }
    assert fields["tubes", "od_mm"]["unit"] == "mm"
    assert "metal" not in fields["rules", "subject_id"].get("constraints", {})
    assert {"families", "materials", "fluids"} <= set(fields["rules", "subject_id"]["refersTo"])
    assert fields["rules", "caution_ids"]["refersTo"] == ["cautions"]


def test_real_questions_and_answers_keep_the_schemas(release: Path, base: KnowledgeBase) -> None:
    asked = json.loads((release / "schemas/questions.json").read_text(encoding="utf-8"))
    reported = json.loads((release / "schemas/answers.json").read_text(encoding="utf-8"))
    loop = json.loads((CHECKOUT / "kb/examples/first-loop.json").read_text(encoding="utf-8"))
    pair = PairQuestion(a="tube/soft-10x16", b="fitting/barb-10-g-1-4")

    def keeps(schema: dict[str, Any], name: str, document: Any) -> bool:
        return jsonschema_rs.is_valid({"$ref": f"#/$defs/{name}", "$defs": schema["$defs"]}, document)

    assert keeps(asked, "LoopQuestion", loop)
    assert not keeps(asked, "LoopQuestion", {**loop, "fluit": "x"})
    assert keeps(reported, "PairAnswer", json.loads(base.pair(**dict(pair)).to_json()))
    assert keeps(reported, "FindAnswer", json.loads(base.find("10/16").to_json()))
    assert not keeps(reported, "PairAnswer", {"verdict": "perhaps"})


def test_every_question_has_an_answer_in_the_schemas(release: Path) -> None:
    asked = json.loads((release / "schemas/questions.json").read_text(encoding="utf-8"))["anyOf"]
    names = {part["$ref"].rpartition("/")[2] for part in asked}
    assert {"PairQuestion", "PartnersQuestion", "BetweenQuestion", "FindQuestion", "LoopQuestion"} <= names


def test_the_citation_names_nobody_and_the_version(release: Path, tables: BuiltTables) -> None:
    text = (release / "CITATION.cff").read_text(encoding="utf-8")
    assert 'name: "the wetted contributors"' in text
    assert "family-names" not in text
    assert f'version: "{tables.version}"' in text


@pytest.mark.long
def test_the_changelog_reports_by_meaning_what_changed_since(
    tables: BuiltTables, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    older = tmp_path / "older"
    older.mkdir()
    for path in TABLES_FOLDER.iterdir():
        content = path.read_bytes()
        if path.name == "tubes.csv":
            content = content.replace(b"soft tube 10 x 13 mm", b"soft tube 10 by 13 mm")
        (older / path.name).write_bytes(content)
    build_release(tmp_path / "release", tables, TABLES_FOLDER, since="older")
    text = (tmp_path / "release/CHANGELOG.md").read_text(encoding="utf-8")
    assert "tube/soft-10x13" in text


def test_an_unknown_revision_leaves_no_folder(tables: BuiltTables, tmp_path: Path) -> None:
    with pytest.raises(QuestionError):
        build_release(tmp_path / "release", tables, TABLES_FOLDER, since="no-such-revision")
    assert list(tmp_path.iterdir()) == []
