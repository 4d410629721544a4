"""The place of a figure: an empty form of the right size, filled when the document is finished."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reportlab.platypus import Flowable

from dossier.pdf.structure import Node


class FigureBox(Flowable):  # type: ignore[misc]
    """Holds the place for a vector figure; position, order and clipping stay with the layout.

    Two boxes may share one figure (same ``name`` and size): it is embedded once.

    Args:
        name: unique name of the figure in the document.
        draw_figure: draws it, called once per figure; what it returns the figures floor can turn into PDF.
        size: width and height [pt].
        alt: what the figure shows, in a sentence, for a reader who cannot see it.
    """

    node: Node | None = None

    def __init__(self, name: str, draw_figure: Callable[[], Any], size: tuple[float, float], alt: str) -> None:
        super().__init__()
        self.name, self.draw_figure, self.alt = name, draw_figure, alt
        self.width, self.height = size

    @property
    def form(self) -> str:
        """Name of the form object that stands for the figure."""
        return f"figure-{self.name}"

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        """The size is fixed."""
        return self.width, self.height

    def hang(self, parent: Node) -> None:
        """Take a place under ``parent``."""
        self.node = parent.add("Figure", alt=self.alt)

    def draw(self) -> None:
        """Leave an empty form where the figure will be."""
        canvas = self.canv
        if self.form not in canvas.figures:
            canvas.figures[self.form] = self
            canvas.beginForm(self.form, 0, 0, self.width, self.height)
            canvas.endForm()
        with canvas.content(self.node):
            canvas.doForm(self.form)
