"""UNI-003: no value of a quantity lies outside the range of that quantity."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from typing import Any

from kb.checks import values_in_range
from kb.store.typed_rows import Tables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES
from schemas.tables.quantities import Quantity

NAMED_IN_ROWS = ("limits", "rule_conditions", "assumptions", "fluid_properties")
DECLARED = [
    (table, field)
    for table, row_class in ROW_CLASSES.items()
    for field in fields_of(row_class)
    if field.column.quantity
]


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(values_in_range) == []


def test_a_temperature_below_absolute_zero(spoil: Any) -> None:
    spoil.set("assumptions", "assumption/coolant-temperature", value="-300")
    assert spoil.places() == [spoil.place("UNI-003", "assumptions", "assumption/coolant-temperature", "value")]


def test_a_negative_concentration(spoil: Any) -> None:
    spoil.set("fluid_properties", "fluid-property/family-oil-chloride", value="-1")
    assert spoil.places() == [spoil.place("UNI-003", "fluid_properties", "fluid-property/family-oil-chloride", "value")]


def test_a_share_of_more_than_the_whole(spoil: Any) -> None:
    spoil.set("rule_conditions", "condition/biocide-into-glycol-glycol-share", value="101")
    (fault,) = (fault for fault in spoil.faults() if fault.code == "UNI-003")
    assert fault.row_id == "condition/biocide-into-glycol-glycol-share"
    assert fault.what == "101 lies outside 0 to 100 %, the range of quantity/glycol-share"


def test_a_range_that_today_leaves_a_value_out_names_that_value(spoil: Any) -> None:
    spoil.set("quantities", "quantity/thermal-resistance", most="0.15")
    assert {fault.code for fault in spoil.faults()} == {"UNI-003"}
    assert {fault.file for fault in spoil.faults()} == {"blocks.csv"}


def alone(tables: Tables, table: str, row: Any, **values: float) -> Tables:
    """Return one row with other values, beside all quantities."""
    return Tables({table: (dataclasses.replace(row, **values),), "quantities": tables.rows["quantities"]}, {table: {}})


def cells(tables: Tables) -> Iterator[tuple[str, Any, str, str]]:
    """Yield, for every quantity and every place in which its values stand, one cell: table, row, column, quantity."""
    seen = set()
    for table in NAMED_IN_ROWS:
        for row in tables.rows[table]:
            if (table, row.quantity_id) not in seen:
                seen.add((table, row.quantity_id))
                yield table, row, "value", row.quantity_id
    for table, field in DECLARED:
        row = next((one for one in tables.rows[table] if getattr(one, field.name) is not None), None)
        assert row is not None, (table, field.name)
        yield table, row, field.name, f"quantity/{field.column.quantity}"


def test_just_below_least_and_just_above_most_are_refused_wherever_a_value_stands(sound_tables: Tables) -> None:
    """Every quantity in every table and column that holds values of it; least and most themselves are accepted."""
    quantities = {one.id: one for one in sound_tables.of(Quantity)}
    for table, row, column, quantity_id in cells(sound_tables):
        least, most = quantities[quantity_id].least, quantities[quantity_id].most
        for value in (least, most):
            assert not list(values_in_range.faults(alone(sound_tables, table, row, **{column: value})))
        for value in (math.nextafter(least, -math.inf), math.nextafter(most, math.inf), math.nan, math.inf):
            (fault,) = values_in_range.faults(alone(sound_tables, table, row, **{column: value}))
            assert (fault.code, fault.row_id, fault.column) == ("UNI-003", row.id, column)
            assert fault.what and fault.fix


def test_every_column_is_declared_in_the_unit_of_its_quantity(sound_tables: Tables) -> None:
    units = {one.id: one.unit for one in sound_tables.of(Quantity)}
    for table, field in DECLARED:
        assert field.column.unit == units[f"quantity/{field.column.quantity}"], (table, field.name)
