"""The standard case that nobody writes: what a run-down battery takes on the road, and what is judged by it."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import computed

from dossier.results.protection import Reply
from dossier.results.storage import NoRecharge

ALTERNATOR: dict[str, Any] = {
    "kind": "alternator",
    "at": "bay",
    "charging_voltage": "15.4 V",
    "output_at_shaft": {"1000 rpm": "200 A", "9000 rpm": "200 A"},
    "output_is_hot": True,
}
BANK: dict[str, Any] = {
    "at": "boot",
    "chemistry": "lto",
    "cells": 6,
    "capacity": "100 Ah",
    "internal_resistance": "2 mohm",
    "state_of_charge": "80 %",
}
BUILD: dict[str, Any] = {"supplies": {"main": ALTERNATOR}, "batteries": {"bank": BANK}}
LASTING: dict[str, Any] = {
    **BUILD,
    "batteries": {"starter": {"capacity": "900 Ah"}},
    "vehicle": {"base_load": {"stopped": "0.1 A"}},
    "amplifiers": {"amp": {"rated": {"2 ohm": "10 W"}}},
}
ROAD: dict[str, Any] = {"engine": "cruise", "level": "-40 dB", "signal": {"tone": "40 Hz", "for": "60 s"}}


@pytest.mark.analytic
def test_a_fuse_is_sized_for_the_recharge_that_nobody_wrote() -> None:
    """A build that says nothing needs what it needs where the run-down bank and its recharge are written out."""
    silent = computed(BUILD)
    half = {"bank": {**BANK, "state_of_charge": "50 %"}}
    written = computed({"supplies": {"main": ALTERNATOR}, "batteries": half, "load_cases": {"road": ROAD}})
    least = next(c for c in written.schedule if c.id == "feed").fuses[0].needed
    row = next(c for c in silent.schedule if c.id == "feed")
    assert row.fuses[0].needed >= 0.95 * least
    assert row.fuses[0].needed > 100.0
    assert "standard case" in row.worst_case
    assert [one.carries.verdict for one in silent.protection.fuses] == [Reply.NO]


@pytest.mark.analytic
def test_the_currents_of_the_recharge_add_up() -> None:
    """What the alternator gives is its limit at most; it lasts as long as the charge taken asks for at that current."""
    case = computed(BUILD).storage.recharge
    assert case is not None
    given = {one.id: one for one in case.sources}
    machine, bank = given["supplies.main"], given["batteries.bank"]
    assert machine.limit == pytest.approx(200.0)
    assert machine.mean <= 200.0 * 1.001
    assert -machine.mean < bank.mean < -50.0
    # 70 % of 100 Ah, taken at no more than the alternator's 200 A
    assert 0.5 * 0.7 * 100.0 / -bank.mean <= case.seconds / 3600.0 <= 1.5 * 0.7 * 100.0 / -bank.mean


@pytest.mark.analytic
@pytest.mark.parametrize(
    ("patch", "why"),
    [
        ({}, NoRecharge.NO_SUPPLY),
        (LASTING, NoRecharge.NOT_RUN_DOWN),
        ({"supplies": {"main": {**ALTERNATOR, "charging_voltage": "11.8 V"}}}, NoRecharge.NO_CURRENT),
    ],
)
def test_what_is_not_computed_is_said(patch: dict[str, Any], why: NoRecharge) -> None:
    """No supply; days of play in the battery; a charging voltage below that of the battery at rest: each says so."""
    stored = computed(patch).storage
    assert stored.recharge is None
    assert stored.no_recharge is why
