"""Small builds as text, for tests of the assessment."""

from __future__ import annotations

from typing import Any

import yaml

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.model import Build
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import read_build_text
from dossier.diagnostic import Diagnostic
from dossier.results.overview import Results

BASE: dict[str, Any] = {
    "format": 1,
    "record": {"number": "T-1", "title": "Test", "stage": "as_built", "date": "2026-01-02"},
    "vehicle": {"description": "Test car", "base_load": {"at": "bay", "stopped": "4 A"}},
    "locations": {"bay": {"ambient": "50 degC"}, "boot": {"ambient": "30 degC"}},
    "batteries": {
        "starter": {
            "at": "bay",
            "chemistry": "agm",
            "capacity": "70 Ah",
            "internal_resistance": "5 mohm",
            "starts_engine": True,
        }
    },
    "amplifiers": {"amp": {"at": "boot", "supply": "regulated", "rated": {"2 ohm": "500 W"}, "rated_at": "12.5 V"}},
    "speakers": {"sub": {"amplifier": "amp", "coil_impedance": "2 ohm"}},
    "cables": {
        "feed": {
            "role": "feed",
            "from": "bay",
            "to": "boot",
            "size": "25 mm2",
            "insulation": "105 degC",
            "length": "5 m",
            "fuses": {
                "front": {
                    "near": "bay",
                    "distance": "150 mm",
                    "style": "bolt_in",
                    "rating": "100 A",
                    "breaking_capacity": "20 kA",
                }
            },
        },
        "body": {"role": "return", "chassis": True, "from": "boot", "to": "bay"},
    },
    "load_cases": {"note": {"engine": "stopped", "signal": {"tone": "40 Hz", "for": "2 s"}}},
}


def build_of(patch: dict[str, Any] | None = None, tree: dict[str, Any] | None = None) -> Build:
    """The base build, or another tree, with a merge patch."""
    whole = merge_patch(tree or BASE, patch or {})
    return read_build_text(yaml.safe_dump(whole, sort_keys=False).encode(), "test", "test.yaml")


def computed(patch: dict[str, Any] | None = None, tree: dict[str, Any] | None = None) -> Results:
    """The same, computed."""
    return assess_nominal(build_of(patch, tree))


def found(results: Results, code: str) -> list[Diagnostic]:
    """The findings with one code."""
    return [f for f in results.findings if f.code == code]
