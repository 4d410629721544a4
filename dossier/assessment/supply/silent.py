"""Supplies that give nothing although the engine runs, and why: the settled network of every engine state says it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dossier.buildfile.model import Build
from dossier.circuit.sampler import nominal
from dossier.circuit.steady import Steady, steady
from dossier.circuit.wiring import wire
from dossier.equipment.buses import Bus, buses
from dossier.equipment.charging import ChargingSource
from dossier.equipment.installed import Installed, Running
from dossier.results.charging import Silence, SilentRow

TURNING = ("idle", "cruise")  # engine states in which a supply is there to give
NOTHING_A = 0.2  # less is a meter's reading of nothing
APART_V = 0.1  # of a 12 V system: nearer than that, a battery is merely full


def silent_supplies(build: Build, fit: Installed, states: Mapping[str, Running]) -> tuple[SilentRow, ...]:
    """Every supply that works in an engine state and gives nothing there at rest, where a cause can be named."""
    turning = [states[name] for name in TURNING if any(s.running for s in states[name].supplies)]
    networks = [wire(build, fit, run, None, nominal).network for run in turning]
    rests = steady([network.elements for network in networks], networks[0].ground, 0.0) if networks else []
    return tuple(
        row for run, rest in zip(turning, rests, strict=True) if rest for row in _silent(build, fit, run, rest)
    )


def _silent(build: Build, fit: Installed, run: Running, rest: Steady) -> Iterator[SilentRow]:
    working = [s for s in run.supplies if s.running]

    def gives(s: ChargingSource) -> bool:
        return -rest.amps.get(_output(s), 0.0) >= NOTHING_A

    found, apart = buses(build, fit, run), APART_V * build.vehicle.over_12_v
    nobody = not any(gives(s) for s in working)
    for s in working:
        if gives(s):
            continue
        bus = next((one for one in found if s.at in one), Bus(s.at, (s.at,)))
        cause = _cause(fit, working, s, bus, rest.volts.get(_output(s)), rest.volts.get(f"supplies.{s.id}.in"), apart)
        if cause is not None:
            yield SilentRow(s.id, s.title, run.engine.state, *cause, nobody)


def _output(s: ChargingSource) -> str:
    return f"supplies.{s.id}.out" if s.kind == "dc_dc" else f"supplies.{s.id}"


def _cause(
    fit: Installed,
    working: list[ChargingSource],
    s: ChargingSource,
    bus: Bus,
    at_output: float | None,
    at_input: float | None,
    apart: float,
) -> tuple[Silence, float, float, str] | None:
    """Why, and ``volts``, ``needs``, ``other`` of its row; None if it may rest."""
    own = s.set_point.nominal
    if s.limit.nominal <= 0.0:
        return Silence.TOO_SLOW, own, s.shaft_rpm, ""
    if at_output is None:
        return Silence.NOT_JOINED, 0.0, own, ""
    if at_input is not None and s.minimum_input is not None and at_input < s.minimum_input.nominal + 0.2:
        return Silence.INPUT_LOW, at_input, s.minimum_input.nominal, s.input_from
    above = [(b.open_circuit.nominal, Silence.BATTERY_ABOVE, b.title) for b in fit.batteries.values() if b.at in bus]
    above += [
        (o.set_point.nominal, Silence.SUPPLY_ABOVE, o.title)
        for o in working
        if o.id != s.id and o.at in bus and o.limit.nominal > 0.0
    ]
    highest, cause, title = max(above, default=(0.0, Silence.NOT_JOINED, ""))
    return (cause, highest, own, title) if highest > own + apart else None
