"""Numbers and terms as the pages print them: fixed decimals, true minus sign, words for the build file's terms."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from dossier.buildfile.model import Build, Quantity
from dossier.pdf.text import plain
from dossier.reader import promised
from dossier.reader.units import Kind, Units, Way
from dossier.reader.wording import say, spoken, terms

NONE: Final = "—"  # nothing stated, nothing computed, or nothing that may be said


def word(term: str) -> str:
    """Plain words for a term of the build file; an unknown one is shown as it is."""
    return terms("words.terms").get(term, term.replace("_", " "))


def fixed(value: float | None, places: int = 1, *, sign: bool = False) -> str:
    """``value`` with ``places`` decimals and a true minus sign; a dash for None and NaN."""
    if value is None or not math.isfinite(value):
        return NONE
    made = f"{value:+.{places}f}" if sign else f"{value:.{places}f}"
    if float(made) == 0.0:  # no signed zero
        made = f"{0.0:.{places}f}"
    return made.replace("-", "−")


def shown(units: Units, kind: Kind, value: float | None, way: Way = Way.NEAREST, places: int | None = None) -> str:
    """A measure in the reader's units, without its unit; a dash for None and what is not finite."""
    if value is None or not math.isfinite(value):
        return NONE
    return units.number(kind, value, way, places).replace("-", "−")


def with_unit(units: Units, kind: Kind, value: float | None, way: Way = Way.NEAREST, places: int | None = None) -> str:
    """The same with its unit, not to be torn from it."""
    if value is None or not math.isfinite(value):
        return NONE
    return units.words(kind, value, way, places).replace("-", "−").replace(" ", "\u00a0")


def added(units: Units, mass: float | None) -> str:
    """A mass that comes on top or is taken away, with its sign, rounded up."""
    number = shown(units, "mass", mass, Way.UP, 0)
    return f"+{number}" if mass is not None and mass > 0.0 else number


def at_most(value: float | None) -> str:
    """What may be asked of something, in whole units: rounded down."""
    return _shown(promised.allowed_a, value)


def at_least(value: float | None) -> str:
    """What something has to bear, in whole units: rounded up."""
    return _shown(promised.load_a, value)


def fault_ka(amperes: float | None) -> str:
    """A fault current [kA], rounded up."""
    return _shown(promised.fault_ka, amperes)


def least_ka(amperes: float | None) -> str:
    """The smallest fault current [kA], rounded down."""
    return _shown(promised.down, None if amperes is None else amperes / 1e3, 2)


def low_v(volts: float | None) -> str:
    """A computed voltage under load, rounded down."""
    return _shown(promised.low_v, volts)


def high_v(volts: float | None) -> str:
    """A computed voltage that must not be exceeded, rounded up."""
    return _shown(promised.high_v, volts)


def most_v(volts: float | None) -> str:
    """A voltage that something takes, rounded down."""
    return _shown(promised.down, volts, 1)


def limit_v(volts: float | None) -> str:
    """A limit that somebody stated, with all its decimals."""
    return _shown(promised.limit_v, volts)


def _shown(rounded: Callable[..., str], value: float | None, *more: int) -> str:
    if value is None or not math.isfinite(value):
        return NONE
    made = rounded(value, *more)
    return fixed(float(made), len(made.partition(".")[2]))


def minutes(seconds: float | None, *, up: bool = False) -> str:
    """A time as a workshop says it, rounded down as a promise, or up where it has to be waited."""
    return promised.minutes(seconds, up=up) if seconds is not None and math.isfinite(seconds) else NONE


def spare(amperes: float | None) -> str:
    """A balance in whole amperes with its sign, rounded down; a dash for None and what is not finite."""
    return promised.spare(amperes).replace("-", "−") if amperes is not None and math.isfinite(amperes) else NONE


def count(number: int, what: str) -> str:
    """A count with its noun: ``1 finding``, ``3 findings``; ``what`` is a name of the wording's counts."""
    one, many = spoken().texts["words.counts"][what]
    return f"{number} {one if number == 1 else many}"


_UNIT_SIGNS: Final = (
    ("mm2", "mm²"),
    ("degC", "°C"),
    ("degF", "°F"),
    ("mohm", "mΩ"),
    ("Mohm", "MΩ"),
    ("uohm", "µΩ"),
    ("kohm", "kΩ"),
    ("ohm", "Ω"),
    ("rpm", "r/min"),
    ("Nm", "N·m"),
    ("lbf_ft", "lbf·ft"),
)


def stated(quantity: Quantity | None) -> str:
    """A quantity as the build file states it, with the signs of its unit; a dash if it does not."""
    if quantity is None:
        return NONE
    return with_signs(quantity.text).replace(" ", "\u00a0", 1)


def with_signs(words: str) -> str:
    """``words`` with the units of the build file replaced by their signs."""
    for plain_unit, sign in _UNIT_SIGNS:
        words = re.sub(rf"(?<![A-Za-z]){plain_unit}\b", sign, words)
    return words


def capital(words: str) -> str:
    """``words`` with a capital first letter: titles that are only an id stand in tables and sentences."""
    return words[:1].upper() + words[1:]


def name(title: str, signs: int = 80) -> str:
    """A title where it only refers to something: capital, on one line, bounded; the register prints it whole."""
    return capital(plain(title, signs))


def lettered(many: Iterable[str]) -> dict[str, str]:
    """A letter for each of ``many`` that differ: a table names it, and a line below says once what it stands for."""
    return {words: chr(ord("a") + at) if at < 26 else str(at + 1) for at, words in enumerate(dict.fromkeys(many))}


def told(letters: Mapping[str, str]) -> str:
    """The line below the table."""
    return "; ".join(f"{letter}: {words}" for words, letter in letters.items())


def place_of(build: Build, key: str) -> str:
    """Title of a location, bounded; the id of one that is not there."""
    return name(build.locations[key].title) if key in build.locations else key


def used(rms: float, allowed: float | None) -> str:
    """Share of the allowed current in use [%]; where nothing is allowed, any current is over it."""
    if allowed is None:
        return NONE
    return say("words.over") if allowed <= 0.0 else at_least(100.0 * rms / allowed)
