"""Text to number: reads `5.1 m`, `1/0 AWG` or `260 EUR`, and says what is wrong with what it cannot read."""

from __future__ import annotations

import re
from functools import lru_cache

from dossier.buildfile.spelling import comma_cure, commas, gauge, has_comma, tidied
from dossier.buildfile.units import AWG, KINDS, NUMBER, awg_area, kind_of_unit

_MEASURED = re.compile(f"({NUMBER})( ?)(.*)", re.DOTALL)
_GAUGE = re.compile(f"({AWG}) ?AWG")
_NOT_FINITE = re.compile(r"[+-]?\.?(?:inf|infinity|nan)\b", re.IGNORECASE)
_CURRENCY = re.compile("[A-Z]{3}")
# Where these are written at all they come in hundreds or thousands, and nobody needs three decimals of them: a point
# before three figures is as likely the mark of thousands in half of Europe, and the two are a factor of 1000 apart.
_IN_THOUSANDS = {"power": "W", "current": "A", "capacity": "Ah", "capacitance": "F", "speed": "rpm", "distance": "km"}
_GROUPED = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
MOST_BELS = 300.0  # far beyond any bound, and still a number


class QuantityError(ValueError):
    """A text that is not the quantity it should be.

    Attributes:
        code: diagnostic code.
        problem: what is wrong, as the end of a sentence.
        expected: what would have been right.
        fix: what would cure it; may be empty.
        field: the part at fault where the quantity is a map, else empty.
    """

    def __init__(self, code: str, problem: str, expected: str, fix: str = "") -> None:
        super().__init__(problem)
        self.code, self.problem, self.expected, self.fix = code, problem, expected, fix
        self.field = ""

    def inside(self, field: str) -> QuantityError:
        """The same complaint about one part of a quantity written as a map."""
        self.field = field
        return self


@lru_cache(maxsize=4096)
def parse(kind: str, text: str) -> float:
    """Value of a quantity in the units used inside (see ``dossier.buildfile.model``).

    Args:
        kind: a key of ``units.KINDS``.
        text: as written.

    Raises:
        QuantityError: the text is not a quantity of this kind.
    """
    value = _read(kind, text)
    if value is None:
        raise _explain(kind, text)
    return value


def _read(kind: str, text: str) -> float | None:
    """The value of a text that is a quantity of this kind, else None."""
    if kind == "area" and (size := _GAUGE.fullmatch(text)):
        return awg_area(size[1])
    found = _MEASURED.fullmatch(text)
    if not found:
        return None
    number, unit = float(found[1]), found[3]
    if kind == "ratio" and not unit and not found[2]:
        return number
    if kind == "money" and _CURRENCY.fullmatch(unit):
        return number
    units = KINDS[kind].units
    if unit not in units or _two_ways(kind, found[1], unit):
        return None
    if kind == "level" and unit == "dB":
        return float(10.0 ** min(number / 10, MOST_BELS))
    return (number - KINDS[kind].zeros.get(unit, 0.0)) * units[unit]


def _two_ways(kind: str, number: str, unit: str) -> bool:
    """Whether the point of a number may as well separate thousands."""
    return _IN_THOUSANDS.get(kind) == unit and _GROUPED.fullmatch(number) is not None


def parse_tolerance(kind: str, text: str, value: float) -> float:
    """Half width of the band around ``value``, in the same unit.

    A percentage is taken of the value, except where the value is itself a percentage: there it means
    percentage points, the same unit as the value.

    Raises:
        QuantityError: neither a percentage nor a quantity of this kind.
    """
    found = _MEASURED.fullmatch(text)
    if found and found[3] == "%" and kind != "fraction":
        return float(found[1]) / 100 * abs(value)
    if kind == "temperature" and found and found[3] in KINDS[kind].units:
        return float(found[1]) * KINDS[kind].units[found[3]]  # a difference: the scale's zero drops out
    try:
        return parse(kind, text)
    except QuantityError as error:
        others = "" if kind == "fraction" else " or a percentage of the value"
        raise QuantityError(error.code, error.problem, error.expected + others, error.fix) from None


def expected(kind: str) -> str:
    """What would be right for this kind, with its units and an example."""
    known = KINDS[kind]
    if kind == "ratio":
        return f"a ratio: a plain number, for example `{known.example}`"
    return f"{known.label} in {known.in_words}, for example `{known.example}`"


