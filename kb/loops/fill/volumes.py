"""What a loop holds: parts by statement or row, tubes and fittings by their bores and lengths.

Owns: the contents of every part and run, with how they are known. Does not own: coolant, mixing or expansion space.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from kb.evidence.tree import Fact
from kb.formulas.flow.tube_flow import contents_ml, loop_contents_ml
from kb.formulas.heat.fin_core import tube_volume_ml
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.loop import LoopPart, LoopRun, ResolvedLoop
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.questions.loop import Passive, RadiatorInLoop
from schemas.tables.assumptions import Assumption
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.radiators import Radiator
from schemas.tables.tubes import Tube

HowKnown = Literal["stated", "row", "computed", "assumed", "unknown"]
FITTINGS = "fittings"


class Contents(NamedTuple):
    """What one place holds.

    Attributes:
        place: part or run.
        low: lower end of what is plausible [ml].
        likely: [ml].
        high: upper end [ml].
        how_known: how it is known; `unknown` counts as nothing in the sum.
        fact: where it stands; `None` if it is computed or unknown.
        tubes_ml: of a radiator: what its flat tubes hold by geometry [ml].
    """

    place: str
    low: float
    likely: float
    high: float
    how_known: HowKnown
    fact: Fact | None = None
    tubes_ml: float | None = None


class LoopVolume(NamedTuple):
    """What a loop holds.

    Attributes:
        contents: of every part and run, fittings together.
        assumed: rows that stood in for what nobody said.
    """

    contents: tuple[Contents, ...]
    assumed: tuple[Assumption, ...]

    @property
    def low(self) -> float:
        """Lower end of the sum [ml]."""
        return loop_contents_ml(one.low for one in self.contents)

    @property
    def likely(self) -> float:
        """The sum [ml]."""
        return loop_contents_ml(one.likely for one in self.contents)

    @property
    def high(self) -> float:
        """Upper end of the sum [ml]."""
        return loop_contents_ml(one.high for one in self.contents)

    @property
    def unknown(self) -> tuple[str, ...]:
        """Parts whose contents nobody knows."""
        return tuple(one.place for one in self.contents if one.how_known == "unknown")


class _Spreads(NamedTuple):
    row: Given
    length: Given
    run_length: Given
    fitting_length: Given
    small_part: Given


def loop_volume(snapshot: Snapshot, loop: ResolvedLoop) -> LoopVolume:
    """Return what a loop holds.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    spreads = _Spreads(
        *(
            given_or_assumed(snapshot, loop, f"quantity/{name}")
            for name in ("volume-spread", "run-length-spread", "run-length", "fitting-length", "small-part-volume")
        )
    )
    parts = [_part(part, spreads) for part in loop.parts.values() if part.body is None]
    runs = [one for run in loop.runs if (one := _run(run, spreads)) is not None]
    fittings = _fittings(loop, spreads)
    contents = (*parts, *runs, *((fittings,) if fittings is not None else ()))
    return LoopVolume(contents, tuple(_assumed(parts, runs, fittings, spreads)))


def tube_bore_mm(tube: Part) -> float | None:
    """Return the inside diameter of a tube [mm], from what is known of inside, outside and wall; `None` if too little.

    Args:
        tube: the tube.
    """
    row = tube.elements[0].row
    assert isinstance(row, Tube)
    if row.id_mm is not None:
        return row.id_mm
    return row.od_mm - 2 * row.wall_mm if row.od_mm is not None and row.wall_mm is not None else None


def _part(part: LoopPart, spreads: _Spreads) -> Contents:
    stated, row = part.asked.volume_ml, part.row
    tubes = tube_volume_ml(row) if isinstance(row, Radiator) else None
    if stated is not None:
        fact = Fact(part.name, "volume_ml", stated, "", "")
        return Contents(part.name, stated, stated, stated, "stated", fact, tubes)
    if isinstance(part.asked, Passive):
        likely = spreads.small_part.value
        return Contents(part.name, 0.0, likely, 2 * likely, "assumed")
    if row is None:
        return Contents(part.name, 0.0, 0.0, 0.0, "unknown")
    fact = Fact(row.id, "volume_ml", row.volume_ml, row.source_id, row.locator or "")
    thicker = _thicker(part)
    likely, tubes = row.volume_ml * thicker, tubes * thicker if tubes is not None else None
    low, high = _spread(likely, spreads.row)
    return Contents(part.name, max(low, tubes or 0.0), likely, high, "row" if thicker == 1 else "computed", fact, tubes)


def _thicker(part: LoopPart) -> float:
    """Return how many times as thick as its archetype a radiator is; its contents follow in proportion."""
    asked, row = part.asked, part.row
    if isinstance(asked, RadiatorInLoop) and isinstance(row, Radiator) and asked.thickness_mm is not None:
        return asked.thickness_mm / row.thickness_mm
    return 1.0


def _spread(value: float, spread: Given) -> tuple[float, float]:
    share = spread.value / 100
    return value * (1 - share), value * (1 + share)


def _run(run: LoopRun, spreads: _Spreads) -> Contents | None:
    if run.tube is None:
        return None
    bore = tube_bore_mm(run.tube)
    if bore is None:
        return Contents(run.name, 0.0, 0.0, 0.0, "unknown")
    if run.asked.length_mm is not None:
        likely = contents_ml(bore, run.asked.length_mm)
        return Contents(run.name, likely, likely, likely, "computed")
    likely = contents_ml(bore, spreads.run_length.value)
    low, high = _spread(likely, spreads.length)
    return Contents(run.name, low, likely, high, "assumed")


def _fittings(loop: ResolvedLoop, spreads: _Spreads) -> Contents | None:
    """Return what all fittings hold together, each a bore of the usual length."""
    bores = [bore for fitting in _bodies(loop) if (bore := _bore(fitting)) is not None]
    if not bores:
        return None
    likely = loop_contents_ml(contents_ml(bore, spreads.fitting_length.value) for bore in bores)
    low, high = _spread(likely, spreads.length)
    return Contents(FITTINGS, low, likely, high, "assumed")


def _bodies(loop: ResolvedLoop) -> Iterator[Part]:
    for run in loop.runs:
        yield from (*run.first, *run.last)
    yield from (part.body for part in loop.parts.values() if part.body is not None)


def _bore(fitting: Part) -> float | None:
    rows = (end.row for end in fitting.elements)
    return min((row.bore_mm for row in rows if isinstance(row, FittingEnd) and row.bore_mm is not None), default=None)


def _assumed(
    parts: Sequence[Contents], runs: Sequence[Contents], fittings: Contents | None, spreads: _Spreads
) -> Iterator[Assumption]:
    used: list[Given] = []
    if any(one.fact is not None and one.fact.source_id for one in parts):
        used.append(spreads.row)
    if any(one.how_known == "assumed" for one in parts):
        used.append(spreads.small_part)
    if any(one.how_known == "assumed" for one in runs):
        used += (spreads.run_length, spreads.length)
    if fittings is not None:
        used += (spreads.fitting_length, spreads.length)
    yield from (one.row for one in used if one.row is not None)
