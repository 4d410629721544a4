"""Rules on amplifiers and what they drive."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic
from dossier.electrical.amplifiers import supported_by_fuses
from dossier.electrical.batteries import open_circuit_voltage
from dossier.electrical.speakers import COVERED_ABOVE
from dossier.equipment.amplifiers import made_for, net_impedance
from dossier.equipment.feeding import joined
from dossier.equipment.storage import StorageBattery
from dossier.equipment.value import ASSUMED
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import down, high_v
from dossier.reference.defaults import DEFAULTS
from dossier.results.overview import AmplifierRow

LOAD_TOO_LOW = BY_CODE["load-below-rated-impedance"]
CLAIM = BY_CODE["rating-beyond-its-fuses"]
MAXIMUM = BY_CODE["rating-is-no-continuous-power"]
OVER_SUPPLY = BY_CODE["supply-above-maximum"]
SUPPLY_UNKNOWN = BY_CODE["supply-maximum-not-known"]
TERMINALS = BY_CODE["terminals-above-50-volts"]

RATED_AT = 14.4  # V: where 12 V amplifiers are rated, common practice
USUAL_MOST = 15.2  # V that a 12 V amplifier stands, whatever the vehicle has; common practice, no source
USUAL_OVER_RATED, FAR_OVER_RATED = 1.25, 1.5  # of the supply it is rated at; common practice, no source


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with amplifiers and their loads."""
    build = subject.build
    for row in subject.amplifiers:
        amplifier = build.amplifiers[row.id]
        fitted = subject.fit.amplifiers[row.id]
        path = f"amplifiers.{row.id}"
        if fitted.too_low:
            yield LOAD_TOO_LOW.stop(
                f"{row.title}: drives {min(row.load_ohm, row.power_ohm):.2g} Ω, rated down to "
                f"{row.lowest_rated_ohm:.2g} Ω{_of_one_channel(build, row)}",
                f"{path}.rated",
            )
        if amplifier.rating_basis in ("burst", "maximum"):
            yield MAXIMUM.caution(
                f"{row.title}: {row.rated_w:.0f} W into its load are rated as a {amplifier.rating_basis}",
                f"{path}.rating_basis",
            )
        if amplifier.onboard_fuses is not None:
            efficiency = fitted.efficiency.nominal
            volts = RATED_AT * made_for(fitted.rated_at.nominal)
            supported = supported_by_fuses(amplifier.onboard_fuses.si, efficiency, volts)
            claimed = max(w.si for _, w in amplifier.rated)
            if claimed > 1.5 * supported:
                yield CLAIM.caution(
                    f"{row.title}: rated {claimed:.0f} W, but {amplifier.onboard_fuses.si:.0f} A of its own fuses "
                    f"support about {supported:.0f} W continuously",
                    f"{path}.onboard_fuses",
                )
        highest, source = _highest(subject, amplifier.at)
        rated_at = fitted.rated_at.nominal
        usual = min(USUAL_MOST * max(made_for(rated_at), rated_at / RATED_AT), USUAL_OVER_RATED * rated_at)
        most = amplifier.maximum_supply.si if amplifier.maximum_supply else usual
        if highest > most and amplifier.maximum_supply:
            headline = f"{row.title}: takes at most {down(most, 1)} V, {source} {high_v(highest)} V"
            yield OVER_SUPPLY.stop(headline, f"{path}.maximum_supply")
        elif highest > most:
            headline = (
                f"{row.title}: {source} {high_v(highest)} V, such amplifiers take {down(most, 1)} V; "
                "its own limit is not stated"
            )
            if amplifier.rated_at and highest > FAR_OVER_RATED * amplifier.rated_at.si:
                headline = f"{row.title}: rated at {amplifier.rated_at.si:.1f} V, {source} {high_v(highest)} V"
                yield OVER_SUPPLY.stop(headline, f"{path}.rated_at")
            else:
                yield SUPPLY_UNKNOWN.caution(headline, path)
        if row.terminal_v > COVERED_ABOVE:
            yield TERMINALS.note(f"{row.title}: {high_v(row.terminal_v)} V rms at its speaker terminals", path)


def rested(battery: StorageBattery) -> float:
    """Rested voltage of a battery [V]; where no charge is stated, as one that was charged elsewhere brings it."""
    if battery.open_circuit.basis != ASSUMED:
        return battery.open_circuit.nominal
    usual = DEFAULTS["battery.charge_state"].typical
    return max(battery.open_circuit.nominal, open_circuit_voltage(battery.chemistry, usual, battery.cells))


def _highest(subject: Examined, at: str) -> tuple[float, str]:
    """The highest voltage [V] that charging or a rested battery puts on the bus of a location, and what does."""
    bus = joined(subject.build, at)
    sources = [
        (s.set_point.nominal, "the supply charges at")
        for run in subject.running.values()
        for s in run.supplies
        if s.running and s.at in bus
    ]
    sources += [(rested(b), f"{b.title} alone has") for b in subject.fit.batteries.values() if b.at in bus]
    return max(sources, default=(0.0, ""))


def _of_one_channel(build: Build, row: AmplifierRow) -> str:
    """Where each driver alone would suit the rating: it may be that of one channel."""
    sets = [s for s in build.speakers.values() if row.id in s.amplifiers]
    if not all(s.drivers > 1 and s.drivers_in == "parallel" for s in sets):
        return ""
    alone = min(net_impedance(s) * s.drivers for s in sets)
    if alone < row.lowest_rated_ohm:
        return ""
    return (
        f"; one driver alone is {alone:.3g} Ω: if the rating is that of one channel, write the power of all channels "
        "together, at their loudspeakers side by side"
    )
