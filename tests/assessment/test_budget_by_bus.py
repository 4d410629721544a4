"""The load budget bus by bus: only what a supply or a battery reaches counts for a load."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import build_of, computed, found

from dossier.assessment.overview import key_figures
from dossier.assessment.supply.budget import least_balance, load_budget
from dossier.assessment.supply.energy import Hours, Reserves, flows
from dossier.assessment.supply.engine_states import states_of
from dossier.assessment.supply.storage import storage
from dossier.buildfile.model import Engine
from dossier.diagnostic import Severity
from dossier.equipment.installed import installed, running
from dossier.results.budget import BusBudget, EngineBudget, LoadBudget
from dossier.results.storage import NoRecharge

ALTERNATOR: dict[str, Any] = {
    "kind": "alternator",
    "at": "bay",
    "charging_voltage": "14.4 V",
    "output_at_shaft": {"1000 rpm": "100 A", "9000 rpm": "100 A"},
    "output_is_hot": True,
}
CONVERTER: dict[str, Any] = {
    "kind": "dc_dc",
    "from": "bay",
    "at": "boot",
    "charging_voltage": "14.2 V",
    "rated_current": "40 A",
    "efficiency": "80 %",
    "runs_in": ["cruise"],
}
REAR: dict[str, Any] = {"at": "boot", "chemistry": "agm", "capacity": "80 Ah"}
BASE = {"base_load": {"at": "bay", "stopped": "4 A", "idle": "30 A", "cruise": "30 A"}}
CRUISING = {"note": {"engine": "cruise"}}
CRUISING_ONLY: dict[str, Any] = {"load_cases": CRUISING}


def behind(coupling: dict[str, Any] | None, **more: Any) -> dict[str, Any]:
    """A rear battery with the amplifier, joined to the front by a coupling, or by a converter alone."""
    joint = {"couplings": {"split": {"from": "bay", "to": "boot", **coupling}}} if coupling else {}
    supplies = {"main": ALTERNATOR} if coupling else {"main": ALTERNATOR, "converter": CONVERTER}
    return {
        "vehicle": BASE,
        "supplies": supplies,
        "batteries": {"rear": REAR},
        "cables": {"feed": None},
        "load_cases": CRUISING,
        **joint,
        **more,
    }


def budget(patch: dict[str, Any]) -> LoadBudget:
    """The load budget alone: no load case is played for it."""
    build = build_of(patch)
    return load_budget(build, installed(build), {one.state: running(build, one) for one in states_of(build)})


def state(load: LoadBudget, name: str) -> EngineBudget:
    """One engine state of the budget."""
    return next(s for s in load.states if s.state == name)


def bus(load: LoadBudget, name: str, location: str) -> BusBudget:
    """The bus of a location in an engine state."""
    return next(b for b in state(load, name).buses if location in b.locations)


@pytest.mark.analytic
def test_a_converter_that_does_not_run_brings_nothing() -> None:
    """At idle the rear loses what its amplifier takes, 500/8 W and idle at rest; the alternator's spare stays ahead."""
    load = budget(behind(None))
    rear, front = bus(load, "idle", "boot"), bus(load, "idle", "bay")
    assert rear.supply == 0.0
    assert rear.balances[0] == pytest.approx(-rear.demands[0].amperes)
    assert rear.demands[0].amperes > 500.0 / 8.0 / 12.7
    assert front.balances == pytest.approx((70.0,) * 3)
    assert state(load, "idle").balances[0] == rear.balances[0]
    assert key_figures((), load, ())[1].value.startswith("−")


@pytest.mark.analytic
def test_a_converter_takes_its_power_and_loss_from_the_alternator() -> None:
    """40 A at 14.2 V and 80 % are 49.3 A at 14.4 V: 20.7 A of 100 A are left beside 30 A of the vehicle."""
    load = budget(behind(None))
    taken = 40.0 * 14.2 / (0.8 * 14.4)
    assert bus(load, "cruise", "bay").balances == pytest.approx((100.0 - 30.0 - taken,) * 3)
    rear = bus(load, "cruise", "boot")
    assert rear.balances[0] == pytest.approx(40.0 - rear.demands[0].amperes)
    assert rear.volts == pytest.approx(14.2)


@pytest.mark.analytic
def test_a_converter_without_a_battery_takes_what_is_asked() -> None:
    """With no battery behind it a converter draws the power of the music over its efficiency, not its rating."""
    load = budget(behind(None, batteries={"rear": None}))
    asked = bus(load, "cruise", "boot").demands[0].amperes
    assert bus(load, "cruise", "bay").passed_on[0] == pytest.approx(asked * 14.2 / (0.8 * 14.4))


