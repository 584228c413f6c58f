"""Loading: all tables or none, a cache that cannot lie, and a snapshot file that reaches nothing."""

from __future__ import annotations

import shutil
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from pathlib import Path

import duckdb
import pandas
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kb.load import KEPT_CACHE_FILES, STORE_FILE, TABLES_FOLDER, check_folder, default_cache, load_tables
from kb.store.duckdb_file import open_read_only
from kb.store.faults import TablesRefusedError
from kb.store.frozen import BuiltTables
from kb.store.tables_text import TEXT_FILE
from kb.store.temp_folder import TEMPORARY_PREFIX

FORMS = [STORE_FILE, TEXT_FILE]  # in alphabetical order


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shutil.copytree(TABLES_FOLDER, tmp_path / "tables")


@pytest.fixture(scope="module")
def warm_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    cache = tmp_path_factory.mktemp("cache")
    load_tables(cache=cache)
    return cache


@pytest.fixture(scope="module")
def built(warm_cache: Path) -> BuiltTables:
    return load_tables(cache=warm_cache)


@pytest.fixture
def never_validate(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("validated again")

    monkeypatch.setattr(sys.modules["kb.load"], "judge", refuse)  # `kb.load` is the function


def cached_file(cache: Path, form: str = STORE_FILE) -> Path:
    (path,) = cache.glob(f"*{form}")
    return path


def cache_of(form: str, warm_cache: Path, place: Path) -> Path:
    """Return a copy of a cache with one file of this form, where no other stands in for it."""
    cache = Path(tempfile.mkdtemp(dir=place))
    shutil.copy(cached_file(warm_cache, form), cache)
    return cache


def spoil(path: Path, old: bytes, new: bytes) -> None:
    content = path.read_bytes()
    assert old in content
    path.write_bytes(content.replace(old, new, 1))


def test_todays_tables_are_without_fault() -> None:
    assert check_folder() == []


def test_the_version_carries_the_digest(built: BuiltTables) -> None:
    version = (TABLES_FOLDER / "VERSION").read_text().strip()
    assert built.full_version == f"{version}+{built.digest[:12]}"


def test_rows_come_sorted_by_id(built: BuiltTables) -> None:
    for rows in built.rows.values():
        assert [row.id for row in rows] == sorted(row.id for row in rows)


def test_a_bad_table_refuses_all_of_them_with_every_fault_at_once(folder: Path, tmp_path: Path) -> None:
    spoil(folder / "tubes.csv", b",,10,,13,,,", b",,10,,1x,,,")
    spoil(folder / "tubes.csv", b",both,", b",bth,")
    spoil(folder / "seals.csv", b"seal/iso-3601-007,", b"seal/iso-3601-007,,")
    (folder / "ports.csv").unlink()
    with pytest.raises(TablesRefusedError) as refusal:
        load_tables(folder, cache=tmp_path / "cache")
    places = {(fault.file, fault.column, fault.code) for fault in refusal.value.faults}
    assert places == {
        ("tubes.csv", "od_mm", "CEL-001"),
        ("tubes.csv", "nominal_means", "CEL-001"),
        ("seals.csv", "", "CSV-010"),
        ("ports.csv", "", "TAB-002"),
    }
    assert all(fault.fix for fault in refusal.value.faults)
    assert all(fault.line > 1 for fault in refusal.value.faults if fault.file != "ports.csv")
    assert not list((tmp_path / "cache").glob("*"))


def test_a_missing_version_does_not_hide_faults_of_tables(folder: Path) -> None:
    (folder / "VERSION").unlink()
    spoil(folder / "tubes.csv", b",both,", b",bth,")
    assert [fault.code for fault in check_folder(folder)] == ["TAB-004", "CEL-001"]


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TablesRefusedError) as refusal:
        load_tables(tmp_path / "nowhere", cache=tmp_path)
    assert [fault.code for fault in refusal.value.faults] == ["TAB-003"]


@pytest.mark.usefixtures("never_validate")
def test_the_cache_gives_the_same_rows_without_validating(warm_cache: Path, built: BuiltTables) -> None:
    assert load_tables(cache=warm_cache) == built


