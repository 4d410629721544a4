"""What the cover says: sources, amplifiers on their loads, key figures, the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from dossier.assessment.supply.disconnects import disconnect_of
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.amplifiers import power_into
from dossier.electrical.speakers import needs_cover, terminal_voltage
from dossier.equipment.amplifiers import DrivenAmplifier, wirings
from dossier.equipment.feeding import most_output
from dossier.equipment.installed import Installed
from dossier.equipment.storage import CHEMISTRY_WORDS
from dossier.reader.promised import low_v, minutes, spare
from dossier.results.budget import LoadBudget
from dossier.results.overview import (
    AmplifierRow,
    DailyVolts,
    EnergySource,
    KeyFigure,
    SourceKind,
    Stays,
    Verdict,
    Wiring,
)
from dossier.results.recorded import Recorded
from dossier.results.sag import LoadCaseResult

SUPPLY_KINDS = {"alternator": SourceKind.ALTERNATOR, "dc_dc": SourceKind.CONVERTER, "charger": SourceKind.CHARGER}


def energy_sources(build: Build, fit: Installed) -> tuple[EnergySource, ...]:
    """What can feed with the engine off, and has to be made dead by itself: batteries, then capacitor banks."""
    places = {id_: location.title for id_, location in build.locations.items()}
    found = [
        EnergySource(
            b.id,
            b.title,
            SourceKind.BATTERY,
            b.at,
            places[b.at],
            f"{b.charge.nominal / 3600.0:.0f} Ah {CHEMISTRY_WORDS[b.chemistry]}, {b.open_circuit.nominal:.1f} V",
            disconnect_of(build, "batteries", b.id),
        )
        for b in fit.batteries.values()
    ]
    found += [
        EnergySource(
            c.id,
            c.title,
            SourceKind.CAPACITOR_BANK,
            c.at,
            places[c.at],
            f"{c.capacitance.nominal:.0f} F, {c.series} cells in series",
            disconnect_of(build, "capacitor_banks", c.id),
        )
        for c in fit.banks.values()
    ]
    return tuple(found)


def further_sources(build: Build) -> tuple[EnergySource, ...]:
    """What feeds only while the engine turns, its input is live, or it is plugged in."""
    return tuple(
        EnergySource(s.id, s.title, SUPPLY_KINDS[s.kind], s.at, build.locations[s.at].title, f"{most_output(s):.0f} A")
        for s in build.supplies.values()
    )


def left_live(build: Build, sources: Sequence[EnergySource]) -> Stays:
    """What taking off the terminal of the battery that starts the engine, or of the first source, leaves live."""
    if len(sources) < 2:
        return Stays.NOTHING
    first = next((one.at for one in build.batteries.values() if one.starts_engine), sources[0].at)
    return Stays.REAR if any(one.at != first for one in sources) else Stays.OTHERS


FULL_AT_REST = {"lifepo4": (13.2, 13.4), "lto": None}  # V of a 12 V unit; any lead-acid as below
FULL_LEAD = (12.6, 12.8)
USUAL_CHARGING = (13.8, 14.6)
TURN_DOWN, SWITCH_OFF = 11.5, 10.5  # V of a 12 V system; all of these common practice, no source


def daily_volts(build: Build, fit: Installed) -> DailyVolts:
    """What the owner's voltmeter shows, by the system, the starter battery and the stated charging voltages."""
    units = build.vehicle.over_12_v
    starters = [b for b in fit.batteries.values() if b.starts_engine]
    full = FULL_AT_REST.get(starters[0].chemistry, FULL_LEAD) if starters else FULL_LEAD
    rests = min((b.open_circuit.nominal for b in starters), default=None)
    stated = [
        v.si for one in build.supplies.values() if one.kind == "alternator" for v in one.charging_voltage.values()
    ]
    low, high = (min(stated), max(stated)) if stated else (v * units for v in USUAL_CHARGING)
    return DailyVolts(
        rest_low=full[0] * units if full else None,
        rest_high=full[1] * units if full else None,
        counted=rests if full and rests is not None and rests < full[0] * units else None,
        charging_low=low,
        charging_high=high,
        charging_stated=bool(stated),
        turn_down=TURN_DOWN * units,
        switch_off=SWITCH_OFF * units,
    )


WITHIN = 0.999  # loads this close are the same


