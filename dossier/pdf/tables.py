"""Tables: hairlines, no verticals, numbers flush right with the unit in the head, no orphaned rows."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from itertools import compress, pairwise
from typing import Any, Generic, TypeVar

from reportlab.lib.colors import HexColor
from reportlab.platypus import Table

from dossier import style
from dossier.frozen import dataclass
from dossier.pdf.flow import Number, Text, hang_all, text
from dossier.pdf.fonts import BODY, width
from dossier.pdf.structure import Node
from dossier.pdf.styles import named

Cell = Any  # str (shown literally), a flowable, or a list of flowables
_Row = TypeVar("_Row")
_TALL = style.LIVE_HEIGHT / 3.0
_PAD = 1.4
_GAP_TEXT, _GAP_NUMBER = 10.0, 9.0
_LEAST_TEXT = 34.0
_DASH = "—"
_DECIMAL = re.compile(r"[+−-]?\d[\d\u00a0\u202f]*(?:\.\d+)?")  # a number and nothing else


@dataclass(frozen=True, slots=True)
class Column(Generic[_Row]):
    r"""One column.

    Attributes:
        head: its head, with the unit; ``\n`` breaks the line.
        cell: what a row gives it, in ``table_of``; None where the rows are lists of cells.
        number: set flush right, as wide as its longest entry; otherwise text.
        share: of the width the number columns leave, for a text column.
        style: paragraph style of its text.
        row_head: its cells name their row.
    """

    head: str
    cell: Callable[[_Row], Cell] | None = None
    number: bool = False
    share: float = 1.0
    style: str = "cell"
    row_head: bool = False


def num(head: str, cell: Callable[[_Row], Cell] | None = None) -> Column[_Row]:
    """A number column."""
    return Column(head, cell, number=True)


class DataTable(Table):  # type: ignore[misc]
    """A table whose cells are content and whose rules are furniture."""

    head_rows = 1
    row_heads: frozenset[int] = frozenset()

    def first_block(self) -> float:
        """Height [pt] of the head and the first rows up to the first place where the table may break."""
        rows = len(self._rowHeights)
        held = {y for _, (_, first), (_, last) in self._nosplitCmds for y in range(first + 1, last + 1)}
        end = next((y for y in range(self.head_rows + 1, rows) if y not in held), rows)
        return float(sum(self._rowHeights[:end]))

    def hang(self, parent: Node) -> None:
        """Hang the table, its rows and its cells under ``parent``."""
        table = parent.add("Table")
        for index, row in enumerate(self._cellvalues):
            line = table.add("TR")
            for column, cell in enumerate(row):
                head = index < self.head_rows
                is_head = head or column in self.row_heads
                scope = ("Column" if head else "Row") if is_head else ""
                place = line.add("TH" if is_head else "TD", scope=scope)
                parts = cell if isinstance(cell, (list, tuple)) else [cell]
                if len(parts) == 1 and hasattr(parts[0], "node"):  # the words are the cell
                    parts[0].node, parts[0].role = place, place.role
                else:
                    hang_all(parts, place)

    def _drawLines(self) -> None:  # noqa: N802 - reportlab's name
        with self.canv.artifact():
            super()._drawLines()

    def _drawBkgrnd(self) -> None:  # noqa: N802 - reportlab's name
        if self._bkgrndcmds:
            with self.canv.artifact():
                super()._drawBkgrnd()


class Columns(Table):  # type: ignore[misc]
    """Blocks side by side; they stay on one page."""

    def hang(self, parent: Node) -> None:
        """Hang the blocks under ``parent``, left to right."""
        for row in self._cellvalues:
            for cell in row:
                hang_all(cell if isinstance(cell, (list, tuple)) else [cell], parent)


def _natural(cell: Cell) -> float:
    if isinstance(cell, Number):
        return cell.natural_width()
    if isinstance(cell, list):
        return max(_natural(one) for one in cell)
    return width(str(cell), BODY, style.CELL[0])


def _head_width(column: Column[Any]) -> float:
    head = named("head")
    return max(width(line, head.fontName, head.fontSize) for line in column.head.split("\n")) + 0.5


def column_widths(columns: Sequence[Column[Any]], rows: Sequence[Sequence[Cell]], total: float) -> list[float]:
    """Widths [pt] that add up to ``total``: numbers take what they need, text shares the rest."""
    total -= 0.01  # a sum that rounds to more than the frame would forbid every page break
    gaps = _gaps(columns)
    fixed = {
        i: max([_head_width(column), *(_natural(row[i]) + 0.5 for row in rows)]) + gaps[i]
        for i, column in enumerate(columns)
        if column.number
    }
    texts = [i for i in range(len(columns)) if i not in fixed]
    if not texts:  # spread the slack evenly, so that the last column ends at the edge
        slack = (total - sum(fixed.values())) / len(columns)
        return [fixed[i] + slack for i in range(len(columns))]
    rest = total - sum(fixed.values())
    least = sum(_LEAST_TEXT + gaps[i] for i in texts)
    if rest < least:  # absurd numbers: squeeze them rather than run off the page
        shrink = (total - least) / sum(fixed.values())
        fixed = {i: w * shrink for i, w in fixed.items()}
        rest = least
    shares = sum(columns[i].share for i in texts)
    return [fixed[i] if i in fixed else rest * columns[i].share / shares for i in range(len(columns))]


def _gaps(columns: Sequence[Column[Any]]) -> list[float]:
    gaps = [0.0]
    for before, column in pairwise(columns):
        if column.number:
            gaps.append(_GAP_NUMBER)
        else:
            gaps.append(style.GUTTER if before.number else _GAP_TEXT)
    return gaps


def _cell(column: Column[Any], value: Cell) -> Cell:
    if not isinstance(value, str):
        return value
    if column.number:
        return Number(value)
    return text(value, column.style)


def _on_the_point(cells: Sequence[Cell]) -> None:
    """Give the plain numbers of a column their place on the decimal point of the one with most decimals."""
    numbers = [one for one in cells if isinstance(one, Number) and _DECIMAL.fullmatch(one.words)]
    tails = [
        width(one.words[one.words.index(".") :], BODY, one.style.fontSize) if "." in one.words else 0.0
        for one in numbers
    ]
    for one, tail in zip(numbers, tails, strict=True):
        one.tail = max(tails) - tail


def table_of(
    rows: Iterable[_Row], columns: Sequence[Column[_Row] | None], *, alike: int = 0, filled: bool = False, **layout: Any
) -> DataTable:
    """A table that says of each column what a row gives it.

    Args:
        rows: anything the columns understand; without any, a line of dashes.
        columns: left to right; None is left out.
        alike: how many columns name what a row is about: rows equal behind them become one; 0 keeps every row.
        filled: leave out number columns in which nothing but dashes would stand.
        layout: as for ``data_table``.
    """
    kept = [column for column in columns if column]
    cells = [[column.cell(row) if column.cell else "" for column in kept] for row in rows]
    if filled:
        said = [not one.number or any(row[at] != _DASH for row in cells) for at, one in enumerate(kept)]
        kept, cells = list(compress(kept, said)), [list(compress(row, said)) for row in cells]
    if alike:
        cells = _alike(cells, alike)
    return data_table(kept, cells or [[_DASH] * len(kept)], **layout)


def _alike(rows: Sequence[Sequence[Cell]], named: int) -> list[list[Cell]]:
    """Merge rows whose cells are equal behind the first ``named`` ones; of those, differing words are joined by commas.

    Only cells of plain words can be equal; a row with anything else stays alone. The order is that of the first of
    each kind.
    """
    merged: dict[Any, list[list[Cell]]] = {}
    for index, row in enumerate(rows):
        words = all(isinstance(cell, str) for cell in row)
        merged.setdefault(tuple(row[named:]) if words else index, []).append(list(row))
    return [
        [*(", ".join(dict.fromkeys(row[i] for row in group)) for i in range(named)), *group[0][named:]]
        if len(group) > 1
        else group[0]
        for group in merged.values()
    ]


def data_table(
    columns: Sequence[Column[Any]],
    rows: Sequence[Sequence[Cell]],
    *,
    total: float = style.LIVE_WIDTH,
    head: bool = True,
    after: float = 8.0,
    blocks: Sequence[tuple[int, int]] = (),
) -> DataTable:
    """A table of ``rows``; strings are shown literally.

    Args:
        columns: what stands in each column.
        rows: at least one row, as long as ``columns``.
        total: width [pt].
        head: print the heads and repeat them on the next page.
        after: space below [pt].
        blocks: first and last row of groups that stay on one page.

    Raises:
        ValueError: there are no rows.
    """
    if not rows:
        raise ValueError("a table needs rows")
    gaps = _gaps(columns)
    body = [[_cell(column, value) for column, value in zip(columns, row, strict=True)] for row in rows]
    for index, column in enumerate(columns):
        if column.number:
            _on_the_point([row[index] for row in body])
    widths = column_widths(columns, body, total)
    heads: list[list[Cell]] = []
    if head:
        heads = [[text(column.head, "head", "right" if column.number else "left") for column in columns]]
        for cell in heads[0]:
            cell.once = True
    first = len(heads)
    commands: list[tuple[Any, ...]] = [
        ("FONTNAME", (0, 0), (-1, -1), BODY),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("TOPPADDING", (0, 0), (-1, -1), _PAD),
        ("BOTTOMPADDING", (0, 0), (-1, -1), _PAD + 0.6),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("LINEBELOW", (0, first), (-1, -1), style.ROW_RULE, HexColor(style.HAIR)),
        *(("LEFTPADDING", (i, 0), (i, -1), one) for i, one in enumerate(gaps)),
    ]
    if head:
        commands += [
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"), ("LINEBELOW", (0, 0), (-1, 0), style.HEAD_RULE, HexColor(style.RULE))
        ]
    count = first + len(body)
    if count > first + 1:  # the first two and the last two rows stay with their neighbours
        commands.append(("NOSPLIT", (0, 0), (0, min(count - 1, first + 1))))
        commands.append(("NOSPLIT", (0, max(first, count - 2)), (0, count - 1)))
    commands += [("NOSPLIT", (0, first + start), (0, first + end)) for start, end in blocks]
    table = DataTable(heads + body, colWidths=widths, repeatRows=first, style=commands, spaceAfter=after, hAlign="LEFT")
    table.head_rows = first
    table.row_heads = frozenset(i for i, column in enumerate(columns) if column.row_head)
    table.wrap(total, style.LIVE_HEIGHT)
    if max(table._rowHeights) > _TALL:
        table.splitInRow = 40
        table._nosplitCmds.clear()
    return table


def columns(
    blocks: Sequence[Sequence[Any]], gutter: float = style.GUTTER, shares: Sequence[float] | None = None
) -> Columns:
    """``blocks`` side by side, in equal widths or by ``shares`` of the whole, not splittable over a page."""
    room = style.LIVE_WIDTH - gutter * (len(blocks) - 1)
    parts = [1.0 / len(blocks)] * len(blocks) if shares is None else [one / sum(shares) for one in shares]
    widths = [room * part + (gutter if i < len(blocks) - 1 else 0) for i, part in enumerate(parts)]
    commands: list[tuple[Any, ...]] = [
        ("FONTNAME", (0, 0), (-1, -1), BODY),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        *((f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "TOP", "BOTTOM")),
        ("RIGHTPADDING", (0, 0), (-1, -1), gutter),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
    ]
    return Columns([[list(block) for block in blocks]], colWidths=widths, style=commands, hAlign="LEFT")


def pairs(rows: Sequence[tuple[str, Cell]], total: float, label_share: float = 0.32) -> DataTable:
    """A table of labels and values without a head."""
    return data_table(
        [Column("", share=label_share, style="cell_muted", row_head=True), Column("", share=1 - label_share)],
        rows,
        total=total,
        head=False,
    )


__all__ = [
    "Cell", "Column", "Columns", "DataTable", "Text", "column_widths", "columns", "data_table", "num", "pairs",
    "table_of",
]
