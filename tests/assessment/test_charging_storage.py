"""Charging, banks, belts, drain and restraint of whole builds against closed forms and published values."""

from __future__ import annotations

from math import log
from typing import Any

import pytest
from small_builds import computed, found

from dossier.diagnostic import Severity
from dossier.electrical.alternators import efficiency
from dossier.reference.alternators import EU_BASELINE_EFFICIENCY, EU_SPEED, EU_WEIGHT
from dossier.results.charging import WindowRow

ALTERNATOR: dict[str, Any] = {
    "kind": "alternator",
    "at": "bay",
    "rated_current": "120 A",
    "charging_voltage": "14.4 V",
}
BANK: dict[str, Any] = {
    "at": "boot",
    "series": 6,
    "cell": {"capacitance": "3000 F", "esr": "0.3 mohm", "rated_voltage": "2.7 V"},
}


@pytest.mark.analytic
def test_bank_of_500_farad() -> None:
    """500 F at 14.4 V: 51.8 kJ, 4.7 ohm take 44 W and 7040 s to 95 %, 2 ohm 2667 s to 1 V, 3472 s to 50 J."""
    row = computed({"supplies": {"a": ALTERNATOR}, "capacitor_banks": {"bank": BANK}}).charging.banks[0]
    assert row.farads == pytest.approx(500.0)
    assert row.energy == pytest.approx(51840.0)
    assert (row.precharge_power, row.precharge_95, row.precharge_99) == pytest.approx(
        (44.1, 7040.0, 10822.0), rel=2e-3
    )
    assert (row.bleed_to_1v, row.bleed_to_50j) == pytest.approx((2667.2, 3471.9), rel=1e-3)


@pytest.mark.analytic
def test_cells_without_balancing() -> None:
    """One cell at its label among cells 20 % above: equal charge, V1 = V (1 + s)/(n + s)."""
    results = computed({"supplies": {"a": ALTERNATOR}, "capacitor_banks": {"bank": BANK}})
    assert results.charging.banks[0].worst_cell == pytest.approx(14.4 * 1.2 / 6.2)
    assert [f.severity for f in found(results, "capacitor-cells-unbalanced")] == [Severity.CAUTION]
    balanced = computed({"supplies": {"a": ALTERNATOR}, "capacitor_banks": {"bank": {**BANK, "balancing": "active"}}})
    assert found(balanced, "capacitor-cells-unbalanced") == []


@pytest.mark.analytic
def test_belt_of_a_smaller_pulley() -> None:
    """60 to 50 mm on a 150 mm crank pulley at 250 mm: the exact open belt is 13.80 mm shorter."""
    belt = {"pulley": "50 mm", "replaced_pulley": "60 mm", "crank_pulley": "150 mm", "centres": "250 mm"}
    row = computed({"supplies": {"a": {**ALTERNATOR, "belt": belt}}}).charging.alternators[0]
    assert row.belt_change == pytest.approx(-13.80e-3, abs=0.01e-3)


@pytest.mark.published
def test_alternator_power_and_speed() -> None:
    """EU baseline 67 % at half load holds the efficiency used; power is V I/eta.

    And 18000 r/min stated is a stop above.
    """
    mean = sum(w * efficiency(n, 0.5) for n, w in zip(EU_SPEED, EU_WEIGHT, strict=True))
    assert mean == pytest.approx(EU_BASELINE_EFFICIENCY, abs=0.03)
    fast = {**ALTERNATOR, "pulley_ratio": 3.0, "maximum_speed": "18000 rpm"}
    results = computed({"vehicle": {"redline": "6500 rpm"}, "supplies": {"a": fast}})
    row = results.charging.alternators[0]
    for speed in row.speeds:
        assert speed.mechanical == pytest.approx(14.4 * speed.output / speed.efficiency)
    assert [f.severity for f in found(results, "alternator-overspeed")] == [Severity.STOP]


@pytest.mark.published
def test_lithium_titanate_of_five_cells_at_14_7_volts() -> None:
    """Five cells at 14.7 V are 2.94 V a cell: never above 2.8 V."""
    results = computed(
        {
            "supplies": {"a": {**ALTERNATOR, "charging_voltage": "14.7 V"}},
            "batteries": {"lto": {"at": "boot", "chemistry": "lto", "cells": 5, "capacity": "40 Ah"}},
        }
    )
    told = [f for f in found(results, "charging-above-window") if f.path == "batteries.lto"]
    assert [f.severity for f in told] == [Severity.STOP]
    assert "2.94 V per cell" in told[0].headline


