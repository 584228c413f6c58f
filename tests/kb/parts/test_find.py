"""Which archetypes spec-sheet words find, and why."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.load import load_tables
from kb.parts.search.matches import Relation
from kb.parts.search.readings import Note, ReadingKind
from kb.parts.search.search import Candidate, FindIndex, FindResult, find
from kb.report.answers.search import answer_find
from kb.report.sentences.search import reading_sentence, reason_sentence
from kb.store.snapshot import Snapshot
from schemas.columns.sizes import MM_PER_INCH
from schemas.tables.tubes import Tube

TEN = 10


@pytest.fixture(scope="module")
def index(snapshot: Snapshot) -> FindIndex:
    return FindIndex(snapshot)


def ids(result: FindResult) -> list[str]:
    return [candidate.id for candidate in result.candidates]


def candidate(result: FindResult, part_id: str) -> Candidate:
    return next(one for one in result.candidates if one.id == part_id)


# What the words mean in the trade, written down by hand: the ids that must come first, in any order among themselves.
SPELLINGS: list[tuple[str, set[str]]] = [
    # soft tube by two sizes
    ("10/16", {"tube/soft-10x16"}),
    ("10x16", {"tube/soft-10x16"}),
    ("10 × 16 mm", {"tube/soft-10x16"}),
    ("10 mm x 16 mm", {"tube/soft-10x16"}),
    ("10/16 mm", {"tube/soft-10x16"}),
    ("16/10", {"tube/soft-10x16"}),
    ("10/13", {"tube/soft-10x13"}),
    ("13/19mm", {"tube/soft-13x19"}),
    ("13 / 19", {"tube/soft-13x19"}),
    ("11/16 mm", {"tube/soft-11x16"}),
    ("11/16", {"tube/soft-11x16"}),
    ("13/16", {"tube/soft-13x16"}),
    ("8/10", {"tube/soft-8x10"}),
    ("3/8 x 5/8", {"tube/soft-3-8x5-8"}),
    ('3/8"-5/8"', {"tube/soft-3-8x5-8"}),
    ("⅜ × ⅝ in", {"tube/soft-3-8x5-8"}),
    ("0.375 x 0.625 in", {"tube/soft-3-8x5-8"}),
    ("ID 3/8 OD 5/8", {"tube/soft-3-8x5-8"}),
    ('3/8" ID x 5/8" OD', {"tube/soft-3-8x5-8"}),
    ("inside diameter 3/8 in, outside diameter 5/8 in", {"tube/soft-3-8x5-8"}),
    ("soft tube 1/2 x 3/4", {"tube/soft-1-2x3-4"}),
    ("9,525 x 15,875 mm", {"tube/soft-3-8x5-8"}),
    # one size
    ('3/8"', {"tube/soft-3-8x1-2", "tube/soft-3-8x5-8", "tube/pe-3-8"}),
    ("⅜ soft", {"tube/soft-3-8x1-2", "tube/soft-3-8x5-8"}),
    (".375 in soft tube", {"tube/soft-3-8x1-2", "tube/soft-3-8x5-8"}),
    ("0.375 soft", {"tube/soft-3-8x1-2", "tube/soft-3-8x5-8"}),
    ("13 mm soft tube", {"tube/soft-13x16", "tube/soft-13x19"}),
    # rigid plastic tube
    ("13mm OD acrylic", {"tube/acrylic-13x10"}),
    ("acrylic 14 mm", {"tube/acrylic-14x10", "tube/acrylic-14x12"}),
    ("petg 16/12", {"tube/petg-16x12"}),
    ("PMMA 12/10", {"tube/acrylic-12x10"}),
    ("PET-G 12 x 8", {"tube/petg-12x8"}),
    ('acrylic 1/2" OD', {"tube/acrylic-1-2x3-8"}),
    # copper and steel
    ("15 mm copper", {"tube/copper-en-1057-15"}),
    ("copper 12 x 0.8", {"tube/copper-en-1057-12x0-8"}),
    ('1/2" ACR copper', {"tube/copper-b280-1-2-annealed"}),
    ("1/2 type L copper", {"tube/copper-b88-1-2-l"}),
    ("3/4 in type M", {"tube/copper-b88-3-4-m"}),
    ("inox tube 14 x 1", {"tube/stainless-14x1"}),
    # threads
    ("G 1/4", {"thread/g-1-4"}),
    ('G1/4"', {"thread/g-1-4"}),
    ("G¼", {"thread/g-1-4"}),
    ("g 1/4 in", {"thread/g-1-4"}),
    ("BSPP 1/4", {"thread/g-1-4"}),
    ("1/4 BSPP", {"thread/g-1-4"}),
    ("1/4 BSP", {"thread/g-1-4", "thread/r-1-4", "thread/rc-1-4", "thread/rp-1-4"}),
    ("R 1/4", {"thread/r-1-4"}),
    ("Rp1/4", {"thread/rp-1-4"}),
    ("Rc 1/4", {"thread/rc-1-4"}),
    ("BSPT 1/4", {"thread/r-1-4", "thread/rc-1-4", "thread/rp-1-4"}),
    ("NPT 1/4", {"thread/npt-1-4"}),
    ("1/4 NPT", {"thread/npt-1-4"}),
    ("1/4-18 NPT", {"thread/npt-1-4"}),
    ("1/4 MIP", {"thread/npt-1-4"}),
    ("M10x1", {"thread/m10x1"}),
    ("M14 x 1.5", {"thread/m14x1-5"}),
    ("M14x1,5", {"thread/m14x1-5"}),
    ("M12", {"thread/m12x1", "thread/m12x1-5"}),
    ("7/16-20 UNF", {"thread/unf-7-16-20"}),
    ("G 1/4 port", {"port/g-1-4-iso-1179-1", "port/g-1-4-loop", "port/g-1-4-din-3852-2"}),
    # rings
    ("AS568-014", {"seal/iso-3601-014"}),
    ("-014", {"seal/iso-3601-014"}),
    ("o-ring 12x2", {"seal/o-ring-12x2"}),
    ("12 x 2 ring", {"seal/o-ring-12x2"}),
    ("oring 11.1 x 2 mm", {"seal/o-ring-11-1x2"}),
    ("JIS P10A", {"seal/jis-b-2401-p10a"}),
    # fittings
    ("3/8 barb G 1/4", {"fitting/barb-3-8-g-1-4"}),
    ("hose barb 10 mm G 3/8", {"fitting/barb-10-g-3-8"}),
    ("barb 1/2 NPT 1/4", {"fitting/barb-1-2-npt-1-4"}),
    ("compression 10/16", {"fitting/compression-10x16-g-1-4"}),
    ("compression fitting 1/2 x 3/4 G 3/8", {"fitting/compression-1-2x3-4-g-3-8"}),
    ("13mm hard tube fitting", {"fitting/rigid-13-g-1-4"}),
    ("16 mm hardline fitting 90 rotary", {"fitting/rigid-16-g-1-4-rotary-90"}),
    ("G1/4 to G3/8 adapter", {"fitting/adapter-g-1-4-male-g-3-8-female", "fitting/adapter-g-3-8-male-g-1-4-female"}),
    ("G 1/4 male to NPT 1/4 female", {"fitting/adapter-g-1-4-male-npt-1-4-female"}),
    ("plug G1/4", {"fitting/plug-g-1-4"}),
    ("1/4 plug", {"fitting/plug-g-1-4", "fitting/plug-npt-1-4"}),
    ("90 degree rotary", {"fitting/rotary-elbow-90-g-1-4"}),
    ("45° rotary elbow G1/4", {"fitting/rotary-elbow-45-g-1-4"}),
    ("push fit 8 mm G 1/8", {"fitting/push-in-8-g-1-8"}),
    ("15 mm extension G 1/4", {"fitting/extension-15-g-1-4"}),
    ("ball valve male female", {"fitting/ball-valve-g-1-4-male-female"}),
    # words for sizes and sides
    ("half inch copper type L", {"tube/copper-b88-1-2-l"}),
    ("three eighths by five eighths", {"tube/soft-3-8x5-8"}),
    ("quarter inch NPT", {"thread/npt-1-4"}),
    ("12.7/19.1", {"tube/soft-1-2x3-4"}),
    ("9.5 x 15.9", {"tube/soft-3-8x5-8"}),
    ("male to male", {"fitting/coupler-g-1-4-male", "fitting/coupler-g-1-4-male-rotary"}),
    ("G 1/4 male to male", {"fitting/coupler-g-1-4-male", "fitting/coupler-g-1-4-male-rotary"}),
    ("-6 AN", {"thread/unf-9-16-18"}),
    # materials
    ("316 stainless", {"metal/stainless-316"}),
    ("1.4404", {"metal/stainless-316"}),
    ("CW614N", {"metal/brass-free-cutting"}),
    ("6061 aluminium", {"metal/aluminium-6061"}),
    ("nickel plating", {"metal/nickel-plate-electroless", "metal/nickel-plate-electrolytic"}),
    ("PMMA", {"plastic/pmma"}),
    ("acetal", {"plastic/pom-copolymer", "plastic/pom-homopolymer"}),
    ("POM", {"plastic/pom-copolymer", "plastic/pom-homopolymer"}),
    ("POM-C", {"plastic/pom-copolymer"}),
    ("EPDM", {"elastomer/epdm"}),
    ("anodized aluminum", {"metal/aluminium-anodised"}),
    # fluids and additives
    ("distilled water", {"fluid/distilled-water"}),
    ("DI water", {"fluid/deionised-water"}),
    ("propylene glycol premix", {"fluid/propylene-glycol-inhibited-premix"}),
    ("inhibited ethylene glycol 40%", {"fluid/ethylene-glycol-inhibited-40"}),
    ("isopropanol", {"fluid/isopropyl-alcohol"}),
    ("benzotriazole", {"additive/benzotriazole"}),
    ("BTA", {"additive/benzotriazole"}),
    # typing errors
    ("compresion fitng 10/16", {"fitting/compression-10x16-g-1-4"}),
    ("accrylic 13/10", {"tube/acrylic-13x10"}),
    ("acrilic 14/12", {"tube/acrylic-14x12"}),
    ("cooper 15 mm", {"tube/copper-en-1057-15"}),
    ("adaptor G1/4 M10x1", {"fitting/adapter-g-1-4-male-m10x1-female", "fitting/adapter-m10x1-male-g-1-4-female"}),
]


@pytest.mark.parametrize(("words", "expected"), SPELLINGS, ids=[words for words, _ in SPELLINGS])
def test_spellings_find_what_the_trade_means(index: FindIndex, words: str, expected: set[str]) -> None:
    assert set(ids(find(index, words, None, len(expected)))) == expected


def test_a_nominal_inch_size_of_copper_lists_both_standards_with_the_real_diameter(index: FindIndex) -> None:
    result = find(index, "1/2 in copper", None, TEN)
    water, refrigeration = "tube/copper-b88-1-2-l", "tube/copper-b280-1-2-drawn"
    reasons = {
        part_id: reason_sentence(index.snapshot, part_id, candidate(result, part_id).why)
        for part_id in (water, refrigeration)
    }
    assert "its outside diameter is 15.875 mm" in reasons[water]
    assert "named by its outside diameter, 12.7 mm" in reasons[refrigeration]


def test_a_trade_rounding_is_listed_after_the_true_size_and_marked(index: FindIndex) -> None:
    result = find(index, "13 mm", "tube", 2 * TEN)
    relations = {one.id: one.why[0].relation for one in result.candidates}
    assert relations["tube/acrylic-13x10"] is Relation.SAME
    assert relations["tube/acrylic-1-2x3-8"] is Relation.ALSO_SOLD_AS
    assert ids(result).index("tube/acrylic-13x10") < ids(result).index("tube/acrylic-1-2x3-8")


def test_near_sizes_come_after_exact_ones_with_their_difference(index: FindIndex) -> None:
    result = find(index, "16 mm OD acrylic", "tube", TEN)
    exact, near = candidate(result, "tube/acrylic-16x12"), candidate(result, "tube/acrylic-5-8x1-2")
    assert exact.score > near.score
    assert near.why[0].relation is Relation.NEAR
    assert near.why[0].difference_mm == pytest.approx(-0.125)
    assert "0.125 mm less than written" in reason_sentence(index.snapshot, near.id, near.why)


def test_the_window_of_near_sizes_is_a_row(snapshot: Snapshot) -> None:
    tables = load_tables()
    rows = dict(tables.rows)
    rows["assumptions"] = tuple(
        dataclasses.replace(row, value=0.1) if row.id == "assumption/size-name-window" else row
        for row in rows["assumptions"]
    )
    narrow = FindIndex(Snapshot(dataclasses.replace(tables, rows=rows)))
    wide_ids = ids(find(FindIndex(snapshot), "16 mm OD acrylic", "tube", TEN))
    assert "tube/acrylic-5-8x1-2" in wide_ids
    assert "tube/acrylic-5-8x1-2" not in ids(find(narrow, "16 mm OD acrylic", "tube", TEN))


def test_bsp_says_that_it_is_ambiguous(index: FindIndex) -> None:
    result = find(index, "1/4 BSP", "thread", TEN)
    reasons = [reason_sentence(index.snapshot, one.id, one.why) for one in result.candidates]
    assert len(reasons) >= 4
    assert all("neither parallel nor taper" in reason for reason in reasons[:4])


def test_the_names_of_a_thread_warn_of_what_it_is_mistaken_for(index: FindIndex) -> None:
    confused = candidate(find(index, "BSPP 1/4", "thread", TEN), "thread/npt-1-4")
    assert confused.why[0].relation is Relation.OFTEN_CONFUSED


def test_a_tube_often_mistaken_for_the_size_written_comes_last_and_marked(index: FindIndex) -> None:
    result = find(index, "12 mm hardline", "tube", 50)
    inch = candidate(result, "tube/acrylic-1-2x3-8")
    assert Relation.OFTEN_CONFUSED in {match.relation for match in inch.why}
    assert inch.score < candidate(result, "tube/acrylic-12x10").score
    assert "does not enter a 12 mm socket" in reason_sentence(index.snapshot, inch.id, inch.why)


def test_a_phrase_inside_a_longer_one_does_not_count(index: FindIndex) -> None:
    assert {one.kind for one in find(index, "hard tube fitting", None, 5).candidates} == {"fitting"}
    assert {one.kind for one in find(index, "hard tube", None, 5).candidates} == {"tube"}


def test_both_readings_of_a_bare_slash_are_kept_when_both_lead_to_parts(index: FindIndex) -> None:
    readings = find(index, "11/16", None, TEN).readings
    assert {reading.kind for reading in readings} >= {ReadingKind.PAIR, ReadingKind.SIZE}


def test_a_unit_that_leads_nowhere_is_dropped(index: FindIndex) -> None:
    readings = find(index, "0.375", "tube", TEN).readings
    assert {reading.lengths[0].unit for reading in readings} == {"in"}
    assert "inches are taken" in reading_sentence(index.snapshot, readings[0])


def test_a_size_nobody_makes_finds_no_other_size(index: FindIndex) -> None:
    result = find(index, "acrylic tube 55 x 50 mm", None, TEN)
    assert result.candidates == ()
    assert "nothing that the other words mean has it" in reading_sentence(index.snapshot, result.readings[-1])


@pytest.mark.parametrize("words", ["28 mm copper", "9 mm copper", "barb 9 mm"])
def test_a_size_that_nothing_meant_has_lists_the_nearest_ones_marked(index: FindIndex, words: str) -> None:
    result = find(index, words, None, TEN)
    assert any(Note.NO_SUCH_SIZE in reading.notes for reading in result.readings)
    assert result.candidates
    for one in result.candidates:
        (size,) = [match for match in one.why if match.values_mm]
        assert size.relation is Relation.NEAREST
        assert "the nearest there is" in reason_sentence(index.snapshot, one.id, one.why)


def test_the_nearest_size_is_the_nearest_of_what_the_words_mean(index: FindIndex) -> None:
    asked = 28.0
    best = find(index, f"{asked} mm copper", "tube", TEN).candidates[0]
    copper = [row for row in index.snapshot.active(Tube) if "copper" in row.title]
    sizes = [size for row in copper for size in (row.od_mm, row.id_mm) if size is not None]
    nearest = min(abs(size - asked) for size in sizes)
    assert abs(best.why[0].difference_mm) == pytest.approx(nearest, abs=0.001)


def test_a_size_far_from_all_finds_nothing(index: FindIndex) -> None:
    assert find(index, "95 mm copper", None, TEN).candidates == ()


@pytest.mark.parametrize("words", ["JIC 6", "-4 AN", "SAE-6"])
def test_dash_sizes_without_a_row_are_not_understood(index: FindIndex, words: str) -> None:
    result = find(index, words, None, TEN)
    assert result.candidates == ()
    assert "is not understood" in reading_sentence(index.snapshot, result.readings[0])


@pytest.mark.parametrize(
    ("words", "plain"),
    [("glass tube 12 mm", "tube 12 mm"), ("silicone tube 10/16", "tube 10/16"), ("wooden tube 10/16", "tube 10/16")],
)
def test_a_material_that_no_tube_has_lowers_the_score_and_is_reported(index: FindIndex, words: str, plain: str) -> None:
    result, without = find(index, words, None, TEN), find(index, plain, None, TEN)
    assert result.candidates[0].score < 0.9 * without.candidates[0].score
    sentence = reading_sentence(index.snapshot, result.readings[0])
    assert "unread" in sentence or "not understood" in sentence
    for one in result.candidates:
        reason = reason_sentence(index.snapshot, one.id, one.why, one.unanswered)
        assert f"nothing about it answers '{words.split(maxsplit=1)[0]}'" in reason


def test_pvc_tube_means_a_soft_one_of_no_size_in_particular(index: FindIndex) -> None:
    first, *others = find(index, "PVC tube", None, TEN).candidates
    assert first.id.startswith("tube/pvc-")
    assert first.score == others[0].score


@pytest.mark.parametrize(
    ("plain", "named"),
    [
        ("soft tube 10 x 16 mm", "tube/epdm-10x16"),
        ("soft 3/8 x 5/8", "tube/pvc-3-8x5-8"),
        ("hose 13/19", "tube/epdm-13x19"),
        ("10 x 13 mm", "tube/pvc-10x13"),
    ],
)
def test_a_soft_tube_of_a_material_comes_first_only_if_the_material_is_written(
    index: FindIndex, plain: str, named: str
) -> None:
    material = "epdm" if "epdm" in named else "pvc"
    unnamed = find(index, plain, "tube", TEN)
    assert ids(unnamed)[0] == named.replace(f"tube/{material}", "tube/soft")
    assert candidate(unnamed, named).score < unnamed.candidates[0].score
    assert ids(find(index, f"{material} {plain}", "tube", TEN))[0] == named


@pytest.mark.parametrize(
    ("words", "family"),
    [
        ("EPDM hose 10/16", "tube/epdm-10x16"),
        ("rubber hose 13 x 19 mm", "tube/epdm-13x19"),
        ("vinyl tubing 3/8 x 5/8", "tube/pvc-3-8x5-8"),
        ("clear hose 10x16", "tube/pvc-10x16"),
    ],
)
def test_usual_words_for_hose_find_its_material(index: FindIndex, words: str, family: str) -> None:
    assert ids(find(index, words, None, TEN))[0] == family


@pytest.mark.parametrize("words", ["QDC", "QD", "quick disconnect"])
def test_names_of_quick_couplings_find_only_them(index: FindIndex, words: str) -> None:
    found = find(index, words, None, TEN).candidates
    assert found
    assert all(one.id.startswith("fitting/quick-coupling-") for one in found)


@pytest.mark.parametrize("words", ["barb-3-8-g-1-4", "fitting/barb-3-8-g-1-4", " Barb-3-8-G-1-4 "])
def test_an_id_is_recognised_with_and_without_its_prefix(index: FindIndex, words: str) -> None:
    result = find(index, words, None, TEN)
    assert [(one.id, one.score) for one in result.candidates] == [("fitting/barb-3-8-g-1-4", 1.0)]
    assert [reading.kind for reading in result.readings] == [ReadingKind.ID]
    assert "fitting/barb-3-8-g-1-4" not in ids(find(index, words, "tube", TEN))


def test_every_id_with_a_dash_is_found_by_its_slug(index: FindIndex) -> None:
    slugs = {part_id: part_id.partition("/")[2] for part_id in index.built.ids}
    lost = [one for one, slug in slugs.items() if "-" in slug and one not in ids(find(index, slug, None, TEN))]
    assert lost == []


@pytest.mark.parametrize(
    ("part_id", "kind"),
    [
        ("metal/copper", "material"),
        ("plastic/pmma", "material"),
        ("elastomer/epdm", "material"),
        ("fluid/acetone", "fluid"),
        ("additive/borate", "additive"),
    ],
)
def test_substances_have_their_kind_and_keep_their_prefix(index: FindIndex, part_id: str, kind: str) -> None:
    assert candidate(find(index, part_id, None, TEN), part_id).kind == kind
    title = part_id.partition("/")[2]
    assert ids(find(index, title, kind, 1)) == [part_id]


def test_a_wrong_pitch_finds_no_thread(index: FindIndex) -> None:
    assert find(index, "1/4-19 NPT", None, TEN).candidates == ()
    assert find(index, "M10x1.25", None, TEN).candidates == ()


def test_nothing_found_names_the_nearest_known_words(index: FindIndex) -> None:
    result = find(index, "1/4-19 NPT", None, TEN)
    assert "1/4 bspp" in result.nearest or "npt 1/4" in result.nearest


def test_misspelt_words_say_what_they_were_taken_for(index: FindIndex) -> None:
    (reading,) = find(index, "accrylic", None, TEN).readings
    assert (reading.text, reading.word, reading.notes) == ("accrylic", "acrylic", (Note.SPELLING,))


@pytest.mark.parametrize("kind", ["fitting", "tube", "port", "thread", "seal", "material", "fluid", "additive"])
def test_a_kind_keeps_everything_else_out(index: FindIndex, kind: str) -> None:
    for words in ("G 1/4", "12 mm", "1/4", "tube", "ring", "water", "copper", "silicone"):
        assert {one.kind for one in find(index, words, kind, 50).candidates} <= {kind}


def test_the_limit_keeps_the_best(index: FindIndex) -> None:
    many = ids(find(index, "G 1/4", None, 50))
    assert ids(find(index, "G 1/4", None, 5)) == many[:5]


def test_candidates_are_ordered_by_score_then_id(index: FindIndex) -> None:
    for words in ("12 mm", "G 1/4", "acrylic", "1/2 in copper"):
        keys = [(-one.score, one.id) for one in find(index, words, None, 50).candidates]
        assert keys == sorted(keys)


def test_every_candidate_has_a_reason_and_a_score_between_0_and_1(index: FindIndex) -> None:
    for words, _ in SPELLINGS:
        for one in find(index, words, None, 50).candidates:
            assert 0 < one.score <= 1
            assert reason_sentence(index.snapshot, one.id, one.why).endswith(".")


FOUND_BY_WORDS = ("threads", "ports", "tubes", "fittings", "seals", "materials", "fluids", "additives")


def test_the_designation_of_every_part_finds_it_among_the_first_three(index: FindIndex) -> None:
    """Soft tubes of three kinds share a designation with rigid ones that name the outside first: among five there."""
    snapshot = index.snapshot
    lost = []
    for part_id in snapshot.ids(FOUND_BY_WORDS):
        row = snapshot.row(part_id)
        for words in filter(None, (getattr(row, "designation", ""), getattr(row, "title", ""))):
            is_shared = isinstance(row, Tube) and row.family_id.startswith("family/tube-soft-") and words != row.title
            if part_id not in ids(find(index, words, None, 5 if is_shared else 3)):
                lost.append((part_id, words))
    assert lost == []


def test_withdrawn_parts_are_not_found(snapshot: Snapshot) -> None:
    tables = load_tables()
    rows = dict(tables.rows)
    rows["tubes"] = tuple(
        dataclasses.replace(row, withdrawn_on=row.checked_on, withdrawn_reason="gone")
        if row.id == "tube/soft-10x16"
        else row
        for row in rows["tubes"]
    )
    index = FindIndex(Snapshot(dataclasses.replace(tables, rows=rows)))
    assert "tube/soft-10x16" in ids(find(FindIndex(snapshot), "10/16", None, TEN))
    assert "tube/soft-10x16" not in ids(find(index, "10/16", None, TEN))


@pytest.mark.parametrize(
    "words",
    [
        "9**9**9",
        "1/0",
        "0/5",
        "\x00",
        "🔧🔧",
        "\u202e61/01",
        "(a+)+$",
        "'; --",
        "٣/٨",
        "\\d+",
        "{}[]",
        "%00",
    ],
)
def test_hostile_text_finds_nothing(index: FindIndex, words: str) -> None:
    assert find(index, words, None, TEN).candidates == ()


@given(st.text(max_size=80))
@settings(deadline=None)
def test_no_text_ever_raises(index: FindIndex, words: str) -> None:
    result = find(index, words, None, TEN)
    for reading in result.readings:
        assert reading_sentence(index.snapshot, reading).endswith(".")


@given(st.sampled_from([words for words, _ in SPELLINGS]), st.randoms())
@settings(deadline=None)
def test_case_and_spacing_never_matter(index: FindIndex, words: str, random: object) -> None:
    choose = random.choice  # type: ignore[attr-defined]
    shouted = "".join(choose((char.upper(), char.lower())) for char in words)
    spread = "".join(choose((" ", "  ", " \u2009")) if char == " " else char for char in shouted)
    assert ids(find(index, f" {spread} ", None, TEN)) == ids(find(index, words, None, TEN))
    assert ids(find(index, spread, None, TEN)) == ids(find(index, words, None, TEN))


@given(st.integers(1, 20))
@settings(deadline=None)
def test_inches_and_millimetres_of_one_size_find_the_same_tubes(index: FindIndex, sixteenths: int) -> None:
    inches = find(index, f"{sixteenths}/16 in", "tube", 50)
    millimetres = find(index, f"{float(sixteenths * MM_PER_INCH / 16):g} mm", "tube", 50)
    assert [(one.id, one.score) for one in inches.candidates] == [(one.id, one.score) for one in millimetres.candidates]


@given(st.integers(1, 30), st.integers(1, 30))
@settings(deadline=None)
def test_the_order_of_a_pair_never_changes_which_tubes_are_found(index: FindIndex, one: int, other: int) -> None:
    forth, back = find(index, f"{one}x{other} mm", "tube", 50), find(index, f"{other}x{one} mm", "tube", 50)
    assert set(ids(forth)) == set(ids(back))


def test_an_answer_carries_version_readings_and_reasons(index: FindIndex) -> None:
    answer = answer_find(index.snapshot, find(index, "9,5 mm", "tube", 3))
    assert answer.kb_version == index.snapshot.version
    assert "decimal point" in answer.readings[0]
    assert len(answer.candidates) == 3
    assert all(one.reason and one.title for one in answer.candidates)
