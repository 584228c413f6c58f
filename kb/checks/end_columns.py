"""Every kind of end fills the columns it needs and none that belong to another kind.

Owns: which columns go with which kind of end. Does not own: their values (`end_dimensions.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.threads import SealsOn

CODE = "END-001"
PROMISE = "Every kind of end fills the columns it needs and none that belong to another kind."

_THREAD_NEEDS = ("thread_id", "seals_on")
_NEEDS: Mapping[EndKind, tuple[str, ...]] = MappingProxyType(
    {
        EndKind.MALE_THREAD: _THREAD_NEEDS,
        EndKind.FEMALE_THREAD: _THREAD_NEEDS,
        EndKind.BARB: ("tube_id_mm",),
        EndKind.SOFT_COMPRESSION: ("tube_id_mm", "tube_od_mm"),
        EndKind.RIGID_COMPRESSION: ("tube_od_mm",),
        EndKind.PUSH_IN: ("tube_od_mm",),
        EndKind.COUPLING_PLUG: ("coupling_pattern",),
        EndKind.COUPLING_SOCKET: ("coupling_pattern",),
    }
)
_THREAD_MAY = (*_THREAD_NEEDS, "thread_length_mm", "seal_id")
_O_RING_MAY = ("tube_od_mm", "socket_bore_mm", "groove_diameter_mm", "insertion_depth_mm", "seal_id")
_MAY: Mapping[EndKind, tuple[str, ...]] = MappingProxyType(
    {
        EndKind.MALE_THREAD: _THREAD_MAY,
        EndKind.FEMALE_THREAD: _THREAD_MAY,
        EndKind.BARB: ("tube_id_mm", "barb_od_mm", "insertion_depth_mm"),
        EndKind.SOFT_COMPRESSION: ("tube_id_mm", "tube_od_mm", "barb_od_mm", "collar_bore_mm", "insertion_depth_mm"),
        EndKind.RIGID_COMPRESSION: _O_RING_MAY,
        EndKind.PUSH_IN: _O_RING_MAY,
        EndKind.COUPLING_PLUG: ("coupling_pattern",),
        EndKind.COUPLING_SOCKET: ("coupling_pattern",),
    }
)


def belongs(column: str, end_kind: EndKind) -> bool:
    """Return whether a column of ends may be filled in an end of this kind."""
    return column in _MAY[end_kind] or all(column not in columns for columns in _MAY.values())


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every needed column that is empty and every column of another kind that is filled."""
    kind_columns = sorted({column for columns in _MAY.values() for column in columns})
    for end in tables.active(FittingEnd):
        for column in kind_columns:
            is_empty = getattr(end, column) is None
            if is_empty and column in _NEEDS[end.end_kind]:
                yield tables.fault(end, column, CODE, f"is empty in a {end.end_kind.value} end", "write it")
            elif not is_empty and column not in _MAY[end.end_kind]:
                fix = "empty it, or correct the kind of end"
                yield tables.fault(end, column, CODE, f"is filled in a {end.end_kind.value} end", fix)
        if end.thread_id is not None and end.seal_id is not None and end.seals_on in (SealsOn.THREAD, SealsOn.NOTHING):
            fix = "empty it, or write face or chamfer in seals_on"
            yield tables.fault(end, "seal_id", CODE, f"names an O-ring, but seals on {end.seals_on.value}", fix)
