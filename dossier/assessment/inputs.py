"""Every number the computation used, in words: stated ones by basis, assumed ones with their source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

from dossier.equipment.installed import Installed, Running
from dossier.equipment.value import Value, values_in
from dossier.reader.said import Said
from dossier.reader.units import Kind, Units
from dossier.results.inputs import Input

NEVER_SHOWN = 1e7  # a stand-in for "no limit" is not an input

# unit -> (factor to the printed unit, printed unit)
_PRINTED = {"ohm": (1e3, "mΩ"), "A s": (1 / 3600.0, "Ah"), "degC": (1.0, "°C"), "1": (1.0, "")}
_READ: Mapping[str, Kind] = {"degC": "temperature"}  # what reads otherwise in US units


def inputs_of(fit: Installed, states: Mapping[str, Running]) -> tuple[Input, ...]:
    """Every input of the devices, each path and quantity once, in order of appearance.

    A supply that does not run in an engine state, and an engine that stands still, rest on no number there.
    """
    seen: dict[tuple[str, str], Input] = {}
    for value in _values((fit, *(_at_work(run) for run in states.values()))):
        if abs(value.nominal) > NEVER_SHOWN:
            continue
        seen.setdefault((value.path, value.quantity), input_of(value))
    return tuple(seen.values())


def _at_work(run: Running) -> tuple[object, ...]:
    turning = (run.speed,) if run.speed.nominal > 0.0 else ()
    return (*turning, run.base, *(supply for supply in run.supplies if supply.running))


def _values(things: Iterable[object]) -> Iterable[Value]:
    for thing in things:
        yield from values_in(thing)


def input_of(v: Value) -> Input:
    """One input in words."""
    factor, unit = _PRINTED.get(v.unit, (1.0, v.unit))
    suffix = f" {unit}" if unit else ""
    value, low, high = (_figure(x * factor) for x in (v.nominal, v.low, v.high))
    if kind := _READ.get(v.unit):
        low, high = (Said(x, us=Units.US.number(kind, si)) for x, si in ((low, v.low), (high, v.high)))
        whole: str = Said(f"{value}{suffix}", us=Units.US.words(kind, v.nominal))
    else:
        whole = f"{value}{suffix}"
    return Input(
        path=v.path,
        device=v.device,
        quantity=v.quantity,
        value=whole,
        low=low,
        high=high,
        basis=v.basis,
        source=v.source,
    )


def _figure(x: float) -> str:
    """Three significant figures without an exponent."""
    if x in (inf, -inf):
        return "∞"
    if x == 0.0:
        return "0"
    magnitude = abs(x)
    decimals = 0 if magnitude >= 100.0 else 1 if magnitude >= 10.0 else 2 if magnitude >= 1.0 else 3
    text = f"{x:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