def test_rows_from_the_cache_equal_rows_from_the_files(tmp_path: Path, built: BuiltTables) -> None:
    assert load_tables(cache=tmp_path) == built


def test_a_changed_table_is_not_answered_from_the_cache(folder: Path, tmp_path: Path) -> None:
    before = load_tables(folder, cache=tmp_path / "cache")
    spoil(folder / "tubes.csv", b"soft tube 10 x 13 mm", b"soft tube 10 by 13 mm")
    assert load_tables(folder, cache=tmp_path / "cache").digest != before.digest


def test_a_changed_version_needs_no_new_validation(folder: Path, warm_cache: Path, built: BuiltTables) -> None:
    (folder / "VERSION").write_text("2031.1.0\n")
    again = load_tables(folder, cache=warm_cache)
    assert (again.version, again.digest) == ("2031.1.0", built.digest)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("share", [0.0, 0.1, 0.5])
def test_a_truncated_cache_file_is_ignored_and_rebuilt(
    share: float, form: str, warm_cache: Path, tmp_path: Path, built: BuiltTables
) -> None:
    cache = cache_of(form, warm_cache, tmp_path)
    whole = cached_file(cache, form).read_bytes()
    cached_file(cache, form).write_bytes(whole[: int(len(whole) * share)])
    assert load_tables(cache=cache) == built
    assert [cached_file(cache, one).stat().st_size for one in FORMS] == [
        cached_file(warm_cache, one).stat().st_size for one in FORMS
    ]


@pytest.mark.parametrize("form", FORMS)
@settings(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.floats(0, 1, exclude_max=True), flip=st.integers(1, 255))
def test_a_cache_file_with_a_flipped_byte_never_changes_an_answer(
    form: str, warm_cache: Path, tmp_path: Path, built: BuiltTables, place: float, flip: int
) -> None:
    cache = cache_of(form, warm_cache, tmp_path)
    content = bytearray(cached_file(cache, form).read_bytes())
    content[int(place * len(content))] ^= flip
    cached_file(cache, form).write_bytes(content)
    assert load_tables(cache=cache) == built


@pytest.mark.parametrize("form", FORMS)
def test_a_cache_file_of_other_tables_is_ignored(form: str, folder: Path, warm_cache: Path, tmp_path: Path) -> None:
    spoil(folder / "tubes.csv", b"soft tube 10 x 13 mm", b"soft tube 10 by 13 mm")
    other = tmp_path / "other"
    load_tables(folder, cache=other)
    cache = cache_of(form, warm_cache, tmp_path)
    shutil.copy(cached_file(other, form), cached_file(cache, form))
    titles = {row.title for row in load_tables(cache=cache).rows["tubes"]}
    assert "soft tube 10 x 13 mm" in titles


def test_an_empty_database_in_the_cache_is_ignored(warm_cache: Path, tmp_path: Path, built: BuiltTables) -> None:
    cache = cache_of(STORE_FILE, warm_cache, tmp_path)
    path = cached_file(cache)
    path.unlink()
    duckdb.connect(str(path)).close()
    assert load_tables(cache=cache) == built


def test_the_text_file_is_the_text_that_its_name_gives_the_digest_of(warm_cache: Path, built: BuiltTables) -> None:
    path = cached_file(warm_cache, TEXT_FILE)
    assert sha256(path.read_bytes()).hexdigest() == built.digest
    assert path.stem == cached_file(warm_cache).stem == f"{path.stem[:64]}-{built.digest}"


@pytest.mark.usefixtures("never_validate")
@pytest.mark.parametrize("form", FORMS)
def test_either_cache_file_alone_gives_the_same_tables(
    form: str, warm_cache: Path, tmp_path: Path, built: BuiltTables
) -> None:
    alone = load_tables(cache=cache_of(form, warm_cache, tmp_path))
    assert (alone, alone.read_from) == (built, built.read_from)


