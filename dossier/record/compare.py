"""Two results.json trees set against each other: the same within a tolerance, or every figure that differs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final

from dossier.frozen import dataclass

RELATIVE: Final = 1e-3
ABSOLUTE: Final = 1e-4
TOLERANCE: Final = ("0.1 % of the figure, or 0.0001 of its unit; in sentences one step of the last digit printed")
_NUMBER: Final = re.compile(r"[−-]?\d+(?:\.\d+)?")
_LEFT_OUT: Final = frozenset({"program", "format", "build"})
CARRIED: Final = ("photo-refused", "logo-refused", "log-not-read")  # about files that are not attached


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure: where it stands, what the document says, and what was computed now."""

    path: str
    attached: str
    computed: str


def differences(attached: Any, computed: Any) -> list[Difference]:
    """Every figure in which two results differ by more than the tolerance."""
    return list(_differ(_carried_off(attached), _carried_off(computed), ""))


def _carried_off(tree: Any) -> Any:
    """The results without what cannot be computed again: names, and findings about files that are not attached."""
    if not isinstance(tree, dict):
        return tree
    kept = {key: value for key, value in tree.items() if key not in _LEFT_OUT}
    found = kept.get("findings")
    if isinstance(found, list):
        gone = [one for one in found if isinstance(one, dict) and one.get("code") in CARRIED]
        kept["findings"] = [one for one in found if one not in gone]
        if gone:
            kept.pop("verdict", None)  # its sentence counts them
    return kept


def _differ(old: Any, new: Any, path: str) -> Iterator[Difference]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in [*old, *(key for key in new if key not in old)]:
            inner = f"{path}.{key}" if path else str(key)
            if key not in old or key not in new:
                yield Difference(inner, _shown(old.get(key, "nothing")), _shown(new.get(key, "nothing")))
            else:
                yield from _differ(old[key], new[key], inner)
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield Difference(path, f"{len(old)} entries", f"{len(new)} entries")
        for index, (one, other) in enumerate(zip(old, new, strict=False)):
            yield from _differ(one, other, f"{path}[{_id(one, index)}]")
    elif not _same(old, new):
        yield Difference(path, _shown(old), _shown(new))


def _id(entry: Any, index: int) -> str:
    name = entry.get("id") or entry.get("code") if isinstance(entry, dict) else None
    return str(name) if isinstance(name, str) else str(index)


def _same(old: Any, new: Any) -> bool:
    numbers = all(isinstance(one, (int, float)) and not isinstance(one, bool) for one in (old, new))
    if numbers:
        try:
            return bool(abs(old - new) <= max(ABSOLUTE, RELATIVE * max(abs(old), abs(new))))
        except OverflowError:  # a whole number larger than any figure
            return bool(old == new)
    if isinstance(old, str) and isinstance(new, str):
        return old == new or _same_sentence(old, new)
    return bool(old == new)


def _same_sentence(old: str, new: str) -> bool:
    """Whether two sentences differ only in a last digit that rounding may move."""
    if _NUMBER.sub("#", old) != _NUMBER.sub("#", new):
        return False
    pairs = zip(_NUMBER.findall(old), _NUMBER.findall(new), strict=True)
    return all(_near(one.replace("−", "-"), other.replace("−", "-")) for one, other in pairs)


def _near(one: str, other: str) -> bool:
    places = [len(text.partition(".")[2]) for text in (one, other)]
    step = 10.0 ** -max(places)
    moved = abs(float(one) - float(other))
    if not any(places):  # a count or a whole number: one step only where it is large
        return moved <= max(0.0, RELATIVE * abs(float(one)))
    return places[0] == places[1] and moved <= step * 1.001


def _shown(value: Any) -> str:
    if isinstance(value, (dict, list)):
        return f"{len(value)} entries"
    text = value if isinstance(value, str) else "nothing" if value is None else repr(value)
    return text if len(text) <= 160 else text[:159] + "…"
