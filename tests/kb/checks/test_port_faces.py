"""POR-002: the flat and the chamfer of a port lie outside its thread."""

from __future__ import annotations

from typing import Any

from kb.checks import port_faces


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(port_faces) == []


def test_a_flat_inside_the_thread(spoil: Any) -> None:
    spoil.set("ports", "port/g-1-4-din-3852-2", spotface_diameter_min_mm="13")
    assert spoil.places() == [spoil.place("POR-002", "ports", "port/g-1-4-din-3852-2", "spotface_diameter_min_mm")]


def test_a_chamfer_inside_the_thread(spoil: Any) -> None:
    spoil.set("ports", "port/m10x1-iso-6149-1", chamfer_diameter_mm="9.1")
    assert spoil.places() == [spoil.place("POR-002", "ports", "port/m10x1-iso-6149-1", "chamfer_diameter_mm")]
