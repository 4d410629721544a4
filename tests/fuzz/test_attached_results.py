"""Results of any shape inside a dossier: listed as differences or refused, never an error of ours."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from typing import Any

from small_builds import build_of, computed

from dossier.record.compare import differences
from dossier.record.results_json import stored_results
from dossier.record.verify import _as_recorded, _has_bands

SHAPES: tuple[Any, ...] = (
    None, True, 0, -1.5, 10**400, float("inf"), "", "\ud800", "9" * 400, "−1 V", [], [[]], {}, {"code": []},
    {"code": {}, "path": []}, {"id": {}}, [{"id": []}], {"findings": {}}, {"code": "photo-refused", "path": 3},
)  # fmt: skip
BUILD = build_of()
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


def test_findings_of_any_shape_restore_no_words_but_ours() -> None:
    """Of a photo that is not there the reason is kept where it is one of ours; whatever else is said is not."""
    results = computed()
    gone = replace(results.findings[0], code="photo-refused", path="photos.a.file", headline="Photo `a`: was not found")
    found = replace(results, findings=(replace(gone, missing=True), *results.findings[1:]))
    chance = random.Random(8)
    for _ in range(500):
        stored = stored_results(json.dumps(mutant(GOOD, chance)).encode())
        if stored is not None:
            assert _as_recorded(BUILD, found, stored, "workshop").findings[0].headline == gone.headline
    for headline, kept in (("Photo `a`: is no file", True), ("Photo `a`: all is well", False), (["is no file"], False)):
        said = {"findings": [{"code": "photo-refused", "path": "photos.a.file", "headline": headline}]}
        assert (_as_recorded(BUILD, found, said, "workshop").findings[0].headline == headline) is kept


def test_bounds_of_results() -> None:
    """Nested without end, or of more values than any build has: no results."""
    assert stored_results(b'{"a":' * 60 + b"1" + b"}" * 60) is None
    assert stored_results(b"[" * 100_000) is None
    assert stored_results(b'{"a":[' + b"1," * 1_100_000 + b"1]}") is None
    assert stored_results(b'{"a":[1]}') == {"a": [1]}