@pytest.mark.practice
@pytest.mark.parametrize(("cut_off", "severity"), [(None, Severity.STOP), ("0 degC", Severity.NOTE)])
def test_lithium_in_the_cold(cut_off: str | None, severity: Severity) -> None:
    """No charging below 0 degC: nothing that blocks it is a stop, a management that does a note."""
    battery: dict[str, Any] = {"at": "boot", "chemistry": "lifepo4", "capacity": "50 Ah"}
    if cut_off:
        battery["management"] = {"coldest_charge": cut_off}
    results = computed(
        {"locations": {"boot": {"coldest": "-10 degC"}}, "supplies": {"a": ALTERNATOR}, "batteries": {"lfp": battery}}
    )
    assert [f.severity for f in found(results, "lithium-charged-in-the-cold")] == [severity]


@pytest.mark.published
def test_gas() -> None:
    """Faraday: 2.5 L of hydrogen per ampere-hour for six cells, 25 L/h at 10 A; liquid acid inside is a stop.

    Vented none.
    """
    acid: dict[str, Any] = {"at": "boot", "chemistry": "flooded", "capacity": "60 Ah"}
    inside = {"locations": {"boot": {"zone": "boot"}}, "batteries": {"rear": acid}}
    results = computed(inside)
    assert [f.severity for f in found(results, "gas-in-the-cabin")] == [Severity.STOP]
    row = next(r for r in results.charging.windows if r.id == "rear")
    # 3600 A s/Ah / (2 F) mol of H2 per cell, six cells, 24.5 L/mol at 25 degC
    assert row.hydrogen == pytest.approx(10.0 * 6.0 * 3600.0 / (2.0 * 96485.0) * 24.465e-3, rel=0.1)
    assert (
        found(computed({**inside, "batteries": {"rear": {**acid, "vent_outside": True}}}), "gas-in-the-cabin") == []
    )


@pytest.mark.analytic
def test_reserve_is_peukert() -> None:
    """70 Ah AGM from 80 to 50 %: H (C/IH)^k times the share, with k = 1.1, never more than C/I."""
    row = computed().storage.reserve[0]
    hours = 20.0 * (70.0 / (row.amperes * 20.0)) ** 1.1
    expected = min(hours, 70.0 / row.amperes) * 3600.0 * (0.8 - 0.5)
    assert row.seconds == pytest.approx(expected, rel=2e-3)


@pytest.mark.analytic
def test_drain_adds_up() -> None:
    """Days are usable charge over the sum of the draws; a bank's standby current counts."""
    results = computed(
        {
            "vehicle": {"key_off_current": "50 mA"},
            "amplifiers": {"amp": {"standby_current": "100 mA"}},
            "capacitor_banks": {"bank": {**BANK, "standby_current": "200 mA"}},
        }
    )
    row = results.storage.standing[0]
    assert row.amperes == pytest.approx(sum(d.amperes for d in row.drains))
    assert row.amperes > 0.35
    assert row.days == pytest.approx(row.usable / row.amperes / 86400.0)
    assert found(results, "key-off-drain")


@pytest.mark.practice
def test_restraint() -> None:
    """24 kg: 4.7 kN along at 20 g, 1.9 kN across at 8 g (not checked against the document)."""
    results = computed(
        {"batteries": {"rear": {"at": "boot", "chemistry": "agm", "capacity": "80 Ah", "mass": "24 kg"}}}
    )
    row = next(m for m in results.storage.masses if m.path == "batteries.rear")
    assert (row.along, row.across) == pytest.approx((4707.0, 1883.0), rel=1e-3)


@pytest.mark.practice
def test_unequal_alternators() -> None:
    """0.2 V apart over two droops of 0.3 V/120 A is 40 A of difference."""
    other = {**ALTERNATOR, "charging_voltage": "14.2 V"}
    row = computed({"supplies": {"a": ALTERNATOR, "b": other}}).charging.sharing[0]
    assert row.amperes == pytest.approx(0.2 / (2.0 * 0.3 / 120.0))


@pytest.mark.practice
def test_what_stays_live() -> None:
    """With the starter battery off a rear battery still feeds both places, and a lead of one battery nothing."""
    assert computed().charging.live == ()
    rear = {"batteries": {"rear": {"at": "boot", "chemistry": "agm", "capacity": "80 Ah"}}}
    assert {row.location for row in computed(rear).charging.live} == {"bay", "boot"}


@pytest.mark.analytic
def test_speaker_lead() -> None:
    """2200 W into 1 ohm: 47 A; 2.5 m of 12 AWG lose 57.5 W as solid cold wire: stranded 5 % more, warm 8 % more."""
    row = computed(
        {
            "batteries": {"starter": {"internal_resistance": "1 mohm"}},
            "cables": {"feed": {"size": "120 mm2"}},
            "amplifiers": {"amp": {"rated": {"2 ohm": None, "1 ohm": "2200 W"}}},
            "speakers": {"sub": {"coil_impedance": "1 ohm", "lead": {"size": "12 AWG", "length": "2.5 m"}}},
        }
    ).protection.speaker_leads[0]
    assert row.amperes == pytest.approx(46.9, abs=0.1)
    assert row.loss == pytest.approx(57.5 * 1.05 * 1.08, rel=0.03)
    assert -row.level == pytest.approx(20.0 * log(1.0 + row.resistance) / log(10.0), rel=1e-6)
    assert -row.level == pytest.approx(0.23, abs=0.03)


