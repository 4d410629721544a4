"""What is assumed follows the system of the vehicle or stays with the device, and a battery follows its place."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import build_of, computed

from dossier.buildfile.model import Build, Engine
from dossier.equipment.charging import ChargingSource, charging_sources
from dossier.equipment.installed import installed, running

SUPPLIES: dict[str, dict[str, Any]] = {
    "machine": {"kind": "alternator", "at": "bay", "rated_current": "100 A"},
    "converter": {"kind": "dc_dc", "from": "bay", "at": "boot", "rated_current": "20 A"},
    "bench": {"kind": "charger", "at": "bay", "rated_current": "20 A", "runs_in": ["cruise"]},
}
CRUISE = Engine("cruise", None)


def vehicle(volts: int, **more: Any) -> Build:
    """The small build in a system of so many volts, with one supply of every kind that states no voltage."""
    battery = {"starter": {"cells": volts // 2}}
    return build_of({"vehicle": {"system": f"{volts} V"}, "supplies": SUPPLIES, "batteries": battery, **more})


def by_id(build: Build) -> dict[str, ChargingSource]:
    """Its supplies while driving."""
    return {s.id: s for s in charging_sources(build, CRUISE)}


@pytest.mark.analytic
@pytest.mark.parametrize("volts", [12, 16, 24])
def test_voltages_of_the_vehicle_follow_its_system(volts: int) -> None:
    """Set-points, droop, least input and the voltage of the base load are in proportion; its assumed watts stay."""
    here, reference = by_id(vehicle(volts)), by_id(vehicle(12))
    times = pytest.approx(volts / 12)
    for id_, source in here.items():
        assert source.set_point.nominal / reference[id_].set_point.nominal == times
    assert here["machine"].slope.nominal / reference["machine"].slope.nominal == times
    least = [s["converter"].minimum_input for s in (here, reference)]
    assert least[0] is not None
    assert least[1] is not None
    assert least[0].nominal / least[1].nominal == times
    base = [running(vehicle(v), CRUISE).base for v in (volts, 12)]
    assert base[0].volts / base[1].volts == times
    assert base[0].volts * base[0].amperes.nominal == pytest.approx(base[1].volts * base[1].amperes.nominal)


@pytest.mark.analytic
@pytest.mark.parametrize(("volts", "rated_at", "times"), [(16, "14.4 V", 1), (24, "14.4 V", 1), (24, "28 V", 2)])
def test_voltages_of_an_amplifier_follow_its_rating(volts: int, rated_at: str, times: int) -> None:
    """A 12 V amplifier keeps its shut-down in any vehicle; one rated at 28 V has twice that."""
    amp = installed(vehicle(volts, amplifiers={"amp": {"rated_at": rated_at}})).amplifiers["amp"]
    reference = installed(vehicle(12)).amplifiers["amp"]
    assert amp.shutdown.nominal == times * reference.shutdown.nominal
    assert amp.lowest.nominal == times * reference.lowest.nominal


@pytest.mark.practice
@pytest.mark.parametrize(("rested", "cells"), [("12.7 V", 6), ("10.5 V", 6), ("17 V", 8)])
def test_the_cells_of_a_lead_battery_show_at_rest(rested: str, cells: int) -> None:
    """Six cells do not rest at 17 V, eight do; a dead cell at 10.5 V makes no battery of five."""
    build = build_of({"batteries": {"starter": {"open_circuit_voltage": rested}}})
    assert installed(build).batteries["starter"].cells == cells


@pytest.mark.published
def test_a_cold_battery_has_more_resistance_and_less_charge() -> None:
    """At -18 degC 1.64 times the resistance (cold-cranking adjuster), and 0.6 to 1 % a kelvin less capacity.

    The latter is IEC 60896-21, not checked against the document.
    """
    warm, cold = (
        installed(build_of({"locations": {"bay": {"ambient": f"{t} degC"}}})).batteries["starter"] for t in (25, -18)
    )
    assert warm.in_place == warm
    assert cold.in_place.pulse.nominal == pytest.approx(1.64 * warm.pulse.nominal)
    assert cold.resistance_ratio.nominal == pytest.approx(1.64)
    assert 1 - 43 * 0.010 < cold.in_place.charge.nominal / warm.charge.nominal < 1 - 43 * 0.006
    assert cold.pulse == warm.pulse  # what faults are counted with stays that of 25 degC


@pytest.mark.analytic
@pytest.mark.parametrize("volts", [13.0, 14.0, 14.4])
def test_a_battery_starts_no_fuller_than_its_bus_charges_it(volts: float) -> None:
    """An assumed state of charge rests no higher than the charging voltage; a stated one is believed."""
    titanate = {"at": "boot", "chemistry": "lto", "cells": 6, "capacity": "40 Ah"}
    machine = {"machine": {**SUPPLIES["machine"], "charging_voltage": f"{volts} V"}}
    found = installed(build_of({"supplies": machine, "batteries": {"lto": titanate}})).batteries["lto"]
    assert found.open_circuit.nominal == pytest.approx(volts)
    stated = {**titanate, "state_of_charge": "90 %"}
    full = installed(build_of({"supplies": machine, "batteries": {"lto": stated}})).batteries["lto"]
    assert full.charge_state.nominal == 0.9


@pytest.mark.published
def test_an_empty_battery_has_more_resistance() -> None:
    """At 20 % of its charge 1.4 times (12 V blocks, NREL 2003), at 80 % and full its stated one."""
    ratios = {
        charge: installed(build_of({"locations": {"bay": {"ambient": "25 degC"}},
                                    "batteries": {"starter": {"state_of_charge": f"{charge} %"}}}))
        .batteries["starter"].resistance_ratio
        for charge in (20, 80, 100)
    }
    assert [one.nominal for one in ratios.values()] == pytest.approx([1.4, 1.0, 1.0])
    assert ratios[20].high > 2.8
    assert all(one.low <= one.nominal <= one.high for one in ratios.values())


def test_every_wiring_of_the_coils_with_what_the_amplifier_gives() -> None:
    """One driver of two 2 ohm coils: 1 ohm is below the rating, 4 ohm gives half of what 2 ohm are rated for."""
    patch = {"speakers": {"sub": {"voice_coils": 2, "coils_in": "series"}}}
    row = computed(patch).amplifiers[0]
    assert [(one.load, one.fitted, one.output) for one in row.wirings] == [(1.0, False, None), (4.0, True, 250.0)]
    assert computed().amplifiers[0].wirings == ()
