"""Results as plain JSON: units in the key names, keys in a stable order, numbers rounded below what they mean."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum, StrEnum
from functools import cache
from types import UnionType
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

import numpy as np

from dossier.diagnostic import Diagnostic, Severity
from dossier.results.overview import Results
from dossier.results.sag import BandTrace
from dossier.results.units import keys_of

FORMAT: Final = 2
MOST_BYTES: Final = 24 * 2**20
_MOST_VALUES: Final = 1_000_000
_DEEPEST: Final = 40
_DIGITS: Final = 6  # significant; linear algebra differs in the last ones between processors

# Arrays are drawn, not quoted: they can be computed again from the attached build. These are short and quoted.
_QUOTED_ARRAYS: Final = frozenset({"NoteCurve"})


def results_json(results: Results, *, build: str, program: str) -> bytes:
    """``results`` as UTF-8 JSON with a line feed at its end.

    Args:
        results: what was computed.
        build: name of the build file it belongs to.
        program: name and version of the program.
    """
    tree = {"format": FORMAT, "build": build, "program": program, **_plain(results)}
    return (json.dumps(tree, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def stored_results(data: bytes) -> Any:
    """The results as attached; None where they cannot be, or could not have been written here."""
    if len(data) > MOST_BYTES or sum(data.count(sign) for sign in (b",", b"[", b"{")) > _MOST_VALUES:
        return None
    try:
        found = json.loads(data)
    except (ValueError, RecursionError):
        return None
    if not isinstance(found, dict):
        return None
    level: list[Any] = [found]
    for _ in range(_DEEPEST):
        level = [
            inner
            for one in level
            for inner in (one.values() if isinstance(one, dict) else one)
            if isinstance(inner, (dict, list))
        ]
        if not level:
            return found
    return None


def _plain(value: Any) -> Any:
    if isinstance(value, Diagnostic):
        return _diagnostic(value)
    if isinstance(value, Severity):
        return value.word
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, Enum):
        return value.name.lower()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind = type(value)
        return {key: _plain(getattr(value, name)) for name, key in keys_of(kind).items() if name not in left_out(kind)}
    if isinstance(value, (tuple, list, np.ndarray)):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (bool, int, str)) or value is None:
        return value
    if isinstance(value, (float, np.floating)):
        return _number(float(value))
    raise TypeError(f"results hold a {type(value).__name__}, which has no place in JSON")


@cache
def left_out(kind: type[Any]) -> frozenset[str]:
    """Fields of a result class that are not written, whatever they hold: arrays that are drawn, not quoted."""
    hints = get_type_hints(kind)
    quoted = kind.__name__ in _QUOTED_ARRAYS
    return frozenset(name for name, hint in hints.items() if _is_trace(hint, quoted))


def _is_trace(hint: Any, quoted: bool) -> bool:
    parts = get_args(hint) if get_origin(hint) in (Union, UnionType) else (hint,)
    return BandTrace in parts or (not quoted and any(get_origin(part) is np.ndarray for part in parts))


def _number(value: float) -> float | None:
    if not math.isfinite(value):
        return None
    return float(f"{value:.{_DIGITS}g}") + 0.0


def _diagnostic(value: Diagnostic) -> dict[str, Any]:
    return {
        "code": value.code,
        "title": value.title,
        "severity": value.severity.word,
        "headline": value.headline,
        "path": value.path,
        "line": value.where.line if value.where else None,
        "consequence": value.consequence,
        "fix": value.fix,
        "source": value.source,
    }
