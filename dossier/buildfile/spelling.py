"""What a text that cannot be read was probably meant to be: decimal commas, wire gauges, missing spaces, slips.

Nothing here is ever read as a value: it only words the advice, and where a text can be meant in two ways the
advice names both.
"""

from __future__ import annotations

import re

from dossier.buildfile.units import AWG, KINDS, NUMBER
from dossier.frozen import dataclass

_COMMA = re.compile(r"[+-]?[0-9]+(?:[.' ][0-9]{3})*,[0-9]")
_GROUPED = re.compile(r"(?P<sign>[+-]?)(?P<number>[0-9]+(?:[.,' \u00a0\u2019][0-9]+)+)(?P<rest>.*)", re.DOTALL)
_PARTS = re.compile(r"([.,' \u00a0\u2019])([0-9]+)")
_SPACELESS = re.compile(r"([A-Za-z_][A-Za-z0-9_]*):([^\s/:].*)", re.DOTALL)  # not `https://`
_MEASURED = re.compile(f"({NUMBER})( ?)(.*)", re.DOTALL)
# `2 gauge`, `4ga`, `1/0` alone, `AWG 4`, `No. 4`: American wire gauge is the only numbered series read here.
_GAUGE = re.compile(
    f"(?:(?:awg|gauge|no\\.?|#) ?({AWG})|({AWG}) ?(?:awg|ga|gauge|gage|g)\\.?|([1-4]/0|0{{1,4}}))", re.IGNORECASE
)
# Spellings that can only mean one unit. Nothing is guessed from likeness: `5 m m` may be metres or not.
_SPELLINGS = {
    "ohms": "ohm", "mohms": "mohm", "milliohm": "mohm", "volt": "V", "volts": "V", "amp": "A", "amps": "A",
    "mm^2": "mm2", "sqmm": "mm2", "sq mm": "mm2", "sq. mm": "mm2", "qmm": "mm2", "c": "degC", "f": "degF",
    "deg c": "degC", "deg f": "degF", "feet": "ft", "foot": "ft", "inch": "in", "inches": "in", "metre": "m",
    "metres": "m", "meter": "m", "meters": "m", "watt": "W", "watts": "W", "sec": "s", "seconds": "s",
    "minutes": "min", "hours": "h", "awg": "AWG", "percent": "%", "rpm": "rpm", "lbs": "lb", "farad": "F",
    "hertz": "Hz", "'": "ft", '"': "in",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Commas:
    """What a number with a comma, or with gaps between its thousands, may mean."""

    decimal: str  # the text where the comma is a decimal point; empty if it cannot be one
    thousands: str  # the text where it separates thousands; empty if it cannot

    @property
    def ambiguous(self) -> bool:
        """Whether both can be meant."""
        return bool(self.decimal and self.thousands)

    @property
    def cure(self) -> str:
        """The advice; empty if there is none."""
        return comma_cure(self.decimal, self.thousands)


def comma_cure(decimal: str, thousands: str) -> str:
    """The advice where one reading is left, or two; empty without any."""
    if decimal and thousands:
        return f"write `{thousands}` if the comma separates thousands, `{decimal}` if it is the decimal mark"
    return f"write `{decimal or thousands}`" if decimal or thousands else ""


def has_comma(text: str) -> bool:
    """Whether a text begins with a number that has a comma in it."""
    return _COMMA.match(text) is not None


def commas(text: str) -> Commas:
    """How a number with commas can be read: `0,5 m` in one way, `1,000 W` in two.

    Three figures behind a single comma are thousands to some and decimals to others; a leading nought, another
    count of figures, or a second mark decides.
    """
    found = _GROUPED.fullmatch(text)
    if not found:
        return Commas("", "")
    sign, number, rest = found["sign"], found["number"], found["rest"]
    whole = re.match("[0-9]+", number)[0]  # type: ignore[index]  # the pattern begins with a figure
    parts = _PARTS.findall(number)
    marks, groups = [mark for mark, _ in parts], [group for _, group in parts]
    joined = f"{sign}{whole}{''.join(groups)}{rest}"
    in_threes = all(len(group) == 3 for group in groups) and len(whole) <= 3 and whole[0] != "0"
    if len(parts) == 1:
        shorter = groups[0].rstrip("0") if in_threes else groups[0]
        decimal = f"{sign}{whole}.{shorter}{rest}" if shorter else f"{sign}{whole}{rest}"
        if marks[0] == ",":
            return Commas(decimal, joined if in_threes else "")
        return Commas("", joined if in_threes and marks[0] != "." else "")
    if len(set(marks)) == 1:
        return Commas("", joined if in_threes else "")
    last = marks[-1]
    *before, after = groups
    if last in ".," and len(set(marks[:-1])) == 1 and last not in marks[:-1] and all(len(g) == 3 for g in before):
        return Commas(f"{sign}{whole}{''.join(before)}.{after}{rest}", "")
    return Commas("", "")


def gauge(text: str) -> str:
    """The wire gauge a text probably names, as it would be written: `2 gauge` is `2 AWG`; else empty."""
    found = _GAUGE.fullmatch(text.strip())
    return f"{found[1] or found[2] or found[3]} AWG" if found else ""


def spaceless(text: str) -> tuple[str, str] | None:
    """The name and the value of `role:return`, which is one word to YAML; None for everything else."""
    found = _SPACELESS.fullmatch(text)
    return (found[1], found[2]) if found else None


def space_missing(name: str, value: str) -> tuple[str, str]:
    """What is wrong with `role:return`, and its cure."""
    shown = value.split("\n")[0][:80]
    return (
        f"the colon in `{name}:{shown}` has no space after it",
        f"put a space after the colon: `{name}: {shown}`",
    )


def tidied(kind: str, text: str) -> str:
    """A text with its slips of spelling mended (spaces, signs, capitals, a unit written out), or an empty text."""
    found = _MEASURED.fullmatch(" ".join(text.replace("\u2212", "-").split()))
    if not found or found[3][:1] in "0123456789.eE,":
        return ""
    spelled = found[3]
    units = [*KINDS[kind].units, *(["AWG"] if kind == "area" else [])]
    alike = [unit for unit in units if unit.casefold() == spelled.casefold()]
    mega = spelled.startswith("M") and spelled not in ("M", "MM", "MM2")
    unit = spelled if spelled in units else _SPELLINGS.get(spelled.casefold(), alike[0] if len(alike) == 1 else "")
    return "" if unit not in units or mega else f"{found[1]} {unit}"
