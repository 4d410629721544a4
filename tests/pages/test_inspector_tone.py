"""The tone an inspector plays: an instant, an engine state of a yard, a band in which the build as computed lies."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from small_builds import build_of

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build
from dossier.pages.editions.walk import _tone
from dossier.results.overview import Results
from dossier.results.sag import LoadCaseResult

DEMOS = sorted((Path(__file__).parents[2] / "demo_builds").glob("*.yaml"))
SHOWN = re.compile(r"(.+?) \((.+?)\): lowest ([\d.]+) to ([\d.]+) V, after about (\d+) s")
METER_S = 0.1  # what a meter's min function averages over; see the words on instruments
ALTERNATOR = {"kind": "alternator", "at": "bay", "rated_current": "120 A", "charging_voltage": "14.3 V"}


def note(engine: str, signal: dict[str, Any]) -> dict[str, Any]:
    """A build with one load case."""
    return {
        "supplies": {"alternator": ALTERNATOR},
        "vehicle": {"base_load": {"idle": "25 A", "cruise": "30 A"}},
        "load_cases": {"note": {"engine": engine, "signal": signal}},
    }


def metered(case: LoadCaseResult) -> tuple[float, float]:
    """The lowest a meter shows of the trace of the worst amplifier: its mean over 100 ms [V], and when [s]."""
    worst = next(one for one in case.amplifiers if one.id == case.worst)
    t, v = np.asarray(case.t), np.asarray(worst.mean)
    fine = np.arange(t[0], t[-1], 0.002)
    of = np.interp(fine, t, v)
    means = np.convolve(of, np.full(round(METER_S / 0.002), 0.002 / METER_S), "valid")
    least = int(means.argmin())
    return float(means[least]), float(fine[least]) + 0.5 * METER_S


def passes(build: Build, results: Results) -> int:
    """Checks every tone that the walk asks for; how many there were."""
    parts = [SHOWN.fullmatch(part) for part in _tone(build, results).split("; ") if " to " in part]
    shown = {m[1]: m for m in parts if m}
    assert len(shown) == len(parts)
    for case in results.load_cases:
        if case.title not in shown:
            continue
        _, _, low, high, at = shown[case.title].groups()
        assert build.load_cases[case.id].engine.state in ("stopped", "idle")
        volts, when = metered(case)
        assert float(low) <= volts <= float(high)
        assert float(at) == pytest.approx(when, abs=0.6)
    return len(shown)


@pytest.mark.parametrize(
    ("engine", "signal", "asked"),
    [
        ("stopped", {"tone": "40 Hz", "for": "5 s"}, 1),
        ("idle", {"tone": "40 Hz", "for": "5 s"}, 1),
        ("idle", {"tone": "30 Hz", "burst": "0.5 s", "every": "2 s", "for": "4 s"}, 1),
        ("cruise", {"tone": "40 Hz", "for": "2 s"}, 0),  # nobody drives in a yard
    ],
)
def test_a_build_as_computed_passes_its_tone(engine: str, signal: dict[str, Any], asked: int) -> None:
    """What the meter shows of the computed voltage lies in the band that is printed for it."""
    build = build_of(note(engine, signal))
    assert passes(build, assess(build, bands=True, unasked=False)) == asked


@pytest.mark.long
@pytest.mark.parametrize("path", DEMOS, ids=lambda p: p.stem)
def test_a_demo_as_computed_passes_its_tones(path: Path) -> None:
    """So does every demo."""
    build = read_build(path)
    passes(build, assess(build, bands=True, unasked=False))
