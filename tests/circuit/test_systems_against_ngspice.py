"""Builds of 16 and 24 V, a cold and an empty battery, against decks written by hand from build file and defaults.

Unlike the other comparisons nothing of our wiring reaches the deck: set-points, cells, temperature and base load are
worked out in it again, from what the file states and ``reference/defaults.json`` documents.
"""

from __future__ import annotations

from pathlib import Path

import ngspice
import numpy as np
import pytest

from dossier.assessment.sag.programmes import programme_of
from dossier.buildfile.reader import read_build
from dossier.circuit.sampler import nominal
from dossier.circuit.settings import Settings
from dossier.circuit.transient import simulate
from dossier.circuit.wiring import wire
from dossier.equipment.installed import installed, running

pytestmark = pytest.mark.independent

DATA = Path(__file__).with_name("data")
AGREES_V, AGREES_A = 0.006, 0.5  # 5 mV are what both time steps leave while an alternator takes up the note
SECONDS = (0.5, 1.1, 1.5, 3.0, 6.0, 10.9, 11.5, 13.5)  # before, during and after a note of 10 s that begins at 1 s


@pytest.mark.parametrize(
    ("name", "supplies"),
    [
        ("system_16v", {"supplies.first": "v(x1)", "supplies.second": "v(x2)"}),
        ("system_24v", {"supplies.machine": "v(x)", "supplies.converter.out": "i(vc)"}),
        ("system_cold", {}),
        ("system_empty", {}),
    ],
)
def test_a_build_agrees_with_its_deck(name: str, supplies: dict[str, str], tmp_path: Path) -> None:
    """Voltages at battery and amplifier, before, during and after a note, and what every supply gives."""
    ngspice.required()
    build = read_build(DATA / f"{name}.yaml")
    case = build.load_cases["note"]
    network = wire(build, installed(build), running(build, case.engine), case, nominal).network
    ours = simulate(network, programme_of(case), settings=Settings(ripple=False))
    theirs = ngspice.run((DATA / f"{name}.cir").read_text(encoding="utf-8"), tmp_path)

    def ours_at(values: ngspice.Array) -> ngspice.Array:
        return np.asarray(np.interp(SECONDS, ours.t, values[:, 0]))

    def deck_at(values: ngspice.Array) -> ngspice.Array:
        return np.asarray(np.interp(SECONDS, theirs["time"], values))

    for port, nodes in {"amplifiers.bass": ("r", "rn"), "batteries.main": ("f", "gnd")}.items():
        apart = ours_at(ours.voltage(port).mean) - deck_at(ngspice.across(theirs, *nodes))
        assert np.abs(apart).max() < AGREES_V, (port, apart)
    for port, wave in supplies.items():
        apart = -ours_at(ours.current(port).mean) - deck_at(theirs[wave])
        assert np.abs(apart).max() < AGREES_A, (port, apart)
