"""A rule on supplies that give nothing although the engine runs."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Danger, Examined
from dossier.results.charging import Silence, SilentRow

SILENT = BY_CODE["supply-gives-nothing"]

FIELDS = {Silence.INPUT_LOW: "minimum_input", Silence.TOO_SLOW: "output_at_shaft", Silence.NOT_JOINED: "at"}
CURES = {
    Silence.INPUT_LOW: "more voltage at its input (a thicker feed, a source on that bus), or a lower `minimum_input` "
    "if its maker allows it",
    Silence.TOO_SLOW: "a smaller pulley on its shaft, or an alternator that gives at this speed",
    Silence.NOT_JOINED: "join its output to a battery or a load in this engine state",
    Silence.SUPPLY_ABOVE: "equal charging voltages, or none if it is meant as a reserve",
}


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every silent supply once, with the engine states in which it is."""
    rows = subject.charging.silent
    for row in rows:
        same = [r for r in rows if (r.id, r.cause) == (row.id, row.cause)]
        if row is not same[0]:
            continue
        severity = Severity.NOTE if row.cause is Silence.SUPPLY_ABOVE else Severity.CAUTION
        if any(r.nothing_else and r.state == "cruise" for r in same):
            severity = Severity.STOP
        yield SILENT.finding(
            severity,
            f"{row.title}: gives nothing ({' and '.join(r.state for r in same)}): {_why(subject, row)}",
            f"supplies.{row.id}.{FIELDS.get(row.cause, 'charging_voltage')}",
            fix=CURES.get(row.cause, ""),
            danger=Danger.NOTICE if severity is Severity.NOTE else None,
        )


def _why(subject: Examined, row: SilentRow) -> str:
    if row.cause is Silence.TOO_SLOW:
        return f"its shaft turns at {row.needs:.0f} r/min, too slowly for any output"
    if row.cause is Silence.NOT_JOINED:
        return "nothing is joined to its output"
    if row.cause is Silence.INPUT_LOW:
        place = subject.build.locations[row.other].title
        return f"its input at {place} has {row.volts:.1f} V, it works from {row.needs:.1f} V"
    rests = "rests at" if row.cause is Silence.BATTERY_ABOVE else "holds"
    return f"it is set to {row.needs:.1f} V, {row.other} {rests} {row.volts:.1f} V"
