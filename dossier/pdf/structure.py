"""What the document is made of, kept while it is drawn: headings, paragraphs, tables, figures, in reading order.

Flowables hang a ``Node`` on this tree when the story is put together; when one draws itself, the canvas brackets
its marks and notes on which page they went. ``dossier.pdf.tagging`` turns the tree into a PDF structure tree.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Final

from reportlab.pdfgen.canvas import Canvas

_HEADINGS: Final = ("H1", "H2", "H3")


@dataclass(eq=False, slots=True)
class Node:
    """One element of the structure.

    Attributes:
        role: standard structure type (ISO 32000-1, 14.8.4): Document, Sect, H1, P, Table, TR, TH, TD, Figure, ...
        alt: what to read out instead of a picture.
        scope: of a table head: Column or Row.
        children: elements inside, in reading order.
        marks: (page index, marked-content id) of everything drawn for this element itself.
        links: (page index, place in the page's list of annotations) of the link annotations of this element.
    """

    role: str
    alt: str = ""
    scope: str = ""
    children: list[Node] = field(default_factory=list)
    marks: list[tuple[int, int]] = field(default_factory=list)
    links: list[tuple[int, int]] = field(default_factory=list)

    def add(self, role: str, alt: str = "", scope: str = "") -> Node:
        """Append and return a new child."""
        child = Node(role, alt, scope)
        self.children.append(child)
        return child

    def __deepcopy__(self, memo: object) -> Node:
        """Itself: what is set again to try where it breaks stays the same element."""
        return self


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

    def link(self, node: Node, words: str, key: str, box: tuple[float, float, float, float]) -> None:
        """A link of ``node`` over ``box`` to the place ``key``; ``words`` say where it leads."""
        node.links.append((self.getPageNumber() - 1, len(self._annotationrefs)))
        self.linkRect(words, key, box, relative=1, thickness=0)

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """Draw something that is not content."""
        with self.content(None):
            yield


def level_headings(root: Node) -> None:
    """Raise headings that would skip a level, as a small heading right below a section's own does.

    A screen reader walks by levels, and ISO 14289-1, 7.4.2 lets none be missing on the way down.
    """
    last = 0

    def walk(node: Node) -> None:
        nonlocal last
        if node.role in _HEADINGS:
            last = min(_HEADINGS.index(node.role) + 1, last + 1)
            node.role = _HEADINGS[last - 1]
        for child in node.children:
            walk(child)

    walk(root)
