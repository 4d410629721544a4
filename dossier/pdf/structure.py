"""What the document is made of, kept while it is drawn: headings, paragraphs, tables, figures, in reading order.

Flowables hang a ``Node`` on this tree when the story is put together; when one draws itself, the canvas brackets
its marks and notes on which page they went. ``dossier.pdf.tagging`` turns the tree into a PDF structure tree.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfgen.canvas import Canvas


@dataclass(eq=False, slots=True)
class Node:
    """One element of the structure.

    Attributes:
        role: standard structure type (ISO 32000-1, 14.8.4): Document, Sect, H1, P, Table, TR, TH, TD, Figure, ...
        alt: what to read out instead of a picture.
        scope: of a table head: Column or Row.
        children: elements inside, in reading order.
        marks: (page index, marked-content id) of everything drawn for this element itself.
    """

    role: str
    alt: str = ""
    scope: str = ""
    children: list[Node] = field(default_factory=list)
    marks: list[tuple[int, int]] = field(default_factory=list)

    def add(self, role: str, alt: str = "", scope: str = "") -> Node:
        """Append and return a new child."""
        child = Node(role, alt, scope)
        self.children.append(child)
        return child


class StructuredCanvas(Canvas):  # type: ignore[misc]
    """A canvas that brackets what is drawn: content of a node, or artifact (furniture, rules, backgrounds)."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._next_mark = 0
        self._inside = False

    def showPage(self) -> None:  # noqa: N802 - reportlab's name
        """Finish the page; marked-content ids start again on the next."""
        super().showPage()
        self._next_mark = 0

    @contextmanager
    def content(self, node: Node | None) -> Iterator[None]:
        """Draw content of ``node``; without one it is an artifact. Nested brackets are ignored."""
        if self._inside:
            yield
            return
        if node is None:
            self._code.append("/Artifact BMC")
        else:
            node.marks.append((self.getPageNumber() - 1, self._next_mark))
            self._code.append(f"/{node.role} <</MCID {self._next_mark}>> BDC")
            self._next_mark += 1
        self._inside = True
        try:
            yield
        finally:
            self._inside = False
            self._code.append("EMC")

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """Draw something that is not content."""
        with self.content(None):
            yield
