"""Pages are filled: a table goes before a figure that does not fit, lines to write on take what is left."""

from __future__ import annotations

from typing import Any

import pytest
from pdf_text import pages_text
from reportlab.platypus import Spacer

from dossier import style
from dossier.pdf.blank import BlankLines
from dossier.pdf.card import Card
from dossier.pdf.floating import FigureWithTable
from dossier.pdf.flow import beneath, heading, text
from dossier.pdf.structure import Node
from dossier.pdf.tables import Column, DataTable, data_table
from dossier.pdf.template import Furniture, lay_out, with_breaks


def laid(*story: Any) -> list[str]:
    """Text of the pages of a story below a section heading."""
    made = lay_out([heading("Section", 1, "s"), *story], Furniture("Title", "N-1", "foot"), paper="a4")
    return pages_text(made.data)


def tall(height: float) -> Any:
    """A figure of that height [pt]."""
    return Card([text("the figure")], style.LIVE_WIDTH, height)


def table(rows: int) -> DataTable:
    """A table whose rows are numbered."""
    return data_table([Column("What", row_head=True), Column("More")], [[f"row {i};", "x"] for i in range(rows)])


@pytest.mark.parametrize(("used", "first"), [(100.0, 0), (300.0, 1)])
def test_a_table_fills_the_page_before_a_figure(used: float, first: int) -> None:
    """Where the figure fits it comes first; where it does not, rows stand before it and no page is left half empty."""
    pages = laid(
        Spacer(1, used),
        FigureWithTable([tall(400.0)], heading("List", 2, "list"), table(40)),
    )
    assert "the figure" in pages[first]
    assert "row 1;" in pages[0]
    text_of_all = " ".join(pages)
    assert all(text_of_all.count(f"row {i};") == 1 for i in range(40))
    if first:
        assert "row 10;" in pages[0]


@pytest.mark.parametrize("used", [0.0, 40.0, 120.0, 200.0, 330.0, 520.0, 600.0])
def test_a_figure_keeps_its_heading(used: float) -> None:
    """A figure with a heading of its own stands below it wherever it is put, and no row of the list is lost."""
    figure = beneath(heading("Drawing", 1, "drawing"), tall(520.0))
    pages = laid(Spacer(1, used), FigureWithTable([figure], heading("List", 1, "list"), table(30)))
    home = next(page for page in pages if "the figure" in page)
    assert "Drawing" in home
    assert all(" ".join(pages).count(f"row {i};") == 1 for i in range(30))


def test_no_single_row_below_a_figure() -> None:
    """Below a figure that leaves room for a row or two the rest of its list goes to the next page."""
    pages = laid(Spacer(1, 300.0), FigureWithTable([tall(600.0)], heading("List", 2, "list"), table(40)))
    assert "the figure" in pages[1]
    assert "row" not in pages[1]
    assert "row 1;" in pages[0]
    assert "row 39;" in pages[2]


def test_in_the_structure_the_figure_stays_first() -> None:
    """A reader who listens hears the figure before its list, wherever it stands on paper."""
    root = Node("Sect")
    FigureWithTable([tall(400.0)], heading("List", 2, "list"), table(3)).hang(root)
    assert [one.role for one in root.children] == ["Div", "H2", "Table"]


@pytest.mark.parametrize("used", [0.0, 150.0, 300.0, 450.0, 520.0, 600.0])
def test_lines_to_write_on_take_what_is_left(used: float) -> None:
    """Heading, lines and what has to stand below them end on one page, whatever stood before."""
    ending = [heading("Signatures", 2, "sign"), text("signed here"), table(2)]
    blank = BlankLines((("Date", 1.0), ("What", 2.0)), 5, 30, ending)
    pages = laid(Spacer(1, used), heading("Log", 2, "log"), blank, *ending)
    last = pages[-1]
    assert all(words in last for words in ("Log", "Date", "Signatures", "signed here", "row 1;"))
    assert len(pages) == (1 if used < 450.0 else 2)
    assert 5 <= blank.lines <= 30
    if used == 0.0:
        assert blank.lines > 20


def test_more_than_a_page_below_the_lines_goes_on() -> None:
    """Hundreds of attached files are named below the lines: they run over pages, nothing falls over."""
    ending = [text("file.jpg, " * 900)]
    pages = laid(BlankLines((("Date", 1.0),), 5, 30, ending), *ending)
    assert " ".join(pages).count("file.jpg") == 900


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    """Whatever stands before it, a heading has its table with it."""
    for used in range(560, 670, 9):
        pages = laid(Spacer(1, float(used)), heading("Lonely", 2, "x"), table(5))
        home = next(page for page in pages if "Lonely" in page)
        assert "row 1;" in home, used
    assert with_breaks([text("x")])