@pytest.mark.practice
@pytest.mark.parametrize(
    ("coupling", "idle", "stopped"),
    [
        ({"kind": "ignition_relay"}, 1, 2),
        ({"kind": "switch", "closed": True}, 1, 1),
        ({"kind": "switch", "closed": False}, 2, 2),
        ({"kind": "voltage_sensing_relay", "closes": "13.3 V", "opens": "12.8 V"}, 1, 2),
        ({"kind": "voltage_sensing_relay", "closes": "14.6 V", "opens": "14.0 V"}, 2, 2),
        (
            {"kind": "voltage_sensing_relay", "closes": "13.3 V", "opens": "12.0 V"},
            1,
            1,
        ),  # a rested battery holds it
        ({"kind": "diode_isolator"}, 1, 2),  # the alternator reaches both sides, a battery only its own
    ],
)
def test_contacts_join_buses_as_the_engine_state_has_them(
    coupling: dict[str, Any], idle: int, stopped: int
) -> None:
    """Relays, switches and diodes join two buses only in the engine states in which they conduct."""
    load = budget(behind(coupling))
    assert (len(state(load, "idle").buses), len(state(load, "stopped").buses)) == (idle, stopped)


@pytest.mark.analytic
def test_only_the_rear_battery_plays_behind_an_open_relay() -> None:
    """With the engine stopped 80 Ah from 80 to 50 % feed the amplifier alone, by Peukert with k = 1.1.

    It draws a little more than the budget says, whose voltage is that of the rested battery.
    """
    load = budget(behind({"kind": "ignition_relay"}))
    row = load.engine_off[0]
    amperes = bus(load, "stopped", "boot").demands[0].amperes
    assert amperes <= row.amperes <= 1.03 * amperes
    hours = min(20.0 * (80.0 / (row.amperes * 20.0)) ** 1.1, 80.0 / row.amperes)
    assert row.seconds == pytest.approx(hours * 3600.0 * 0.3, rel=2e-3)
    assert (row.battery, row.floor) == ("batteries.rear", 0.5)
    assert "rear" in row.words
    assert "starter" not in row.words
    assert not row.starts
    build = build_of(behind({"kind": "ignition_relay"}))
    states, fit = {one.state: running(build, one) for one in states_of(build)}, installed(build)
    reserves = Reserves(build, fit, states["stopped"])
    kept = storage(build, fit, states, reserves, NoRecharge.NO_SUPPLY, None).reserve[0]
    assert kept.seconds == pytest.approx(row.seconds)


@pytest.mark.analytic
def test_the_reserve_of_the_starter_is_kept_where_it_takes_part() -> None:
    """Over a closed switch both give: the first at its floor ends it, sooner than 150 Ah at one current would.

    The starter, drawn on by the vehicle beside it, is down to its half first, after its own charge at its own current.
    """
    small = {"starter": {"capacity": "40 Ah"}}
    row = budget(behind({"kind": "switch", "closed": True}, batteries=small)).engine_off[0]
    hours = min(20.0 * (40.0 / (row.amperes * 20.0)) ** 1.1, 40.0 / row.amperes)
    assert row.seconds == pytest.approx(hours * 3600.0 * 0.3, rel=0.03)
    assert row.starts
    assert "left for the starter" in row.words


@pytest.mark.practice
def test_lithium_of_its_own_gives_more_than_half() -> None:
    """A lithium iron phosphate battery that starts nothing is drawn to 20 %, not to the starter's half."""
    lithium = {"at": "boot", "chemistry": "lifepo4", "capacity": "20 Ah"}
    row = budget(behind(None, batteries={"rear": lithium})).engine_off[0]
    assert "down to 20 %" in row.words


@pytest.mark.analytic
@pytest.mark.parametrize("forward", [True, False])
def test_a_diode_lets_a_battery_feed_one_way_only(forward: bool) -> None:
    """From front to boot a starter that rests higher feeds the amplifier too; the other way round it never does."""
    ends = {"from": "bay", "to": "boot"} if forward else {"from": "boot", "to": "bay"}
    build = build_of(behind({"kind": "diode_isolator", **ends}))
    hours = Hours(build, installed(build), running(build, Engine("stopped", None)), 1.0 / 8.0)
    (flowing,) = flows([(hours, {"starter": 0.9, "rear": 0.2})])
    assert flowing is not None
    beyond = -flowing.amps["batteries.starter"] - flowing.amps["vehicle.base_load"]
    assert (beyond > 2.0) is forward
    assert forward or abs(beyond) < 0.1


@pytest.mark.practice
def test_an_amplifier_that_no_battery_feeds_has_no_time() -> None:
    """Behind a converter that stands still and without a battery nothing plays, and no time is promised."""
    load = budget(behind(None, batteries={"rear": None}))
    row = load.engine_off[0]
    assert row.seconds is None
    assert "amp: no battery feeds it" in row.words
    assert key_figures((), load, ())[2].value == "none"


