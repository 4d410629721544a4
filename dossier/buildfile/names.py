"""How things of the build file are called in messages, and which known name is nearest to a mistyped one."""

from __future__ import annotations

from collections.abc import Iterable

Path = tuple[str | int, ...]

_ONE_OF = {
    "locations": "location",
    "supplies": "supply",
    "batteries": "battery",
    "capacitor_banks": "capacitor bank",
    "amplifiers": "amplifier",
    "speakers": "speaker set",
    "cables": "cable",
    "fuses": "fuse",
    "couplings": "coupling",
    "load_cases": "load case",
    "options": "option",
    "people": "person",
    "instruments": "instrument",
    "readings": "reading",
    "joints": "joint",
    "insulation": "insulation reading",
    "continuity": "continuity reading",
    "torque": "torque reading",
    "sound": "sound-level run",
    "checklist": "checklist item",
    "photos": "photo",
    "advice": "advice",
    "maintenance": "maintenance task",
}


def dotted(path: Path) -> str:
    """The path as text, for example ``cables.feed.length``."""
    return ".".join(str(part) for part in path)


def called(path: Path) -> str:
    """The thing at a path in words, for example ``fuse `front` of cable `feed` ``."""
    parts: list[str] = []
    rest = list(path)
    while rest:
        head = rest.pop(0)
        if isinstance(head, str) and head in _ONE_OF and rest:
            parts.append(f"{_ONE_OF[head]} `{rest.pop(0)}`")
            continue
        field = [str(head)]
        while rest and not (rest[0] in _ONE_OF and len(rest) > 1):
            field.append(str(rest.pop(0)))
        parts.append(f"`{'.'.join(field)}`")
    return " of ".join(reversed(parts)) or "the build file"


def nearest(word: str, names: Iterable[str]) -> str:
    """The name most like ``word``, or an empty text when none is close."""
    from difflib import get_close_matches  # only needed once something is wrong

    plain = {name.casefold().replace("_", "").replace("-", ""): name for name in names}
    key = word.casefold().replace("_", "").replace("-", "").replace(" ", "")[:80]
    if key in plain:
        return plain[key]
    close = get_close_matches(key, list(plain), n=1, cutoff=0.6)
    return plain[close[0]] if close else ""


def listed(names: Iterable[str], limit: int = 24) -> str:
    """Names in backquotes, cut when there are very many."""
    known = list(names)
    text = ", ".join(f"`{name}`" for name in known[:limit])
    return f"{text} and {len(known) - limit} more" if len(known) > limit else text
