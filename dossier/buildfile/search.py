"""Finds fields by the words people use: trade words, synonyms, names, titles, descriptions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from dossier.buildfile.fields import ANY, Field, Pattern, every_field

# What the trade calls it -> the fields that say it, best first. The schema's own synonyms come on top of these;
# a test holds every name here to the schema.
TRADE_WORDS: Mapping[str, tuple[str, ...]] = {
    "accessory": ("vehicle.base_load",),
    "amp": ("amplifiers",),
    "box": ("speakers",),
    "bridge": ("amplifiers.rated",),
    "bridged": ("amplifiers.rated",),
    "breaker": ("cables.fuses.style",),
    "cap": ("capacitor_banks",),
    "capacitor": ("capacitor_banks",),
    "car": ("vehicle",),
    "channel": ("amplifiers.rated",),
    "charge": ("supplies",),
    "crank": ("vehicle.cranking_current", "vehicle.starter_at", "batteries.cold_cranking"),
    "crossover": ("amplifiers.settings.low_pass", "amplifiers.settings.high_pass"),
    "dcdc": ("supplies.kind",),
    "disconnect": ("couplings",),
    "driver": ("speakers.drivers",),
    "earth": ("cables.role", "cables.chassis"),
    "earthing": ("cables.role", "cables.chassis"),
    "fuse": ("cables.fuses",),
    "fusible": ("cables.fuses",),
    "gauge": ("cables.size",),
    "ground": ("cables.role", "cables.chassis"),
    "grounding": ("cables.role", "cables.chassis"),
    "heat": ("locations.ambient", "cables.insulation"),
    "impedance": ("speakers.coil_impedance", "amplifiers.rated"),
    "isolator": ("couplings",),
    "kill": ("couplings",),
    "load": ("speakers.coil_impedance", "load_cases", "vehicle.base_load"),
    "music": ("load_cases.signal.music",),
    "negative": ("cables.role", "cables.chassis"),
    "ohm": ("speakers.coil_impedance", "amplifiers.rated"),
    "parasitic": ("vehicle.key_off_current",),
    "positive": ("cables.role",),
    "relay": ("couplings",),
    "rms": ("amplifiers.rated",),
    "song": ("load_cases.signal",),
    "split": ("couplings",),
    "stereo": ("amplifiers.rated",),
    "sub": ("speakers",),
    "subwoofer": ("speakers",),
    "supercap": ("capacitor_banks",),
    "switch": ("couplings",),
    "temperature": ("locations.ambient", "cables.insulation"),
    "thickness": ("cables.size",),
    "trunk": ("locations.zone",),
    "ultracap": ("capacitor_banks",),
    "voltage": ("supplies.charging_voltage", "limits"),
    "watt": ("amplifiers.rated",),
    "weight": ("batteries.mass", "amplifiers.mass", "speakers.mass", "capacitor_banks.mass"),
    "wire": ("cables", "cables.size"),
    "wiring": ("cables",),
    "woofer": ("speakers",),
}
_CALLED, _HOLDS, _TITLED, _TOLD = 1, 2, 3, 4  # how well a field fits a word; trade words fit best


def search(text: str) -> tuple[Field, ...]:
    """The fields that a text may mean, best first; empty if none.

    A field that only mentions the word in its description counts only where nothing fits better. Of several words
    all have to fit, or, where no field fits them all, any.
    """
    words = [stem(word) for word in re.split(r"[\s_.,*-]+", text.casefold()) if word]
    if not words:
        return ()
    fits: dict[Pattern, float] = {}
    partly: dict[Pattern, float] = {}
    for field in _named():
        known = [rank for word in words if (rank := _rank(word, field)) is not None]
        if len(known) == len(words):
            fits[field.path] = max(known)
        elif known:
            partly[field.path] = min(known)
    fits = fits or partly
    best = min(fits.values(), default=0)
    kept = [path for path in fits if best == _TOLD or fits[path] < _TOLD]
    every = every_field()
    return tuple(every[path] for path in sorted(kept, key=lambda path: fits[path]))


def called(text: str) -> tuple[Field, ...]:
    """The fields that the trade calls by one word, best first; empty if the text is none of those."""
    words = text.split()
    if len(words) != 1:
        return ()
    ranks = {field.path: _rank(stem(words[0].casefold()), field) for field in _named()}
    known = {path: rank for path, rank in ranks.items() if rank is not None and rank <= _CALLED}
    every = every_field()
    return tuple(every[path] for path in sorted(known, key=lambda path: known[path]))


def stem(word: str) -> str:
    """A word without its plural."""
    if word.endswith("ies") and len(word) > 4:
        return f"{word[:-3]}y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


@cache
def _named() -> tuple[Field, ...]:
    return tuple(field for path, field in every_field().items() if path[-1] != ANY)


@cache
def _plain(field: Field) -> str:
    return ".".join(part for part in field.path if part != ANY)


@cache
def _words_of(field: Field) -> tuple[frozenset[str], frozenset[str], frozenset[str], frozenset[str]]:
    """Stems of its whole names, of the parts of its name, of its title, of its description."""

    def stems(text: str) -> frozenset[str]:
        return frozenset(stem(word) for word in re.findall("[a-z0-9]+", text.casefold()))

    names = frozenset(stem(name) for name in (field.path[-1], *field.also))
    return names, stems(" ".join((field.path[-1], *field.also))), stems(field.title), stems(field.description)


def _rank(word: str, field: Field) -> float | None:
    targets = TRADE_WORDS.get(word, ())
    if _plain(field) in targets:
        return targets.index(_plain(field)) / len(targets)
    names, parts, title, description = _words_of(field)
    if word in names:
        return _CALLED
    if word in parts:
        return _HOLDS
    if word in title:
        return _TITLED
    return _TOLD if word in description else None
