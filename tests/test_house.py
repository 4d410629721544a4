"""The page for contributors shows the house as it is."""

from __future__ import annotations

import house


def test_the_drawing_is_that_of_the_code() -> None:
    """Run tests/house.py after a floor began to look at another."""
    assert house.page_with(house.drawing()) == house.PAGE.read_text(encoding="utf-8")


def test_no_floor_looks_up() -> None:
    """Every floor looks only at floors named after it, and none that stand beside it."""
    names = house.floors()
    for floor, below in house.looks_at().items():
        assert all(names.index(one) > names.index(floor) for one in below), floor
