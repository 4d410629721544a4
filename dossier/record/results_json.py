"""Results as plain JSON: units in the key names, keys in a stable order, numbers rounded below what they mean."""

from __future__ import annotations

import dataclasses
import json
import math
from enum import Enum
from typing import Any, Final

import numpy as np

from dossier.diagnostic import Diagnostic, Severity
from dossier.results.overview import Results

FORMAT: Final = 1
_DIGITS: Final = 6  # significant; linear algebra differs in the last ones between processors

# Field name -> key with its unit, per result class; a field not named here keeps its name.
_UNITS: Final[dict[str, dict[str, str]]] = {
    "AmplifierRow": {"rated_at": "rated_at_v"},
    "DemandLevel": {"amperes": "current_a"},
    "EngineBudget": {
        "supply": "supply_a", "base_load": "base_load_a", "volts": "at_v", "balances": "balances_a",
    },
    "Drive": {"duration": "duration_s", "charge": "charge_as"},
    "EngineOff": {"amperes": "current_a", "seconds": "time_s"},
    "Outcome": {
        "at": "at_s", "below_limit": "below_limit_s", "shutdowns": "shutdowns_s", "demand": "demand_w",
        "deliverable": "deliverable_w",
    },
    "Band": {"low": "low_v", "high": "high_v"},
    "Reading": {"volts": "value_v", "at": "at_s"},
    "LimitCheck": {"limit": "limit_v", "volts": "value_v"},
    "AmplifierSag": {"rest": "rest_v"},
    "LocationSag": {"rest": "rest_v"},
    "SourceShare": {"charge": "charge_as", "energy": "energy_j"},
    "LoadCaseResult": {"lead_in": "lead_in_s", "sound_ends": "sound_ends_s"},
    "FuseRow": {
        "rating": "rating_a", "distance": "distance_m", "breaking_capacity": "breaking_capacity_a",
        "needed": "needed_a", "largest": "largest_a",
    },
    "ConductorRow": {
        "length": "length_m", "resistance": "resistance_ohm", "rms": "rms_a", "peak": "peak_a", "mean": "mean_a",
        "base_ampacity": "base_ampacity_a", "allowed": "allowed_a", "drop": "drop_v", "loss": "loss_w",
        "insulation": "insulation_degc", "ambient": "ambient_degc", "column": "column_degc",
        "allowed_at_best": "allowed_at_best_a", "assumed_temperature": "assumed_temperature_degc",
        "extra_drop": "extra_drop_v",
    },
    "Warmth": {
        "rms": "rms_a", "seconds": "lasts_s", "before": "before_a", "start": "start_degc", "peak": "peak_degc",
        "steady": "steady_degc", "continuous": "continuous_a", "holds": "holds_s", "time_constant": "time_constant_s",
    },
}
# Traces are drawn, not quoted: they can be computed again from the attached build.
_LEFT_OUT: Final = frozenset({"mean", "trough", "t", "band"})


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
        names = _UNITS.get(type(value).__name__, {})
        return {
            names.get(one.name, one.name): _plain(item)
            for one in dataclasses.fields(value)
            if not _is_trace(one.name, item := getattr(value, one.name))
        }
    if isinstance(value, (tuple, list)):
        return [_plain(item) for item in value]
    if isinstance(value, (bool, int, str)) or value is None:
        return value
    if isinstance(value, (float, np.floating)):
        return _number(float(value))
    raise TypeError(f"results hold a {type(value).__name__}, which has no place in JSON")


def _is_trace(name: str, value: Any) -> bool:
    return name in _LEFT_OUT and (isinstance(value, np.ndarray) or type(value).__name__ == "BandTrace")


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
