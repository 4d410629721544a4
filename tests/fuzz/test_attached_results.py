"""Results of any shape inside a dossier: listed as differences or refused, never an error of ours."""

from __future__ import annotations

import json
import random
from typing import Any

from dossier.record.compare import differences
from dossier.record.results_json import stored_results
from dossier.record.verify import _has_bands

SHAPES: tuple[Any, ...] = (
    None, True, 0, -1.5, 10**400, float("inf"), "", "\ud800", "9" * 400, "−1 V", [], [[]], {}, {"code": []},
    {"code": {}, "path": []}, {"id": {}}, [{"id": []}], {"findings": {}}, {"code": "photo-refused", "path": 3},
)  # fmt: skip
GOOD = {
    "format": 1,
    "verdict": {"sentence": "1 stop", "severity": "stop"},
    "findings": [{"code": "photo-refused", "path": "photos.a.file", "headline": "Photo `a`: was not found"}],
    "schedule": [{"id": "feed", "rms_a": 12.5, "band": None}],
    "options": None,
}


def mutant(value: Any, chance: random.Random) -> Any:
    """A copy in which some things have another shape."""
    if chance.random() < 0.2:
        return chance.choice(SHAPES)
    if isinstance(value, dict):
        return {key: mutant(one, chance) for key, one in value.items() if chance.random() < 0.9}
    return [mutant(one, chance) for one in value] if isinstance(value, list) else value


def test_results_of_any_shape() -> None:
    """Five hundred mutants: whatever is no object is no results, everything else is compared."""
    chance = random.Random(7)
    for _ in range(500):
        data = json.dumps(mutant(GOOD, chance)).encode()
        stored = stored_results(data)
        if isinstance(stored, dict):
            assert isinstance(_has_bands(stored), bool)
            assert all(isinstance(one.attached, str) for one in differences(stored, GOOD))
        else:
            assert stored is None


def test_bounds_of_results() -> None:
    """Nested without end, or of more values than any build has: no results."""
    assert stored_results(b'{"a":' * 60 + b"1" + b"}" * 60) is None
    assert stored_results(b"[" * 100_000) is None
    assert stored_results(b'{"a":[' + b"1," * 1_100_000 + b"1]}") is None
    assert stored_results(b'{"a":[1]}') == {"a": [1]}
