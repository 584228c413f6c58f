"""Checks across tables: one promise about the data a file.

Owns: running all checks. Does not own: single cells (`schemas/tables/`), the form of files (`kb/csv_text.py`).
A check is a module with a permanent `CODE`, a `PROMISE` in one sentence and a function `faults(tables)`.
"""

from __future__ import annotations

from kb.checks import (
    alias_means_one,
    alias_words_plain,
    basis_fits_source,
    block_ranges,
    block_shares,
    conditions_can_hold,
    end_columns,
    end_dimensions,
    end_letters,
    facts_have_a_place,
    families_form_trees,
    fan_curves,
    limits_climb,
    limits_leave_room,
    limits_never_praise,
    limits_speak_once,
    memory_is_weak,
    port_depths,
    published_was_seen,
    pump_curves,
    pump_speeds,
    radiator_cores,
    references_exist,
    references_stand,
    resistances_said_once,
    rows_sorted,
    rules_agree,
    thread_default_class,
    thread_deviations,
    thread_diameters,
    thread_form,
    thread_gauge,
    thread_pitch,
    thread_sides,
    tolerance_amounts,
    tolerance_ranges,
    tube_names,
    tube_walls,
    units_agree,
    withdrawals_are_whole,
)
from kb.faults import Fault
from kb.table_rows import Tables

CHECKS = (
    alias_words_plain,
    alias_means_one,
    conditions_can_hold,
    end_columns,
    end_letters,
    end_dimensions,
    families_form_trees,
    fan_curves,
    limits_never_praise,
    limits_climb,
    limits_speak_once,
    limits_leave_room,
    rows_sorted,
    port_depths,
    references_exist,
    references_stand,
    withdrawals_are_whole,
    rules_agree,
    facts_have_a_place,
    basis_fits_source,
    memory_is_weak,
    published_was_seen,
    radiator_cores,
    thread_pitch,
    thread_diameters,
    thread_form,
    thread_gauge,
    thread_sides,
    thread_default_class,
    thread_deviations,
    tolerance_amounts,
    tolerance_ranges,
    tube_walls,
    tube_names,
    units_agree,
    block_ranges,
    block_shares,
    pump_curves,
    pump_speeds,
    resistances_said_once,
)


def cross_table_faults(tables: Tables) -> list[Fault]:
    """Return the faults of every check over clean tables, in order of file and line."""
    return sorted(fault for check in CHECKS for fault in check.faults(tables))