@pytest.mark.usefixtures("never_validate")
def test_a_missing_or_damaged_text_file_is_made_again_from_the_store(warm_cache: Path, tmp_path: Path) -> None:
    whole = cached_file(warm_cache, TEXT_FILE).read_bytes()
    for damaged in (None, whole[:-1], whole + b"[]", whole.replace(b"10 x 13", b"10 x 14", 1)):
        cache = cache_of(STORE_FILE, warm_cache, tmp_path)
        if damaged is not None:
            (cache / cached_file(warm_cache, TEXT_FILE).name).write_bytes(damaged)
        load_tables(cache=cache)
        assert cached_file(cache, TEXT_FILE).read_bytes() == whole


@pytest.mark.parametrize("form", FORMS)
def test_a_cache_file_of_other_code_is_not_asked(
    form: str, warm_cache: Path, tmp_path: Path, built: BuiltTables, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = cache_of(form, warm_cache, tmp_path)
    monkeypatch.setattr(sys.modules["kb.load"], "_code_key", lambda: "of other code")
    assert load_tables(cache=cache) == built
    assert len(list(cache.glob(f"*{form}"))) == 2


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"[",
        b"[" * 100_000,
        b"5",
        b"null",
        '["ä"]'.encode(),
        b'["tubes", ["id"]]["tube/x"]',
        b'["tubes", [["id"]]]["tube/x"]',
        b'["no-such-table", []]',
        b'[5, []]["x"]',
        b'[[], []]["x"]',
    ],
)
def test_a_text_file_that_is_none_is_ignored_even_if_its_name_has_its_digest(
    content: bytes, warm_cache: Path, tmp_path: Path, built: BuiltTables
) -> None:
    cache = cache_of(STORE_FILE, warm_cache, tmp_path)
    key = cached_file(cache).stem[:64]
    (cache / f"{key}-{sha256(content).hexdigest()}{TEXT_FILE}").write_bytes(content)
    assert load_tables(cache=cache) == built


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b'["tubes", ["id"', b'["tubes", ["no_such_column"'),
        (b'["tubes", ["id", ', b'["tubes", ['),
        (b'"published"', b'"printed"'),
        (b'"published"', b"[]"),
        (b"2026-", b"20266-"),
    ],
)
def test_a_text_file_of_other_columns_or_words_is_ignored_even_if_its_name_has_its_digest(
    old: bytes, new: bytes, warm_cache: Path, tmp_path: Path, built: BuiltTables
) -> None:
    cache = cache_of(TEXT_FILE, warm_cache, tmp_path)
    spoil(cached_file(cache, TEXT_FILE), old, new)
    path = cached_file(cache, TEXT_FILE)
    path.rename(cache / f"{path.stem[:64]}-{sha256(path.read_bytes()).hexdigest()}{TEXT_FILE}")
    assert load_tables(cache=cache) == built