def amplifier_rows(build: Build, fit: Installed) -> tuple[AmplifierRow, ...]:
    """Every amplifier with its load, rated output there, and what it draws for it."""
    rows = []
    for a in fit.amplifiers.values():
        output = a.output.nominal
        _, watts = a.input_at(1.0, a.rated_at.nominal)
        rows.append(
            AmplifierRow(
                id=a.id,
                title=a.title,
                at=a.at,
                supply=a.supply,
                speakers=a.speakers,
                load_ohm=a.nominal_ohm,
                power_ohm=a.power_ohm,
                lowest_rated_ohm=a.lowest_rated_ohm,
                rated_w=output,
                rated_at=a.rated_at.nominal,
                input_w=watts,
                input_a=watts / a.rated_at.nominal,
                terminal_v=terminal_voltage(output, a.power_ohm),
                covered=needs_cover(output, a.power_ohm),
                wirings=_wirings(build, a),
            )
        )
    return tuple(rows)


def _wirings(build: Build, a: DrivenAmplifier) -> tuple[Wiring, ...]:
    """Where its drivers can be wired otherwise: every load, and what it gives into each it is rated for."""
    made = []
    for load, ways in wirings(build, a):
        rated = load >= a.lowest_rated_ohm * WITHIN
        fitted = abs(load - a.nominal_ohm) < (1.0 - WITHIN) * load
        made.append(Wiring(ways, load, fitted, float(power_into(a.ratings, load)) if rated else None))
    return tuple(made) if len(made) > 1 else ()


def key_figures(
    cases: Iterable[LoadCaseResult], budget: LoadBudget, rows: Iterable[AmplifierRow]
) -> tuple[KeyFigure, ...]:
    """The four numbers of the cover."""
    lows = [(a.mean_minimum.volts, case.title) for case in cases for a in case.amplifiers]
    figures = []
    if lows:
        volts, title = min(lows, key=lambda low: -1.0 if low[0] is None else low[0])
        value = "collapse" if volts is None else f"{low_v(volts)} V"
        figures.append(KeyFigure(value, f"lowest mean at an amplifier ({title})"))
    figures.append(KeyFigure(f"{sum(r.rated_w for r in rows) / 1000.0:.1f} kW", "rated output into the loads fitted"))
    idle = next(s for s in budget.states if s.state == "idle")
    least = idle.least(0)
    where = f" of {least.place}" if least.tag else ""
    left = f"{spare(least.balances[0])} A".replace("-", "−")
    figures.append(KeyFigure(left, f"balance{where} at idle, music at 1/8 power"))
    off = budget.engine_off[0]
    time = "none" if off.seconds is None else minutes(off.seconds)
    figures.append(KeyFigure(time, "engine off, music at 1/8 power, start kept"))
    return tuple(figures)


def verdict(build: Build, findings: Iterable[Diagnostic], recorded: Recorded) -> Verdict:
    """The sentence of the cover; of what was built it counts the readings that lie where they are predicted."""
    found = _by_findings(build, findings)
    judged = [one.inside_band for one in recorded.readings if one.inside_band is not None]
    if build.record.stage == "design" or not judged:
        return found
    lie = "reading lies" if len(judged) == 1 else "readings lie"
    return replace(found, sentence=f"{found.sentence} {sum(judged)} of {len(judged)} {lie} inside the predicted band.")


def _by_findings(build: Build, findings: Iterable[Diagnostic]) -> Verdict:
    counts = dict.fromkeys(Severity, 0)
    for finding in findings:
        counts[finding.severity] += 1
    stops, cautions, notes = counts[Severity.STOP], counts[Severity.CAUTION], counts[Severity.NOTE]
    rest = ", ".join(f"{n} {word}{'s' if n != 1 else ''}" for n, word in ((cautions, "caution"), (notes, "note")) if n)
    planned = build.record.stage == "design"
    if stops:
        count = "one finding says" if stops == 1 else f"{stops} findings say"
        action = "Do not build it like this" if planned else "Do not energise"
        return Verdict(Severity.STOP, f"{action}: {count} stop" + (f"; also {rest}." if rest else "."))
    if cautions:
        start = "The plan works with reservations" if planned else "Works with reservations"
        return Verdict(Severity.CAUTION, f"{start}: {rest}.")
    start = "The plan passes every check made here" if planned else "Passes every check made here"
    return Verdict(Severity.OK, start + (f"; {rest}." if rest else "."))
