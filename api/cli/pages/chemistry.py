"""The section of a loop page on its wetted materials.

Owns: the order of its parts, what is reported in full and what in brief. Does not own: the look of reasons
(`reasons.py`). What is wrong or open is reported from the findings, each reason once; what is well is only named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from api.cli.pages import reasons
from api.cli.pages.layout import QUIET, STRONG, bullets, colour, indented, section, sign
from api.cli.pages.names import WITH, Names
from kb.compatibility.joints.joint import NOTHING_KNOWN
from kb.compatibility.materials.exposure import MATERIAL_MISSING
from schemas.answers.answers import Finding
from schemas.answers.loop import ChemistrySection, SubstancePair, WettedSurface
from schemas.verdict import Verdict

_NOTHING = (Text(), Text())
_USUAL = "(usual) is what such parts are mostly made of, as it was not specified; name yours under materials."
_STATE_YOURS = "conditions in the loop's JSON, or properties of its fluid"


def chemistry_section(
    chemistry: ChemistrySection, findings: Sequence[Finding], names: Names
) -> Iterator[RenderableType]:
    """Yield the section: verdict, change interval, metals, contacts, mixture, platings, materials.

    Args:
        chemistry: what the loop answer reports about its substances.
        findings: those of this section that are not well.
        names: words for ids.
    """
    lead = Text.assemble((f"  {chemistry.verdict.value}", colour(chemistry.verdict, STRONG)))
    if chemistry.change_after_months is not None:
        lead.append(f"; this coolant is usually changed after {chemistry.change_after_months:g} months")
    yield section(f"Chemistry: {names.title(chemistry.fluid)}", lead)
    groups = (
        ("The coolant as a whole", chemistry.whole, _contacts),
        ("Galvanic couples", chemistry.couples, _couples),
        ("Materials in the coolant", chemistry.contacts, _contacts),
        ("Additives", chemistry.mixture, _contacts),
        ("Platings", chemistry.platings, _contacts),
    )
    for title, pairs, show in groups:
        if pairs:
            wrong = [one for one in findings if _is_among(one, pairs)]
            yield _subsection(title, *([show(wrong, names)] if wrong else []), *_well(pairs, names))
    yield _subsection("Wetted materials", *_gaps(findings), *_surfaces(chemistry.surfaces))
    yield from map(indented, reasons.usual_values(findings, _STATE_YOURS))


def _pairs(chemistry: ChemistrySection) -> tuple[SubstancePair, ...]:
    return (*chemistry.whole, *chemistry.contacts, *chemistry.couples, *chemistry.mixture, *chemistry.platings)


def _subsection(title: str, *blocks: RenderableType) -> Group:
    return Group(Text(), Text(f"  {title}", style=QUIET), *blocks)


def _single_places(place: str) -> Iterator[str]:
    """Yield the places behind a place that names several materials."""
    materials, found, other = place.rpartition(WITH)
    yield from (f"{material}{found}{other}" for material in materials.split(", ")) if found else (place,)


def _is_among(finding: Finding, pairs: Iterable[SubstancePair]) -> bool:
    return next(_single_places(finding.place)) in {one.place for one in pairs}


def _contacts(findings: Sequence[Finding], names: Names) -> RenderableType:
    unknown = [one for one in findings if one.code == NOTHING_KNOWN]
    known = [one for one in findings if one.code != NOTHING_KNOWN]
    reported = reasons.by_place(known, names, lambda place: Text(names.pair(place), style=STRONG))
    words = f"Nothing is known about these: {'; '.join(names.pair(one.place) for one in unknown)}"
    return Group(*([reported] if known else []), *_at_once(unknown, words))


def _couples(findings: Sequence[Finding], names: Names) -> RenderableType:
    """Return couples under the rule that speaks of them, each with its voltage and its anode."""
    items: list[tuple[Text, RenderableType]] = []
    for same in _by_rule(findings):
        items += [_NOTHING] if items else []
        if same[0].rules:
            items.append((sign(same[0].verdict), _ruled_couples(same, names)))
        else:
            items.append((Text(), Text(names.pair(same[0].place), style=STRONG)))
            items += [(sign(one.verdict), _computed_couple(one, names)) for one in same]
    return bullets(items)


def _ruled_couples(same: Sequence[Finding], names: Names) -> Group:
    reason = same[0].rules[0].reason
    couples = (
        Text.assemble((names.pair(one.place), STRONG), (one.sentence.replace(reason, "", 1), QUIET)) for one in same
    )
    return reasons.with_remedy(same[0], Group(*couples, Text(names.within(reason))), names, set())


def _computed_couple(finding: Finding, names: Names) -> Group:
    words = names.within(finding.sentence.replace(f"{finding.place}: ", ""))  # the heading says it
    return reasons.with_remedy(finding, Text(words), names, set())


def _by_rule(findings: Iterable[Finding]) -> Iterable[list[Finding]]:
    """Return couples that one rule speaks of together, and what was computed of one couple."""
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for one in findings:
        key = (one.verdict.value, *(rule.id for rule in one.rules)) if one.rules else (one.place,)
        groups.setdefault(key, []).append(one)
    return groups.values()


def _well(pairs: Iterable[SubstancePair], names: Names) -> Iterator[RenderableType]:
    places = (one.place for one in pairs if one.verdict is Verdict.COMPATIBLE)
    words = "; ".join(dict.fromkeys(names.pair(place) for place in places))
    if words:
        yield bullets([(sign(Verdict.COMPATIBLE), Text(f"Nothing against: {words}"))])


def _gaps(findings: Iterable[Finding]) -> Iterator[RenderableType]:
    gaps = [one for one in findings if one.code == MATERIAL_MISSING]
    yield from _at_once(gaps, f"What these are made of is not known: {', '.join(one.place for one in gaps)}")


def _at_once(alike: Sequence[Finding], words: str) -> Iterator[RenderableType]:
    """Yield one line for findings that say the same of several things, and what to do about it."""
    if alike:
        yield bullets([(sign(alike[0].verdict), Group(Text(words), Text(f"Fix: {alike[0].remedy}")))])


def _surfaces(surfaces: Sequence[WettedSurface]) -> Iterator[RenderableType]:
    """Yield the materials of every part; parts of the same materials share a line."""
    parts: dict[str, list[WettedSurface]] = {}
    for one in surfaces:
        parts.setdefault(one.place, []).append(one)
    alike: dict[str, list[str]] = {}
    for place, of_part in parts.items():
        alike.setdefault("; ".join(map(_surface, of_part)), []).append(place)
    yield bullets(
        (Text("-", style=QUIET), Text.assemble((", ".join(places), STRONG), f"  {materials}"))
        for materials, places in alike.items()
    )
    if any(one.usual for one in surfaces):
        yield indented(Text(_USUAL, style=QUIET))


def _surface(surface: WettedSurface) -> str:
    usual = " (usual)" if surface.usual else ""
    below = ", below the plating" if surface.plated else ""
    return f"{surface.role.replace('-', ' ')}: {surface.title}{usual}{below}"
