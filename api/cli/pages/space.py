"""The section of a loop page on space, screws and weight.

Owns: the order and look of its parts. Does not own: reasons (`reasons.py`) or amounts (`amounts.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from types import MappingProxyType

from rich.console import RenderableType
from rich.text import Text

from api.cli.pages.amounts import length, or_unknown
from api.cli.pages.layout import STRONG, bullets, section, sign
from api.cli.pages.names import Names
from api.cli.pages.section_common import found, lead
from schemas.answers.answers import Finding
from schemas.answers.space import ScrewFit, SpaceSection, StackFit

_HELD = MappingProxyType({True: "held at its free end", False: "not held", None: "not specified whether it is held"})


def space_section(reported: SpaceSection, findings: Sequence[Finding], names: Names) -> Iterator[RenderableType]:
    """Yield the section: what is wrong, then everything that was held against its room.

    Args:
        reported: what the loop answer reports about space.
        findings: those of this section that are not well.
        names: words for ids.
    """
    yield section("Space, screws and weight", lead(reported.verdict, ""))
    yield from found(findings, names)
    items = list(_items(reported))
    if items:
        yield Text()
        yield bullets(items)


def _items(reported: SpaceSection) -> Iterator[tuple[Text, RenderableType]]:
    for stack in reported.stacks:
        if stack.verdict is not None:
            yield sign(stack.verdict), _line(stack.place, _stack(stack))
    for holes in reported.holes:
        words = f"{holes.what} of {holes.between}: {holes.first_mm:g} and {holes.second_mm:g} mm"
        yield sign(holes.verdict), _line(holes.place, words)
    for screws in reported.screws:
        yield sign(screws.verdict), _line(screws.place, _screws(screws))
    for clearance in reported.port_clearances:
        needed = or_unknown(clearance.needed_mm, length)
        yield (
            sign(clearance.verdict),
            _line(clearance.place, f"needs {needed} in front; there is {length(clearance.available_mm)}"),
        )
    for weight in reported.weights:
        yield (
            sign(weight.verdict),
            _line(weight.place, f"{weight.added_g:.0f} g more on its card; {_HELD[weight.supported]}"),
        )


def _line(place: str, words: str) -> Text:
    return Text.assemble((place, STRONG), f"  {words}")


def _stack(stack: StackFit) -> str:
    fans = f" with {stack.fans_mm:g} mm of fans" if stack.fans_mm else ""
    available = or_unknown(stack.available_mm, length)
    return f"{stack.direction}: {length(stack.needed_mm)}{fans}; available: {available}"


def _screws(one: ScrewFit) -> str:
    name = f"screws {one.thread.upper()} x {one.length_mm:g} mm"
    free = f"free depth {one.free_mm:g} mm, {one.free_known}" if one.free_mm is not None else "free depth not known"
    return f"{name} reach {one.reach_mm:.1f} mm behind the plate; {free}; {_safe(one)}"


def _safe(one: ScrewFit) -> str:
    low, high = one.safe_length_low_mm, one.safe_length_high_mm
    if high is None:
        return f"to hold they need {low:.1f} mm"
    if high < low:
        return "no length surely holds and stays clear: measure screws and fans instead of trusting their names"
    return f"right: {low:.1f} to {high:.1f} mm"