def test_tables_are_loaded_where_no_text_file_can_be_written(
    warm_cache: Path, tmp_path: Path, built: BuiltTables, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(sys.modules["kb.load"], "write_text", refuse)
    assert load_tables(cache=tmp_path / "cold") == built
    assert load_tables(cache=cache_of(STORE_FILE, warm_cache, tmp_path)) == built


@pytest.mark.parametrize("place", ["file-in-the-way", "file-in-the-way/deeper", "/proc/nowhere"])
def test_an_unwritable_cache_falls_back_to_memory(place: str, tmp_path: Path, built: BuiltTables) -> None:
    (tmp_path / "file-in-the-way").write_text("no folder")
    assert load_tables(cache=tmp_path / place) == built


def test_several_may_load_at_once(tmp_path: Path, built: BuiltTables) -> None:
    with ThreadPoolExecutor(max_workers=4) as pool:
        cold = list(pool.map(lambda _: load_tables(cache=tmp_path), range(4)))
        warm = list(pool.map(lambda _: load_tables(cache=tmp_path), range(4)))
    assert all(loaded == built for loaded in cold + warm)


def test_nothing_half_written_stays_in_the_cache(warm_cache: Path) -> None:
    assert sorted(path.suffix for path in warm_cache.iterdir()) == FORMS


def test_the_cache_does_not_grow_without_end(folder: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    cache.mkdir()
    for number in range(KEPT_CACHE_FILES + 3):
        for form in FORMS:
            (cache / f"old-{number}{form}").write_bytes(b"")
    load_tables(folder, cache=cache)
    for form in FORMS:
        assert len(list(cache.glob(f"*{form}"))) == KEPT_CACHE_FILES
        assert [path for path in cache.glob(f"*{form}") if path.stat().st_size]


def test_the_cache_folder_can_be_chosen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("WETTED_CACHE_DIR", str(tmp_path))
    assert default_cache() == tmp_path


def test_without_a_choice_the_cache_is_the_users(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("WETTED_CACHE_DIR", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert default_cache() == tmp_path / "wetted"


@pytest.mark.parametrize(
    "statement",
    [
        "SELECT * FROM read_csv('/etc/passwd')",
        "SELECT * FROM read_text('/etc/passwd')",
        "SELECT * FROM '/etc/passwd'",
        "SELECT * FROM python_object",
        "COPY tubes TO '/tmp/tubes-from-a-snapshot-file.csv'",
        "ATTACH '/tmp/other-beside-a-snapshot-file.duckdb'",
        "DELETE FROM tubes",
        "UPDATE tubes SET od_mm = 1",
        "INSERT INTO cautions SELECT * FROM cautions",
        "DROP TABLE tubes",
        "CREATE TABLE more (id INTEGER)",
        "SET enable_external_access = true",
        "SET lock_configuration = false",
        "SET python_enable_replacements = true",
    ],
)
def test_a_frozen_file_cannot_be_left_or_changed(warm_cache: Path, statement: str) -> None:
    python_object = pandas.DataFrame({"id": [1]})
    with open_read_only(cached_file(warm_cache)) as connection:
        with pytest.raises(duckdb.Error):
            connection.execute(statement)
        assert connection.execute("SELECT count(*) FROM tubes").fetchone() != (0,)
    assert len(python_object) == 1


def test_a_frozen_file_has_explicit_types(warm_cache: Path) -> None:
    with open_read_only(cached_file(warm_cache)) as connection:
        described = connection.execute("SELECT column_name, column_type FROM (DESCRIBE fittings)").fetchall()
    types = dict(described)
    assert (types["id"], types["angle_deg"], types["turns_after_tightening"]) == ("VARCHAR", "DOUBLE", "BOOLEAN")


def test_freezing_sweeps_what_a_killed_writer_left(tmp_path: Path) -> None:
    draft = tmp_path / f"{TEMPORARY_PREFIX}left"
    draft.mkdir()
    (draft / "tables.duckdb").write_bytes(b"torn")
    load_tables(cache=tmp_path)
    assert sorted(path.suffix for path in tmp_path.iterdir()) == FORMS


def test_tables_that_did_not_change_are_shared_with_those_before(folder: Path, tmp_path: Path) -> None:
    before = load_tables(folder, tmp_path)
    spoil(folder / "tubes.csv", b",acrylic tube 13 x 10 mm,", b",clear tube 13 x 10 mm,")
    fresh = load_tables(folder, tmp_path)
    again = load_tables(folder, tmp_path, before)
    assert again == fresh
    assert again.digest == fresh.digest != before.digest
    assert again.read_from == fresh.read_from
    assert {name for name, rows in again.rows.items() if rows is not before.rows[name]} == {"tubes"}


def test_sharing_does_not_let_a_forged_cache_file_through(folder: Path, tmp_path: Path) -> None:
    before = load_tables(folder, tmp_path)
    spoil(folder / "tubes.csv", b",acrylic tube 13 x 10 mm,", b",clear tube 13 x 10 mm,")
    fresh = load_tables(folder, tmp_path)
    cached_text = next(tmp_path.glob(f"*-{fresh.digest}{TEXT_FILE}"))
    cached_text.unlink()
    for path in tmp_path.glob(f"*-{fresh.digest}{STORE_FILE}"):
        with duckdb.connect(str(path)) as connection:
            connection.execute("UPDATE tubes SET title = 'forged' WHERE id = 'tube/acrylic-13x10'")
    assert load_tables(folder, tmp_path, before) == fresh
    spoil(cached_text, b"clear tube 13 x 10 mm", b"dirty tube 13 x 10 mm")
    assert load_tables(folder, tmp_path, before) == fresh
