"""The kinds of quantity a build file may state, and the units each may be written in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from functools import cache

from dossier.frozen import dataclass
from dossier.reader.gauges import FOOT, GRAVITY, INCH, MILE, POUND, gauge_area

NUMBER = r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{1,12})?|\.[0-9]{1,12})(?:[eE][+-]?[0-9]{1,2})?"
AWG = r"(?:0{1,4}|[1-4]/0|[1-9]|[1-3][0-9]|40)"


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity.

    Attributes:
        label: with its article, for messages.
        units: every accepted spelling -> factor to the unit used inside.
        listed: the spellings named in messages and in the schema, best first.
        example: a quantity as a user would write it.
        zeros: spelling -> the number that stands for 0 inside (temperature scales).
    """

    label: str
    units: Mapping[str, float]
    listed: tuple[str, ...]
    example: str
    zeros: Mapping[str, float] = field(default_factory=dict)

    @property
    def in_words(self) -> str:
        """The units that would do, as a phrase."""
        if not self.listed:
            return "a plain number"
        *first, last = self.listed
        return f"{', '.join(first)} or {last}" if first else last


# Greek capital omega and the ohm sign look alike, and so do the micro sign and Greek mu: both are accepted.
_OHM = ("ohm", "Ω", "\u2126")
_MICRO = ("u", "µ", "\u03bc")
_RESISTANCE = (
    dict.fromkeys(_OHM, 1.0) | {f"m{o}": 1e-3 for o in _OHM} | {f"{m}{o}": 1e-6 for m in _MICRO for o in _OHM}
)

KINDS: Mapping[str, Kind] = {
    "length": Kind(
        "a length", {"m": 1.0, "cm": 0.01, "mm": 1e-3, "ft": FOOT, "in": INCH}, ("m", "cm", "mm", "ft", "in"), "5.1 m"
    ),
    "area": Kind("a conductor size", {"mm2": 1e-6, "mm²": 1e-6}, ("mm2", "AWG"), "50 mm2"),
    "temperature": Kind(
        "a temperature",
        {"degC": 1.0, "°C": 1.0, "degF": 5 / 9, "°F": 5 / 9},
        ("degC", "degF"),
        "70 degC",
        {"degF": 32.0, "°F": 32.0},
    ),
    "resistance": Kind("a resistance", _RESISTANCE, ("ohm", "mohm", "uohm"), "4.2 mohm"),
    "power": Kind("a power", {"W": 1.0, "kW": 1e3}, ("W", "kW"), "900 W"),
    "voltage": Kind("a voltage", {"V": 1.0, "mV": 1e-3}, ("V", "mV"), "14.4 V"),
    "current": Kind("a current", {"A": 1.0, "mA": 1e-3, "kA": 1e3}, ("A", "mA", "kA"), "150 A"),
    "capacity": Kind("a battery capacity", {"Ah": 3600.0, "mAh": 3.6}, ("Ah", "mAh"), "80 Ah"),
    "capacitance": Kind("a capacitance", {"F": 1.0, "mF": 1e-3}, ("F", "mF"), "3000 F"),
    "frequency": Kind("a frequency", {"Hz": 1.0}, ("Hz",), "38 Hz"),
    "speed": Kind("a rotational speed", {"rpm": 1.0, "r/min": 1.0}, ("rpm",), "800 rpm"),
    "time": Kind("a time", {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}, ("s", "ms", "min", "h"), "20 s"),
    "fraction": Kind("a percentage", {"%": 0.01}, ("%",), "78 %"),
    "decibel": Kind("a number of decibels", {"dB": 1.0}, ("dB",), "9 dB"),
    "level": Kind("a level below rated power", {"%": 0.01, "dB": 0.1}, ("dB", "%"), "-3 dB"),
    "current_rate": Kind("a rise of current", {"A/s": 1.0}, ("A/s",), "10 A/s"),
    "distance": Kind("a distance driven", {"km": 1e3, "mi": MILE}, ("km", "mi"), "84210 km"),
    "torque": Kind("a torque", {"Nm": 1.0, "lbf_ft": FOOT * POUND * GRAVITY}, ("Nm", "lbf_ft"), "12 Nm"),
    "insulation_resistance": Kind(
        "an insulation resistance",
        {f"{prefix}{o}": factor for prefix, factor in (("k", 1e3), ("M", 1e6), ("G", 1e9)) for o in _OHM},
        ("kohm", "Mohm", "Gohm"),
        "5 Mohm",
    ),
    "mass": Kind("a mass", {"kg": 1.0, "g": 1e-3, "lb": POUND}, ("kg", "g", "lb"), "24 kg"),
    "money": Kind("an amount of money", {}, ("EUR", "USD", "any other three-letter currency"), "260 EUR"),
    "angle": Kind("an angle", {"deg": 1.0}, ("deg",), "150 deg"),
    "ratio": Kind("a ratio", {}, (), "2.86"),
}


def awg_area(size: str) -> float:
    """Cross-section of an American wire gauge conductor [m2].

    Args:
        size: ``8``, ``0``, ``000``, ``3/0`` and so on.
    """
    if size.endswith("/0"):
        number = 1 - int(size[:-2])
    elif set(size) == {"0"}:
        number = 1 - len(size)
    else:
        number = int(size)
    return gauge_area(number)


@cache
def pattern(kind: str) -> str:
    """The regular expression of everything that reads as this kind; the published schema carries the same."""
    if kind == "money":
        return f"^{NUMBER} ?[A-Z]{{3}}$"
    if kind == "ratio":
        return f"^{NUMBER}$"
    units = "|".join(re.escape(unit) for unit in sorted(KINDS[kind].units))
    measured = f"{NUMBER} ?(?:{units})"
    return f"^(?:{measured}|{AWG} ?AWG)$" if kind == "area" else f"^{measured}$"


@cache
def kind_of_unit(unit: str) -> str:
    """The kind a unit belongs to, or an empty text."""
    if unit == "AWG":
        return "area"
    return next((name for name, kind in KINDS.items() if unit in kind.units), "")
