"""Voltage at a location, and limits against the readings they name."""

from __future__ import annotations

from collections.abc import Mapping

from dossier.buildfile.model import Limit
from dossier.circuit.elements import Alternator, Amplifier, Battery, Capacitor, Load
from dossier.circuit.trace import Transient
from dossier.circuit.wiring import Wired, negative, positive
from dossier.results.sag import LimitCheck, Reading, Trace

STATISTICS = ("mean", "minimum_100ms", "trough")
BASE_LOAD = "vehicle.base_load"  # the port whose voltage the vehicle's own electronics see


def port_at(wired: Wired, location: str) -> str | None:
    """A device between the two poles of a location; None where there is none and only its nodes tell."""
    poles = (positive(location), negative(location))
    for e in wired.network.elements:
        if isinstance(e, Battery | Capacitor | Alternator | Load | Amplifier) and (e.p, e.n) == poles:
            return e.id
    return None


def mean_at(wired: Wired, run: Transient, location: str) -> Trace:
    """Cycle means between the poles of a location, (T, B) [V].

    Raises:
        LookupError: no device is there, and the run was made without details.
    """
    port = port_at(wired, location)
    if port is not None:
        return run.voltage(port).mean
    mean: Trace = run.node_voltage(positive(location)).mean - run.node_voltage(negative(location)).mean
    return mean


def judged_statistic(limit: Limit) -> str:
    """The statistic that the amplifiers' limit names; the mean if it names none."""
    return next((s for s in STATISTICS if getattr(limit, s) is not None), "mean")


def limit_checks(limit: Limit, readings: Mapping[str, Reading], rippled: bool) -> tuple[LimitCheck, ...]:
    """Every statistic that a limit names against its reading; the trough only where there is ripple."""
    made = []
    for statistic in STATISTICS:
        q = getattr(limit, statistic)
        if q is None or (statistic == "trough" and not rippled):
            continue
        volts = readings[statistic].volts
        made.append(LimitCheck(statistic, q.si, volts, volts is not None and volts >= q.si))
    return tuple(made)
