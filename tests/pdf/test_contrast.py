"""What is printed can be read: contrast of every word, and curves apart without colour."""

from __future__ import annotations

import io
from itertools import pairwise
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from dossier import style
from dossier.assessment.assess import assess_nominal
from dossier.buildfile.reader import read_build
from dossier.pages.editions.edition import story
from dossier.pages.section import Stamp
from dossier.pdf.template import Furniture, lay_out

UNSAFE = Path(__file__).parents[2] / "demo_builds" / "unsafe-findings.yaml"  # every severity stands on its pages
LEAST = 4.5  # WCAG 2.2, success criterion 1.4.3
Colour = tuple[float, float, float]
SHOWS = ("Tj", "TJ", "'", '"')


def luminance(colour: Colour) -> float:
    """Relative luminance by WCAG 2.2."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: Colour, b: Colour) -> float:
    """Contrast ratio by WCAG 2.2."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def of(code: str) -> Colour:
    """A colour of the style."""
    red, green, blue = (int(code[k : k + 2], 16) / 255.0 for k in (1, 3, 5))
    return red, green, blue


def inks(part: Any, seen: set[tuple[int, int]]) -> set[Colour]:
    """Fill colours in which words are shown by a page or figure and what it draws."""
    found: set[Colour] = set()
    fill: list[Colour] = [(0.0, 0.0, 0.0)]
    for step in pikepdf.parse_content_stream(part):
        name, operands = str(step.operator), list(step.operands)
        if name == "q":
            fill.append(fill[-1])
        elif name == "Q":
            fill.pop()
        elif name == "rg":
            red, green, blue = (float(value) for value in operands)
            fill[-1] = (red, green, blue)
        elif name == "g":
            fill[-1] = (float(operands[0]),) * 3
        elif name in SHOWS:
            found.add(fill[-1])
    for inner in part.get("/Resources", {}).get("/XObject", {}).values():
        if inner.get("/Subtype") == "/Form" and inner.objgen not in seen:
            seen.add(inner.objgen)
            found |= inks(inner, seen)
    return found


@pytest.mark.published
def test_every_word_of_a_dossier_has_contrast() -> None:
    """WCAG 2.2: every colour in which a word is set has at least 4.5 to 1 on white and on the tint of the tables."""
    build = read_build(UNSAFE)
    made = lay_out(
        story(build, assess_nominal(build), Stamp("A", "p", ("a.yaml",))), Furniture("T", "X", "A"), paper="a4"
    )
    with pikepdf.open(io.BytesIO(made.data)) as pdf:
        used: set[Colour] = set()
        for page in pdf.pages:
            used |= inks(page.obj, set())
    assert len(used) > 4
    for ink in used:
        for ground in (style.WHITE, style.TINT):
            assert contrast(ink, of(ground)) >= LEAST, ink


@pytest.mark.published
def test_curves_are_apart_in_greyscale() -> None:
    """In grey, by CIE lightness, the curves of a figure lie at least 10 apart; each has dashes of its own as well."""
    lightness = sorted(116.0 * luminance(of(code)) ** (1.0 / 3.0) - 16.0 for code in style.SERIES)
    assert min(b - a for a, b in pairwise(lightness)) >= 10.0
    assert len(set(style.DASHES)) == len(style.SERIES)