def window(ambient: int, volts: str, chemistry: str = "agm") -> tuple[WindowRow, list[Severity]]:
    """The window of a boot battery at an air temperature, and the severities of what is said about it."""
    results = computed(
        {
            "locations": {"boot": {"ambient": f"{ambient} degC"}},
            "supplies": {"a": {**ALTERNATOR, "charging_voltage": {"value": volts, "tolerance": "0.1 V"}}},
            "batteries": {"rear": {"at": "boot", "chemistry": chemistry, "capacity": "80 Ah"}},
        }
    )
    row = next(r for r in results.charging.windows if r.id == "rear")
    return row, [f.severity for f in found(results, "charging-above-window") if f.path == "batteries.rear"]


@pytest.mark.practice
@pytest.mark.parametrize(("ambient", "shift"), [(25, 0.0), (45, -0.468), (50, -0.585), (70, -0.585), (0, 0.585)])
def test_windows_follow_the_battery(ambient: int, shift: float) -> None:
    """-3.9 mV/K per cell (encyclopaedia, itself uncited) times six cells from 25 degC, between 0 and 50 degC.

    Its limit is 14.7 V at 25 degC, and never above the 14.8 V that stay; what fills it does not fall in the warm.
    """
    row, _ = window(ambient, "14.0 V")
    assert row.temperature == ambient
    assert row.shift == pytest.approx(shift, abs=1e-9)
    assert row.most == pytest.approx(min(14.7 + shift, 6 * 2.467))
    assert row.full == pytest.approx(13.8 + max(shift, 0.0))
    assert row.never == pytest.approx(6 * 2.467)


@pytest.mark.practice
def test_a_warm_battery_is_told_of_its_window() -> None:
    """14.4 V suit an AGM at 25 degC; at 50 degC the usual upper limit is 14.1 V: a note, for most regulators follow."""
    assert window(25, "14.4 V")[1] == []
    row, told = window(50, "14.4 V")
    assert told == [Severity.NOTE]
    assert row.verdict == "above the usual upper limit at this temperature"
    assert window(50, "14.15 V")[1] == []  # within the tolerance of the set-point
    assert window(50, "14.75 V")[1] == [Severity.CAUTION]
    assert window(0, "14.2 V")[0].verdict == "never quite full"
    assert window(25, "14.2 V")[0].verdict == "within its window"


@pytest.mark.practice
def test_lithium_windows_do_not_follow() -> None:
    """Lithium is not corrected for temperature."""
    assert window(50, "14.4 V", "lifepo4")[0].shift == 0.0


@pytest.mark.practice
def test_a_main_fuse_that_leaves_the_alternator_alone() -> None:
    """Battery behind a main fuse, alternator and loads before it: its opening is a load dump into them, a note.

    A fuse in the alternator's own lead cuts it off from everything instead.
    """
    fuse = {"style": "bolt_in", "rating": "150 A", "distance": "100 mm", "breaking_capacity": "20 kA"}
    wide = {"size": "50 mm2", "insulation": "105 degC", "length": "1 m"}
    patch: dict[str, Any] = {
        "locations": {"block": {"ambient": "50 degC"}, "post": {"ambient": "50 degC"}},
        "supplies": {"a": {**ALTERNATOR, "at": "block"}},
        "batteries": {"starter": {"at": "post"}},
        "cables": {
            "main": {"role": "feed", "from": "post", "to": "bay", **wide, "fuses": {"main": {"near": "post", **fuse}}},
            "main_back": {"role": "return", "from": "post", "to": "bay", **wide},
            "lead": {"role": "feed", "from": "block", "to": "bay", **wide, "fuses": {"link": {"near": "bay", **fuse}}},
            "strap": {"role": "return", "from": "block", "to": "bay", **wide},
        },
    }
    results = computed(patch)
    hits = {d.what: (d.hits, d.buffer) for d in results.charging.dumps}
    assert hits == {"fuse of main opens": (True, "nothing"), "fuse of lead opens": (False, "nothing")}
    told = found(results, "load-dump")
    assert [f.severity for f in told] == [Severity.NOTE]
    assert "fuse of main opens at up to 120 A" in told[0].headline
    bank = computed({**patch, "capacitor_banks": {"bank": {**BANK, "at": "bay"}}})
    assert found(bank, "load-dump") == []
