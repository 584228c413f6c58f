"""The command line gives the answers of the knowledge base: the same JSON, the verdict as exit code, readable text."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kb import KnowledgeBase
from schemas.questions.questions import BetweenQuestion, FindQuestion, PairQuestion, PartnersQuestion

LOOP = {
    "name": "small loop",
    "parts": {
        "pump": {"kind": "pump", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
        "block": {"kind": "block", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
    },
    "runs": [
        {
            "from": "pump.out",
            "to": "block.in",
            "tube": "tube/soft-10x16",
            "length_mm": 300,
            "fittings_from": ["fitting/compression-10x16-g-1-4"],
            "fittings_to": ["fitting/rigid-16-g-1-4"],
        },
        {"from": "block.out", "to": "pump.in", "tube": "tube/soft-10x16", "length_mm": 200},
    ],
}
COMPATIBLE = ("fitting/compression-10x16-g-1-4", "tube/soft-10x16")
CONDITIONAL = ("fitting/rigid-16-g-1-4", "tube/petg-5-8x1-2")
UNKNOWN = ('{"kind": "tube", "od_mm": 16}', "fitting/rigid-16-g-1-4")
INCOMPATIBLE = ("thread/g-1-4", "thread/npt-1-4")


@pytest.fixture
def loop_file(tmp_path: Path) -> Path:
    file = tmp_path / "loop.json"
    file.write_text(json.dumps(LOOP))
    return file


def test_json_of_a_pair_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = PairQuestion(a=INCOMPATIBLE[0], b=INCOMPATIBLE[1])
    assert wetted("pair", *INCOMPATIBLE, "--json").out == knowledge.pair(**dict(question)).to_json(indent=2) + "\n"


def test_the_text_of_a_pair_names_formulas_by_id(wetted: Callable) -> None:
    reported = wetted("pair", *INCOMPATIBLE).out
    assert "by formula/" in " ".join(reported.split())
    assert "kb." not in reported


def test_json_of_partners_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = PartnersQuestion(part="tube/soft-10x16", kind="fitting", limit=3)
    reported = wetted("partners", "tube/soft-10x16", "--kind", "fitting", "--limit", "3", "--json")
    assert reported.out == knowledge.partners(**dict(question)).to_json(indent=2) + "\n"
    assert reported.code == 0


def test_json_of_between_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = BetweenQuestion(a="port/g-1-4-loop", b="tube/soft-10x16", limit=2)
    reported = wetted("between", "port/g-1-4-loop", "tube/soft-10x16", "--limit", "2", "--json")
    assert reported.out == knowledge.between(**dict(question)).to_json(indent=2) + "\n"
    assert reported.code == 0


def test_json_of_find_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    question = FindQuestion(words="10/16 soft tube", limit=3)
    reported = wetted("find", "10/16", "soft", "tube", "--limit", "3", "--json")
    assert reported.out == knowledge.find(**dict(question)).to_json(indent=2) + "\n"
    assert reported.code == 0


def test_json_of_a_loop_is_the_answer_of_the_knowledge_base(
    wetted: Callable, knowledge: KnowledgeBase, loop_file: Path
) -> None:
    answer = knowledge.loop(LOOP)
    assert wetted("loop", str(loop_file), "--json").out == answer.to_json(indent=2) + "\n"


def test_json_of_a_row_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    reported = wetted("show", "fitting/barb-3-8-g-1-4", "--json")
    assert reported.out == knowledge.record("fitting/barb-3-8-g-1-4").to_json(indent=2) + "\n"
    assert reported.code == 0


def test_json_of_a_table_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    arguments = ("tubes", "--family", "family/tube-soft", "--after", "tube/soft-10x13", "--limit", "2")
    answer = knowledge.records("tubes", "family/tube-soft", "tube/soft-10x13", 2)
    assert wetted("list", *arguments, "--json").out == answer.to_json(indent=2) + "\n"


def test_json_of_the_version_is_the_answer_of_the_knowledge_base(wetted: Callable, knowledge: KnowledgeBase) -> None:
    assert wetted("version", "--json").out == knowledge.tables().to_json(indent=2) + "\n"


@pytest.mark.parametrize(
    ("parts", "code", "word"),
    [
        (COMPATIBLE, 0, "COMPATIBLE"),
        (CONDITIONAL, 10, "CONDITIONAL"),
        (UNKNOWN, 11, "UNKNOWN"),
        (INCOMPATIBLE, 12, "INCOMPATIBLE"),
    ],
)
def test_the_verdict_is_the_exit_code_and_the_first_word(
    wetted: Callable, parts: tuple[str, str], code: int, word: str
) -> None:
    reported = wetted("pair", *parts)
    assert reported.code == code
    assert reported.out.split()[1] == word
    assert wetted("pair", *parts, "--json").code == code


def test_a_page_names_every_reason_caution_and_source_of_the_answer(wetted: Callable) -> None:
    answer = json.loads(wetted("pair", *CONDITIONAL, "--json").out)
    page = " ".join(wetted("pair", *CONDITIONAL).out.split())
    for finding in answer["findings"]:
        first = finding["sentence"].split(":")[0] if finding["quantities"] else finding["sentence"]
        assert (finding["rules"][0]["reason"] if finding["code"] == "rule-not-met" else first) in page
    for caution in answer["cautions"]:
        assert caution["text"] in page
    shown = [finding for finding in answer["findings"] if finding["code"] != "rule-not-met"]
    for source in {source for finding in shown for source in finding["sources"]}:
        assert source in page
    assert answer["kb_version"] in page


def test_what_decides_stands_before_what_fits(wetted: Callable) -> None:
    page = wetted("pair", *CONDITIONAL).out
    assert page.index("What decides") < page.index("How to fix it") < page.index("What fits")


def test_a_deciding_reason_names_its_limit_its_confidence_and_its_source(wetted: Callable) -> None:
    page = " ".join(wetted("pair", *CONDITIONAL).out.split())
    assert (
        "limit/o-ring-compression-small-rigid-compression: at least 10 % (confidence low; source/seal-compression-guide"
        in page
    )


def test_a_stated_condition_can_change_the_verdict(wetted: Callable) -> None:
    parts = ("tube/petg-16x12", "fitting/rigid-16-g-1-4")
    assert wetted("pair", *parts, "--condition", "coolant-temperature=65").code == 12
    assert wetted("pair", *parts, "--condition", "coolant-temperature=30").code != 12


def test_an_inline_part_is_the_same_from_the_line_and_from_a_file(wetted: Callable, tmp_path: Path) -> None:
    part = '{"is": "tube/soft-10x16", "id": "9.8 mm"}'
    (tmp_path / "part.json").write_text(part)
    on_the_line = wetted("pair", part, "fitting/barb-10-g-1-4", "--json")
    from_a_file = wetted("pair", f"@{tmp_path / 'part.json'}", "fitting/barb-10-g-1-4", "--json")
    assert on_the_line == from_a_file
    assert on_the_line.err == ""


def test_words_that_mean_one_part_are_taken_and_it_is_said(wetted: Callable) -> None:
    by_words, by_id = (
        wetted("pair", one, "fitting/barb-10-g-1-4", "--json") for one in ("soft 10/16", "tube/soft-10x16")
    )
    assert by_words.out == by_id.out
    assert by_words.err == "wetted: a: 'soft 10/16' is taken as tube/soft-10x16 (soft tube 10 x 16 mm)\n"


def test_words_that_can_mean_several_parts_are_not_guessed(wetted: Callable) -> None:
    reported = wetted("pair", "3/8 barb", "tube/soft-10x16")
    assert (reported.code, reported.out) == (2, "")
    assert "fitting/barb-3-8-g-1-4" in reported.err
    assert "fitting/barb-3-8-g-3-8" in reported.err


def test_a_loop_can_be_read_from_standard_input(process: Callable, loop_file: Path) -> None:
    by_name = process(["loop", str(loop_file)])
    assert process(["loop", "-"], stdin=loop_file.read_bytes()) == by_name
    assert by_name.code == 12


def test_a_loop_page_says_what_is_wrong_before_joints_and_needs(wetted: Callable, loop_file: Path) -> None:
    page = wetted("loop", str(loop_file)).out
    assert page.index("What is wrong") < page.index("Joints") < page.index("Parts list") < page.index("Sources")
    assert "suggested" in page


def test_a_loop_page_names_every_joint_and_every_needed_part(wetted: Callable, loop_file: Path) -> None:
    answer = json.loads(wetted("loop", str(loop_file), "--json").out)
    page = " ".join(wetted("loop", str(loop_file)).out.split())
    for joint in answer["joints"]:
        assert f"{joint['verdict']} {joint['place']}" in page
    for line in answer["parts_list"]:
        assert f"{line['count']} x {line['part']}" in page


def test_a_table_can_be_read_page_by_page_to_its_end(wetted: Callable, knowledge: KnowledgeBase) -> None:
    seen: list[str] = []
    after: tuple[str, ...] = ()
    while True:
        page = json.loads(wetted("list", "seals", "--limit", "40", *after, "--json").out)
        seen += [record["id"] for record in page["records"]]
        if page["next"] is None:
            break
        after = ("--after", page["next"])
    assert seen == [row.id for row in knowledge.snapshot.all_rows("seals")]


def test_every_table_and_its_first_rows_can_be_shown(wetted: Callable, knowledge: KnowledgeBase) -> None:
    for table in knowledge.tables().tables:
        assert wetted("list", table.table, "--limit", "2").code == 0
        for row in knowledge.snapshot.all_rows(table.table)[:2]:
            reported = wetted("show", row.id)
            assert reported.code == 0
            assert reported.out.startswith(row.id)


def test_no_partner_is_an_answer_with_its_reason(wetted: Callable) -> None:
    reported = wetted("partners", "tube/soft-10x16", "--kind", "tube")
    assert reported.code == 0
    assert "No tube" in reported.out
