"""Tables fit their width, keep their digits in columns, and break where they may."""

from __future__ import annotations

from typing import Any

import pytest

from dossier import style
from dossier.pdf.flow import Number
from dossier.pdf.fonts import BODY, width
from dossier.pdf.tables import Column, column_widths, data_table, num, table_of

COLUMNS: list[Column[Any]] = [
    Column("Name", row_head=True),
    num("Length\nm"),
    num("Loss\nW"),
    Column("Remarks", share=2),
]


def rows(count: int, words: str = "plain words") -> list[list[str]]:
    """Rows for COLUMNS."""
    return [[f"cable {i}", f"{i}.25", f"{i * 11}", words] for i in range(count)]


def test_widths_add_up_to_the_live_width() -> None:
    """No table is wider than the page, none leaves a ragged edge."""
    total = sum(column_widths(COLUMNS, rows(3), style.LIVE_WIDTH))
    assert style.LIVE_WIDTH - 0.05 < total <= style.LIVE_WIDTH


@pytest.mark.parametrize("number", ["1" * 40, "9" * 300])
def test_absurd_numbers_do_not_push_the_table_off_the_page(number: str) -> None:
    """A number as wide as the page is squeezed, the text columns keep room to be read."""
    widths = column_widths(COLUMNS, [["a", number, number, "b"]], style.LIVE_WIDTH)
    assert sum(widths) <= style.LIVE_WIDTH
    assert min(widths) > 0


def test_digits_have_one_width() -> None:
    """Tabular figures: numbers with equal decimals align on their points when set flush right."""
    assert len({round(width(digit, BODY, 8.4), 6) for digit in "0123456789"}) == 1
    assert width("−", BODY, 8.4) == pytest.approx(width("+", BODY, 8.4))


@pytest.mark.parametrize("column", [["1.25", "10", "3.5"], ["−0.125", "+12", "7.0", "—", "no limit"]])
def test_decimal_points_stand_above_each_other(column: list[str]) -> None:
    """Whatever the decimals of each number, the point (or where it would be) has one place from the right edge."""
    table = data_table([Column("Name"), num("Value")], [["a", one] for one in column])
    cells = [row[1][0] for row in table._cellvalues[1:]]
    places = []
    for one in cells:
        if not any(digit in one.words for digit in "0123456789"):
            assert one.tail == 0.0  # words stay at the edge
            continue
        fraction = "." + one.words.partition(".")[2] if "." in one.words else ""
        places.append(one.tail + width(fraction, BODY, one.style.fontSize))
    assert len(places) > 1
    assert places == pytest.approx([places[0]] * len(places))
    assert table._colWidths[1] > max(one.natural_width() for one in cells)


def test_numbers_are_never_broken() -> None:
    """A number column is at least as wide as its longest number."""
    widths = column_widths(COLUMNS, rows(3), style.LIVE_WIDTH)
    assert widths[1] >= Number("2.25").natural_width()


def test_a_split_leaves_no_single_row_behind() -> None:
    """Head with two rows at least on the first page, two rows at least on the next."""
    for available in range(40, 400, 7):
        table = data_table(COLUMNS, rows(20))
        table.wrap(style.LIVE_WIDTH, 2000)
        parts = table.split(style.LIVE_WIDTH, available)
        if len(parts) == 2:
            assert len(parts[0]._cellvalues) >= 3
            assert len(parts[1]._cellvalues) >= 3  # the head again, and two rows


def test_a_row_taller_than_a_page_breaks_inside() -> None:
    """Ten thousand characters in a cell are laid out over several pages."""
    table = data_table(COLUMNS, rows(1, "word " * 2000))
    table.wrap(style.LIVE_WIDTH, style.LIVE_HEIGHT)
    assert table.split(style.LIVE_WIDTH, style.LIVE_HEIGHT)


def test_a_table_needs_rows() -> None:
    """An empty table is our own mistake and is refused."""
    with pytest.raises(ValueError, match="rows"):
        data_table(COLUMNS, [])


def test_a_column_says_what_a_row_gives_it() -> None:
    """Every column reads its cell from the row; one that is left out takes head and cells with it."""
    loss: Column[tuple[str, str]] = num("Loss", lambda one: one[1])
    table = table_of([("a", "1"), ("b", "2")], [Column("Name", lambda one: one[0]), None, loss])
    cells = [row[1] for row in table._cellvalues[1:]]
    assert [len(row) for row in table._cellvalues] == [2, 2, 2]
    assert [(one[0] if isinstance(one, (list, tuple)) else one).words for one in cells] == ["1", "2"]
