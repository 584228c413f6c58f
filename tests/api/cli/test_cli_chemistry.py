"""The command line on wetted materials: the knowledge base's answers, pages a builder can read."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from itertools import groupby
from pathlib import Path

import pytest

from kb import KnowledgeBase
from kb.store.examples import read_example
from schemas.questions.questions import MatrixQuestion, MixQuestion

DEMO = "example/first-loop"
WATER = "fluid/distilled-water"
IN_WATER = ("metal/copper", WATER)
FLUIDS = ("fluids", "metal/copper", "metal/brass-yellow", "metal/nickel-plate-electrolytic", "--limit", "100")
MATRIX = ("matrix", "family/brass", "family/ethylene-glycol")
WIDE = ("matrix", "family/brass", "family/glycol-coolant")
SIGNS = {"compatible": "✓", "conditional": "~", "unknown": "?", "incompatible": "✗"}


def flat(text: str) -> str:
    """Return a page as one line, so that where it wraps does not matter."""
    return " ".join(text.split())


def title(knowledge: KnowledgeBase, row_id: str) -> str:
    return knowledge.record(row_id).record.title


@pytest.fixture
def demo(wetted: Callable) -> tuple[dict, str]:
    """The demo loop as JSON and as a page."""
    return json.loads(wetted("loop", DEMO, "--json").out), wetted("loop", DEMO).out


@pytest.fixture
def small_loop(tmp_path: Path) -> Path:
    """A loop with additives, a metal nobody has rules for in it, a small anode and parts of unknown material."""
    ports = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}
    radiator = {"core": "metal/magnesium", "tank": "metal/silver", "solder": "metal/titanium"}
    loop = {
        "name": "small loop",
        "parts": {
            "cpu": {
                "kind": "block",
                "ports": ports,
                "materials": {"base-plate": "metal/copper", "plating": None},
                "areas_cm2": {"base-plate": 500},
            },
            "radiator": {"kind": "radiator", "ports": ports, "materials": radiator, "areas_cm2": {"core": 5}},
            "meter": {"kind": "sensor", "ports": ports},
        },
        "fluid": {
            "is": "fluid/propylene-glycol-inhibited-premix",
            "additives": ["additive/silver-coil", "additive/benzotriazole"],
        },
    }
    file = tmp_path / "loop.json"
    file.write_text(json.dumps(loop))
    return file


def chemistry_of(page: str) -> str:
    """Return the section of a loop page on chemistry."""
    section = page.split("\nChemistry: ")[1]
    for next_heading in ("Joints", "Parts list", "Under other circumstances", "Safety"):
        section = section.split(f"\n{next_heading}\n", maxsplit=1)[0]
    return f"Chemistry: {section}"


def test_json_of_fluids_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    asked = {
        "parts": ["metal/copper", {"is": "tube/soft-10x16", "material": "elastomer/epdm"}],
        "additives": ["additive/benzotriazole"],
        "conditions": {"coolant-temperature": 55.0},
        "limit": 3,
    }
    options = ("--additive", "additive/benzotriazole", "--condition", "coolant-temperature=55", "--limit", "3")
    reported = wetted("fluids", "metal/copper", json.dumps(asked["parts"][1]), *options, "--json")
    answer = knowledge.fluids(**asked)
    assert reported == (0, answer.to_json(indent=2) + "\n", "")


def test_json_of_materials_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    asked = {"fluid": WATER, "family": "family/plastic", "conditions": {"coolant-temperature": 55.0}, "limit": 4}
    reported = wetted(
        *("materials", WATER, "--family", "family/plastic"),
        *("--condition", "coolant-temperature=55", "--limit", "4", "--json"),
    )
    answer = knowledge.materials(**asked)
    assert reported == (0, answer.to_json(indent=2) + "\n", "")


def test_json_of_a_matrix_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = MatrixQuestion(rows=MATRIX[1], columns=MATRIX[2], conditions={"coolant-temperature": 55.0})
    reported = wetted(*MATRIX, "--condition", "coolant-temperature=55", "--json")
    assert reported == (0, knowledge.matrix(**dict(question)).to_json(indent=2) + "\n", "")


def test_json_of_a_mixture_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = MixQuestion(
        glycol="ethylene-glycol",
        concentrate_parts=1.5,
        water_parts=3.0,
        concentrate_glycol_percent=95.0,
        temperature_c=20.0,
    )
    options = ("--parts", "1.5:3", "--concentrate-share", "95", "--temperature", "20", "--json")
    reported = wetted("mix", "ethylene-glycol", *options)
    assert reported.out == knowledge.mix(**dict(question)).to_json(indent=2) + "\n"


@pytest.mark.parametrize(("parts", "code"), [("1:2", 0), ("1:3.5", 10), ("4:1", 10)])
def test_a_mixture_ends_with_the_code_of_its_verdict(wetted: Callable, parts: str, code: int) -> None:
    reported = wetted("mix", "propylene-glycol", "--parts", parts)
    findings = json.loads(wetted("mix", "propylene-glycol", "--parts", parts, "--json").out)["findings"]
    assert reported.code == code
    assert reported.out.split()[1].lower() == findings[0]["verdict"]


def test_lists_end_with_code_0_whatever_is_in_them(wetted: Callable) -> None:
    for arguments in (("materials", "fluid/acetone"), FLUIDS, MATRIX, (*MATRIX, "--csv")):
        reported = wetted(*arguments)
        assert (reported.code, reported.err) == (0, "")
        assert "incompatible" in reported.out.lower()


def test_a_mixture_page_names_shares_freezing_point_and_library(wetted: Callable) -> None:
    page = flat(wetted("mix", "propylene-glycol", "--parts", "1:3", "--concentrate-share", "95").out)
    for words in ("glycol by volume 23.8 %", "glycol by mass 24.", "begins to freeze at -9.", "CoolProp"):
        assert words in page


def test_what_the_library_does_not_hold_is_called_unknown(wetted: Callable) -> None:
    reported = wetted("mix", "ethylene-glycol", "--parts", "3:1").out
    assert "begins to freeze at           not known: outside the library's range" in reported


def test_a_title_of_a_substance_is_taken_for_its_id_and_it_is_said(wetted: Callable) -> None:
    by_title, by_id = wetted("pair", "Copper", "distilled  water", "--json"), wetted("pair", *IN_WATER, "--json")
    assert by_title.out == by_id.out
    assert by_title.err.splitlines() == [
        "wetted: a: 'Copper' is taken as metal/copper",
        "wetted: b: 'distilled  water' is taken as fluid/distilled-water",
    ]


def test_a_matrix_as_csv_has_a_line_a_cell(wetted: Callable) -> None:
    cells = json.loads(wetted(*MATRIX, "--json").out)["cells"]
    header, *lines = csv.reader(io.StringIO(wetted(*MATRIX, "--csv").out))
    assert header == ["row", "column", "verdict", "decided_by"]
    assert lines == [[one["row"], one["column"], one["verdict"], " ".join(one["decided_by"])] for one in cells]
    assert any(" " in line[3] for line in lines)


def test_a_matrix_that_fits_is_a_table_of_signs(
    wetted: Callable, knowledge: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    answer, page = json.loads(wetted(*MATRIX, "--json").out), wetted(*MATRIX).out
    for row in answer["rows"]:
        signs = [SIGNS[cell["verdict"]] for cell in answer["cells"] if cell["row"] == row]
        assert f"{title(knowledge, row)} {' '.join(signs)}" in flat(page)
    for number, column in enumerate(answer["columns"], 1):
        assert f"{number} {title(knowledge, column)}" in flat(page)


def test_a_matrix_too_wide_for_a_table_is_reported_by_row(
    wetted: Callable, knowledge: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    answer, page = json.loads(wetted(*WIDE, "--json").out), flat(wetted(*WIDE).out)
    rows = [title(knowledge, row) for row in answer["rows"]]
    places = [page.index(f"{row} {sign}") for row in rows for sign in SIGNS.values() if f"{row} {sign}" in page]
    assert len(places) == len(rows)
    assert places == sorted(places)
    assert f"The columns: {'; '.join(title(knowledge, one) for one in answer['columns'])}" in page


@pytest.mark.parametrize("columns", ["60", "100"])
def test_what_decides_a_matrix_is_reported_in_words(
    wetted: Callable, knowledge: KnowledgeBase, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    worst = [cell for cell in json.loads(wetted(*MATRIX, "--json").out)["cells"] if cell["verdict"] == "incompatible"]
    page = flat(wetted(*MATRIX).out)
    assert worst
    for rule in {rule for cell in worst for rule in cell["decided_by"]}:
        assert str(knowledge.record(rule).record.values["reason"]) in page


def test_suitable_fluids_stand_under_their_verdicts_best_first(wetted: Callable) -> None:
    answer, page = json.loads(wetted(*FLUIDS, "--json").out), flat(wetted(*FLUIDS).out)
    assert page.startswith("Compatible with copper, yellow brass and electrolytic nickel plating, best first")
    places = [page.index(f"{SIGNS[one['verdict']]} {one['title']} {one['id']}") for one in answer["suitable"]]
    assert places == sorted(places)
    headings = [page.index(f" {word}") for word in ("Compatible", "Conditional", "Unknown", "Incompatible")]
    assert headings == sorted(headings)


def test_neighbours_of_one_reason_share_it(wetted: Callable) -> None:
    arguments = ("materials", WATER, "--family", "family/elastomer")
    answer, page = json.loads(wetted(*arguments, "--json").out), flat(wetted(*arguments).out)
    neighbours = [reason for reason, _ in groupby(one["reason"] for one in answer["suitable"])]
    for reason in neighbours:
        assert page.count(reason) <= neighbours.count(reason)


def test_reasons_left_out_of_a_list_are_counted(wetted: Callable) -> None:
    answer, page = json.loads(wetted(*FLUIDS, "--json").out), flat(wetted(*FLUIDS).out)
    many = [one for one in answer["suitable"] if one["faults"] > 2]
    assert many
    for one in many:
        assert f"(and {one['faults'] - 1} more reasons)" in page


def test_a_shortened_list_says_that_there_is_more(wetted: Callable) -> None:
    assert "There are more: raise --limit." in flat(wetted("materials", WATER, "--limit", "2").out)
    assert "There are more" not in flat(wetted("materials", WATER, "--limit", "200").out)


def test_a_pair_page_reports_what_other_sources_say(wetted: Callable) -> None:
    answer, page = json.loads(wetted("pair", *IN_WATER, "--json").out), flat(wetted("pair", *IN_WATER).out)
    disputes = [one for finding in answer["findings"] for one in finding["disputes"]]
    assert disputes
    assert {"compatible", "incompatible"} <= {one["verdict"] for one in disputes}
    for one in disputes:
        assert f"Another source says {one['verdict']}: {one['reason']} (confidence {one['confidence']}" in page
        assert one["source"] in page.split(" Sources ")[1]


def test_a_pair_page_reports_which_values_nobody_stated_and_how_to_state_them(wetted: Callable) -> None:
    page = flat(wetted("pair", *IN_WATER).out)
    assert "Applies with pH at least 5 (usual: 5.6) and pH below 8.2 (usual: 5.6)" in page
    assert "to state yours: --condition ph=7.5" in page
    stated = flat(wetted("pair", *IN_WATER, "--condition", "ph=7.5").out)
    assert "pH below 8.2 (stated: 7.5)" in stated
    assert "pH below 8.2 (usual" not in stated


def test_of_substances_the_pair_as_a_whole_is_reported_before_circumstances(wetted: Callable) -> None:
    answer, page = json.loads(wetted("pair", *IN_WATER, "--json").out), flat(wetted("pair", *IN_WATER).out)
    decides = [one for one in answer["findings"] if one["verdict"] == answer["verdict"]]
    (contact,) = [one for one in decides if one["code"] == "rule-contact"]
    assert page.split("What decides")[1].startswith(f" ~ {contact['sentence']}")


def test_what_is_well_takes_one_line_a_topic_of_a_pair_page(wetted: Callable) -> None:
    page = wetted("pair", "metal/copper", "fluid/propylene-glycol-inhibited-premix").out
    well = page.split("What fits\n")[1].split("\n\n")[0]
    for topic in ("contact", "acidity"):
        assert f"✓ {topic} " in well
    assert "rule/" not in well


def test_what_other_circumstances_would_change_is_reported_worst_first(wetted: Callable) -> None:
    page = wetted("pair", "metal/copper", "fluid/propylene-glycol-inhibited-premix").out
    section = page.split("Under other circumstances\n")[1].split("\n\n")[0]
    signs = [line.strip()[0] for line in section.splitlines() if line.startswith("  ") and line.strip()[0] in "✗~?✓"]
    assert signs == sorted(signs, key="✗?~✓".index)
    assert "✗ incompatible if pH below 6.5 (usual: " in section
    assert "✓" not in signs


def test_a_part_in_a_fluid_is_reported_by_its_materials_and_one_reason_once(wetted: Callable) -> None:
    page = flat(wetted("pair", "fitting/barb-3-8-g-1-4", WATER).out)
    assert "fitting/barb-3-8-g-1-4 with fluid/distilled-water" in page
    assert "bacteria" not in page, "growth is a matter of the water, whatever it touches"


def test_sources_end_with_those_of_the_reasons_shown(wetted: Callable) -> None:
    answer, page = json.loads(wetted("pair", *IN_WATER, "--json").out), wetted("pair", *IN_WATER).out
    listed = {word for word in page.split("\nSources\n")[1].split() if word.startswith("source/")}
    shown = [one for one in answer["findings"] if one["code"] != "rule-not-met"]
    disputes = {one["source"] for finding in shown for one in finding["disputes"]}
    assert listed == {source for one in shown for source in one["sources"]} | disputes


def test_the_chemistry_of_a_loop_stands_between_what_is_wrong_and_the_joints(demo: tuple[dict, str]) -> None:
    _, page = demo
    headings = ["What is wrong", "Chemistry: distilled water", "Joints", "Parts list", "Sources"]
    places = [page.index(f"\n{heading}\n") for heading in headings]
    assert places == sorted(places)
    assert "usually changed after 6 months" in chemistry_of(page)


def test_every_fault_of_a_loop_is_reported_once(demo: tuple[dict, str]) -> None:
    answer, page = demo
    for finding in answer["findings"]:
        reason = finding["rules"][0]["reason"] if finding["rules"] else finding["sentence"]
        assert flat(page).count(reason) == 1


def test_the_chemistry_of_a_loop_calls_substances_by_name(demo: tuple[dict, str], knowledge: KnowledgeBase) -> None:
    answer, page = demo
    section = flat(chemistry_of(page))
    assert not any(f"{kind}/" in section for kind in ("metal", "plastic", "elastomer", "fluid"))
    for surface in answer["chemistry"]["surfaces"]:
        assert surface["place"] in section
        assert f"{surface['role'].replace('-', ' ')}: {title(knowledge, surface['material'])}" in section


def test_usual_materials_of_a_loop_are_marked_and_named_ones_are_not(demo: tuple[dict, str]) -> None:
    _, page = demo
    section = flat(chemistry_of(page))
    assert (
        "pump body: polyamide 66 with glass fibre (usual); impeller: PPS (usual); seal: EPDM rubber (usual)" in section
    )
    assert "cpu base plate: copper; seal: EPDM rubber; top: acrylic" in section
    assert "name yours" in section


def test_couples_of_a_loop_are_reported_worst_first_with_voltage_and_anode(demo: tuple[dict, str]) -> None:
    answer, page = demo
    couples = flat(chemistry_of(page)).split("Galvanic couples")[1].split("Materials in the coolant")[0]
    assert "aluminium 3003 beside copper (voltage in seawater 0.43 V;" in couples
    assert "anode: aluminium 3003)" in couples
    assert couples.index("✗ aluminium 3003") < couples.index("~ copper beside electrolytic nickel plating")
    assert len(answer["chemistry"]["couples"]) == couples.count(" beside copper (") + couples.count(
        " beside electrolytic nickel plating"
    )


def test_platings_of_a_loop_are_reported_with_what_lies_under_them(demo: tuple[dict, str]) -> None:
    platings = flat(chemistry_of(demo[1])).split(" Platings ")[1]
    assert platings.startswith("electrolytic nickel plating over free-cutting brass ~ ")


def test_what_is_said_of_the_coolant_as_a_whole_is_said_once_and_first(demo: tuple[dict, str]) -> None:
    answer, page = demo
    (growth,) = [one for one in answer["findings"] if one["code"] == "rule-growth"]
    section = flat(chemistry_of(page))
    assert section.index("The coolant as a whole") < section.index(growth["sentence"]) < section.index("Galvanic")
    assert flat(page).count(growth["sentence"]) == 1


def test_what_nobody_knows_of_a_loop_is_said_in_one_line(wetted: Callable, small_loop: Path) -> None:
    section = flat(chemistry_of(wetted("loop", str(small_loop)).out))
    assert "? What these are made of is not known: meter" in section
    assert "? Nothing is known about these: " in section
    assert "titanium" in section.split("Nothing is known about these: ")[1].split("Fix")[0]
    assert section.count("Nothing is known about") == 1


def test_a_computed_couple_of_a_loop_stands_under_its_metals(wetted: Callable, small_loop: Path) -> None:
    section = flat(chemistry_of(wetted("loop", str(small_loop)).out))
    assert "copper beside magnesium ✗ Environments of three in which the couple fails: 3" in section
    assert "~ Voltage by the anodic index, inhibited: 1.4 V" in section
    assert "The more noble metal has the larger wetted area" in flat(wetted("loop", str(small_loop)).out)


def test_additives_of_a_loop_are_named_where_they_meet_materials(wetted: Callable, small_loop: Path) -> None:
    section = flat(chemistry_of(wetted("loop", str(small_loop)).out))
    assert "copper with benzotriazole" in section
    assert " Additives " in section


def test_a_loop_without_a_fluid_has_no_chemistry(wetted: Callable, tmp_path: Path) -> None:
    loop = json.loads(read_example(DEMO, "loop"))
    del loop["fluid"]
    (tmp_path / "loop.json").write_text(json.dumps(loop))
    assert "\nChemistry: " not in wetted("loop", str(tmp_path / "loop.json")).out


def test_every_page_can_say_how_every_source_was_seen(wetted: Callable, knowledge: KnowledgeBase) -> None:
    first = {row.how_seen: row.id for row in knowledge.snapshot.all_rows("sources")}
    for how, source in first.items():
        using = next(
            row.id
            for table in ("rules", "limits", "fluid_properties", "quantities")
            for row in knowledge.snapshot.all_rows(table)
            if knowledge.record(row.id).source.how_seen == how
        )
        assert wetted("show", using).code == 0, (how, source)
