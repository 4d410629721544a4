"""From three voltages to what is wrong: vehicles with one fault each, made with ngspice. Evidence: independent."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from made_vehicles import Truth, made, ngspice

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import read_build_text
from dossier.buildfile.starters import plain_starter
from dossier.equipment.installed import installed
from dossier.equipment.value import Value
from dossier.results.readings import Culprit, Symptom

pytestmark = pytest.mark.independent

TREE = yaml.safe_load(plain_starter("measured"))
SOUND = {"cables.feed.resistance": 3e-3, "cables.body.resistance": 1.5e-3, "speakers.sub.impedance_rise": 1.25}
FAULTS = {
    "thin feed": ({r"cables\.feed\.resistance": "high"}, Culprit.FEED),
    "bad return": ({r"cables\.body\.resistance": "high"}, Culprit.RETURN),
    "weak battery": (
        {r"batteries\..*(internal_resistance|slow_share)": "high", r"batteries\..*state_of_charge": "low"},
        Culprit.SOURCE,
    ),
    "low alternator": ({r"supplies\..*output_at_shaft": "low"}, Culprit.SOURCE),
}


def _build(patch: dict[str, Any]) -> Build:
    return read_build_text(yaml.safe_dump(merge_patch(TREE, patch), sort_keys=False).encode(), "car", "car.yaml")


def _vehicle(wrong: dict[str, str], folder: Path) -> dict[str, Truth]:
    build = _build({})
    seen: set[str] = set()

    def draw(value: Value) -> float:
        edge = next((edge for pattern, edge in wrong.items() if re.fullmatch(pattern, value.path)), None)
        seen.update([value.path] if edge else [])
        usual = SOUND.get(value.path, value.nominal)
        return usual if edge is None else value.low if edge == "low" else value.high

    found = {id_: made(build, installed(build), case, draw, folder) for id_, case in build.load_cases.items()}
    assert seen
    return found


def _told(of: dict[str, Truth], *, along: str = "") -> Symptom:
    music, stopped = of["music"], of["stopped"]
    figures = {
        "rested": stopped.shown(stopped.volts("batteries.starter"), "rest"),
        "battery_music": music.shown(music.volts("batteries.starter"), "playing"),
        "amplifier_music": music.shown(music.volts("amplifiers.mono"), "playing"),
    }
    patch: dict[str, Any] = {"readings": {id_: {"voltage": f"{volts:.2f} V"} for id_, volts in figures.items()}}
    if along:
        drop = f"{100e3 * music.ohms(along):.0f} mV"
        read = {"drop": drop, "current": "100 A", "instrument": "meter"}
        patch["joints"] = {"path": {"cable": along, "across": "cable", **read}}
    told = assess(_build({"measurements": patch}), options=False, readings=True).recorded.told
    assert told is not None
    assert told.symptom is not None
    return told.symptom


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.sweep(4)
def test_the_part_that_is_wrong_is_named(fault: str, tmp_path: Path) -> None:
    """Source from copper by three voltages; feed from return, which they do not tell apart, by one reading more."""
    ngspice.required()
    wrong, culprit = FAULTS[fault]
    of = _vehicle(wrong, tmp_path)
    told = _told(of)
    if culprit is Culprit.SOURCE:
        assert told.parts[0].culprit is culprit
        assert told.parts[0].share > 0.5
        return
    assert {part.culprit for part in told.parts[:2]} == {Culprit.FEED, Culprit.RETURN}
    assert "millivolts along" in told.words[-1]
    sure = _told(of, along="feed")
    assert sure.parts[0].culprit is culprit
    assert sure.parts[0].share > 0.5
