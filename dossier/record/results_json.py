"""Results as plain JSON: units in the key names, keys in a stable order, numbers rounded below what they mean."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from typing import Any, Final

import numpy as np

from dossier.diagnostic import Diagnostic, Severity
from dossier.record.units import KEYS
from dossier.results.overview import Results
from dossier.results.sag import BandTrace

FORMAT: Final = 1
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


def _plain(value: Any) -> Any:
    if isinstance(value, Diagnostic):
        return _diagnostic(value)
    if isinstance(value, Severity):
        return value.word
    if isinstance(value, Enum):
        return value.name.lower()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = KEYS.get(type(value).__name__, {})
        return {
            names.get(one.name, one.name): _plain(item)
            for one in dataclasses.fields(value)
            if not _is_left_out(value, item := getattr(value, one.name))
        }
    if isinstance(value, (tuple, list, np.ndarray)):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (bool, int, str)) or value is None:
        return value
    if isinstance(value, (float, np.floating)):
        return _number(float(value))
    raise TypeError(f"results hold a {type(value).__name__}, which has no place in JSON")


def _is_left_out(owner: Any, value: Any) -> bool:
    if isinstance(value, BandTrace):
        return True
    return isinstance(value, np.ndarray) and type(owner).__name__ not in _QUOTED_ARRAYS


def _number(value: float) -> float | None:
    if not math.isfinite(value):
        return None
    return float(f"{value:.{_DIGITS}g}") + 0.0


def _diagnostic(value: Diagnostic) -> dict[str, Any]:
    return {
        "code": value.code,
        "severity": value.severity.word,
        "headline": value.headline,
        "path": value.path,
        "line": value.where.line if value.where else None,
        "consequence": value.consequence,
        "fix": value.fix,
        "source": value.source,
    }
