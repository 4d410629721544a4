"""Figures put into the empty forms the layout left for them, as vector form objects with live text."""

from __future__ import annotations

import io
from collections.abc import Sequence

from pikepdf import Dictionary, Name, Object, Pdf


def embed(pdf: Pdf, forms: Sequence[str], figures: bytes) -> None:
    """Fill each form with one page.

    Args:
        pdf: the open document.
        forms: names of the empty forms, as given to the layout.
        figures: a PDF with one page per form, in the same order.

    Raises:
        ValueError: the numbers differ, or the document lacks one of the forms.
    """
    with Pdf.open(io.BytesIO(figures)) as source:
        if len(source.pages) != len(forms):
            raise ValueError(f"{len(forms)} places for {len(source.pages)} figures")
        made: dict[str, Object] = {}
        for form, page in zip(forms, source.pages, strict=True):
            placed = pdf.copy_foreign(page.as_form_xobject())
            if Name.Group in placed:  # nothing in it blends
                del placed.Group
            _make_opaque(placed)
            made[f"/FormXob.{form}"] = pdf.make_indirect(placed)
        missing = set(made)
        for page in pdf.pages:
            forms_here = page.obj.Resources.get("/XObject", Dictionary())
            for name in list(forms_here.keys()):
                if name in made:
                    forms_here[name] = made[name]
                    missing.discard(name)
    if missing:
        raise ValueError(f"no place for {', '.join(sorted(missing))}")


def _make_opaque(form: Object) -> None:
    """Drop the opacity settings of a figure; they only say "opaque", or 0 for the outline of a shape without one.

    Raises:
        ValueError: something in the figure is half transparent; figures mix their tints beforehand.
    """
    states = form.Resources.get("/ExtGState", Dictionary())
    for name in list(states.keys()):
        state = states[name]
        if float(state.get("/ca", 1)) != 1.0 or float(state.get("/CA", 1)) not in (0.0, 1.0):
            raise ValueError("a figure uses transparency")
        state["/CA"] = 1