def _explain(kind: str, text: str) -> QuantityError:
    """Find out why ``text`` is no quantity of this kind."""
    wanted = expected(kind)
    if has_comma(text):
        return _comma(kind, text)
    if _NOT_FINITE.match(text):
        return QuantityError("not-finite", f"is not a finite number: `{text}`", wanted)
    if kind == "area" and text.endswith("AWG"):
        sizes = "a gauge from `4/0 AWG` to `40 AWG`, or square millimetres, for example `50 mm2`"
        return QuantityError("out-of-range", f"is not an American wire gauge size: `{text}`", sizes)
    found = _MEASURED.fullmatch(text)
    if not found:
        return QuantityError("not-a-quantity", f"is not a number with a unit: `{text}`", wanted, _intended(kind, text))
    number, unit = found[1], found[3]
    if unit[:1] in tuple("0123456789.") or (unit[:1] in ("e", "E") and not found[2]):
        problem = f"is not a number that can be read: `{text}`"
        return QuantityError("not-a-quantity", problem, wanted, _intended(kind, text))
    if not unit:
        return bare_number(kind, number)
    if _two_ways(kind, number, unit):
        return _grouped(number, unit, text, wanted)
    if kind == "ratio":
        return QuantityError("wrong-unit", f"takes no unit: `{text}`", wanted, f"write `{number}` if that is meant")
    if kind == "area" and unit in ("mm", "mm.") and float(number) > 0:
        cure = f"write `{number} mm2` if the cross-section is meant; it is on the jacket, and is not the diameter"
        return QuantityError("wrong-unit", f"is a length: `{text}`", wanted, cure)
    other = kind_of_unit(unit)
    if other and unit != "AWG" and other != kind:
        return QuantityError("wrong-unit", f"is {KINDS[other].label}: `{text}`", wanted)
    if _CURRENCY.fullmatch(unit) and unit != "AWG":
        return QuantityError("wrong-unit", f"is an amount of money: `{text}`", wanted)
    if unit == "AWG":
        return QuantityError("wrong-unit", f"is a conductor size: `{text}`", wanted)
    return QuantityError("unknown-unit", f"has an unknown unit: `{text}`", wanted, _intended(kind, text))


def _grouped(number: str, unit: str, text: str, wanted: str) -> QuantityError:
    """The complaint about a point that may separate thousands, with both ways to write it."""
    shorter = number.rstrip("0").rstrip(".")
    other = f"`{shorter} {unit}`" if shorter != number else "fewer decimals"
    thousands = number.replace(".", "")
    fix = f"write `{thousands} {unit}` if the point separates thousands, {other} if it is the decimal mark"
    problem = f"has a point that can be read in two ways: `{text}`"
    return QuantityError("ambiguous-point", problem, f"{wanted}; thousands take nothing", fix)


def _comma(kind: str, text: str) -> QuantityError:
    """The complaint about a number with a comma: what it means where that can be told, both where it cannot."""
    read = commas(text)
    good = [_readable(kind, meant) for meant in (read.decimal, read.thousands)]
    if read.ambiguous and not all(good):
        fix = ""
    else:  # nothing good: its unit is wrong or missing too
        fix = comma_cure(*good) or _explain(kind, read.decimal or read.thousands).fix
    what = "has a comma that can be read in two ways" if read.ambiguous else "has a comma"
    wanted = f"{expected(kind)}; decimals take a point, thousands take nothing"
    return QuantityError("decimal-comma", f"{what}: `{text}`", wanted, fix)


def bare_number(kind: str, number: str) -> QuantityError:
    """The complaint about a number that lost its unit."""
    written = [f"{number} {unit}" for unit in KINDS[kind].listed[:4] if " " not in unit]
    if kind == "area":  # there is no conductor of `0 mm2`, and no gauge `50 AWG`
        written = [one for one in written if (_read(kind, one) or 0.0) > 0]
    choices = [f"`{one}`" for one in written]
    fix = f"write the unit: {' or '.join(choices)}" if choices else ""
    fix += ", whichever is meant" if len(choices) > 1 else ""
    if kind == "fraction" and 0 < float(number) <= 1:
        fix = f"write it as a percentage: `{float(number) * 100:g} %`"
    return QuantityError("bare-number", f"has no unit: `{number}`", expected(kind), fix)


def _intended(kind: str, text: str) -> str:
    """The cure for a text that is nearly a quantity of this kind; empty without one."""
    candidates = [tidied(kind, text), commas(text).thousands, *([gauge(text)] if kind == "area" else [])]
    meant = next((good for one in candidates if (good := _readable(kind, one))), "")
    return f"write `{meant}` if that is meant" if meant else ""


def _readable(kind: str, text: str) -> str:
    """The text, or with its spelling mended, if it is a quantity of this kind; else empty."""
    return next((one for one in (text, tidied(kind, text)) if _read(kind, one) is not None), "")
