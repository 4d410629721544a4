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