@pytest.mark.analytic
def test_a_converter_that_runs_with_the_engine_stopped_empties_the_front() -> None:
    """What it gives the amplifier it takes from the starter battery, with its loss."""
    always = {**CONVERTER, "runs_in": ["stopped", "cruise"]}
    load = budget(behind(None, batteries={"rear": None}, supplies={"main": ALTERNATOR, "converter": always}))
    row = load.engine_off[0]
    rested = bus(load, "stopped", "bay").volts
    watts = bus(load, "stopped", "boot").demands[0].amperes * 14.2
    assert row.amperes == pytest.approx(4.0 + watts / (0.8 * rested), rel=0.01)
    assert row.starts


@pytest.mark.analytic
def test_a_drive_is_stated_for_every_bus() -> None:
    """30 minutes, 6 of them at idle: no battery takes more than its room and its acceptance, nor gives what it has not.

    At 80 % an AGM takes 0.2 A/Ah at most (the documented default) and less as it fills; 70 Ah have 14 Ah of room.
    """
    load = budget(behind(None))
    drives = {drive.place: drive.charge / 3600.0 for drive in load.drives[:2]}
    assert 2.0 < drives["bay"] < min(14.0, 0.2 * 70.0 * 0.5)
    assert -0.8 * 80.0 < drives["boot"] < min(16.0, 0.2 * 80.0 * 0.5)


@pytest.mark.analytic
def test_a_full_battery_takes_nothing_and_an_empty_one_gives_nothing() -> None:
    """A drive ends within what fits: nothing into a full battery, no more out of one than is in it."""
    full = {"starter": {"state_of_charge": "100 %"}, "rear": {**REAR, "state_of_charge": "100 %"}}
    assert all(drive.charge <= 0.002 * 80.0 * 3600.0 for drive in budget(behind(None, batteries=full)).drives)
    low = {"rear": {**REAR, "state_of_charge": "3 %"}}
    for drive in budget(behind(None, batteries=low, supplies={"main": ALTERNATOR, "converter": None})).drives:
        if drive.place == "boot":
            assert drive.charge >= -0.03 * 80.0 * 3600.0 * 1.001


@pytest.mark.practice
def test_a_deficit_names_its_bus_and_what_was_assumed() -> None:
    """A bus that nothing charges is named, at idle as a note; a vehicle's own load that nobody stated is "assumed"."""
    told = found(computed(behind(None)), "alternator-deficit")
    assert [(f.severity, f.headline.split(";")[0]) for f in told] == [
        (Severity.NOTE, "idle: nothing charges boot"),
    ]
    weak = {**ALTERNATOR, "output_at_shaft": {"1000 rpm": "20 A", "9000 rpm": "20 A"}}
    silent = {"vehicle": {"base_load": {"at": "bay", "stopped": "4 A"}}, "supplies": {"main": weak}}
    assumed = found(computed(silent), "alternator-deficit")
    assert len(assumed) == 2
    assert all("(assumed) of the vehicle" in f.headline for f in assumed)
    stated = found(computed({**silent, "vehicle": BASE}), "alternator-deficit")
    assert len(stated) == 2
    assert not any("assumed" in f.headline for f in stated)


@pytest.mark.analytic
def test_a_softer_programme_is_balanced_on_the_same_buses() -> None:
    """The balance of the bus with least to spare falls with what is played, and is the budget's at its own level."""
    build = build_of(behind(None))
    run = running(build, Engine("cruise", None))
    load = budget(behind(None))
    assert least_balance(build, installed(build), run, 1.0 / 8.0) == pytest.approx(
        state(load, "cruise").balances[0]
    )
    assert least_balance(build, installed(build), run, 1.0) < least_balance(build, installed(build), run, 0.01)


@pytest.mark.practice
def test_an_engine_that_turns_without_a_charging_source_is_a_caution() -> None:
    """A load case at cruise with no alternator says so; with the engine stopped, or with one, nothing is said."""
    told = found(computed(CRUISING_ONLY), "no-charging-source")
    assert [f.severity for f in told] == [Severity.CAUTION]
    assert "cruise" in told[0].headline
    assert found(computed(), "no-charging-source") == []
    assert found(computed({**CRUISING_ONLY, "supplies": {"main": ALTERNATOR}}), "no-charging-source") == []
    converter_only = {**CRUISING_ONLY, "supplies": {"converter": CONVERTER}, "batteries": {"rear": REAR}}
    assert found(computed({**converter_only, "cables": {"feed": None}}), "no-charging-source")
