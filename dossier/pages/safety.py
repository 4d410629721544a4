"""The safety checklist: what has to be done and ticked by a person; only lines that fit what is fitted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pages.words import count
from dossier.pdf.flow import heading, rich, text
from dossier.pdf.marks import TICK_BOX
from dossier.pdf.tables import Column, data_table
from dossier.pdf.text import markup
from dossier.results.overview import Results


@dataclass(frozen=True, slots=True)
class _Fitted:
    """What the list is tailored to."""

    sources: int
    bank: bool
    lithium: bool
    lead: bool
    inside: bool  # a battery away from where the alternator stands
    coupling: bool
    hot_terminals: bool  # over 50 V rms at an amplifier's output
    body_return: bool


def safety(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Groups of lines with a tick box and room for a name and a date."""
    fitted = _fitted(build, results)
    story: list[Any] = [
        text(
            "This checklist is for the person who does the work. A box is ticked only for what was done and "
            "seen on this vehicle; a line that cannot be ticked is a finding. The lines are common practice in the "
            "trade, without a published source.",
        )
    ]
    groups = (
        ("Before work", "before", _before(fitted)),
        ("Cables and fuses", "cables", _cables(fitted)),
        ("Batteries and storage", "batteries", _batteries(fitted)),
        ("First power-up", "power", _power(fitted)),
        ("Measuring and playing", "measuring", _measuring(fitted)),
        ("Before handover", "handover", _handover(fitted)),
    )
    for title, key, lines in groups:
        story.append(heading(title, 2, f"safety-{key}"))
        story.append(
            data_table(
                [Column("", share=0.045), Column("Check", share=0.685), Column("By, date", share=0.27)],
                [
                    [rich(f'<font size="11">{markup(TICK_BOX)}</font>', "cell"), text(line, "cell"), ""]
                    for line in lines
                ],
            )
        )
    return story


def _fitted(build: Build, results: Results) -> _Fitted:
    chemistries = [one.chemistry for one in build.batteries.values()]
    alternators = {one.at for one in build.supplies.values() if one.kind == "alternator"}
    starters = {one.at for one in build.batteries.values() if one.starts_engine}
    return _Fitted(
        sources=len(results.energy_sources),
        bank=bool(build.capacitor_banks),
        lithium=any(one in ("lifepo4", "lto") for one in chemistries),
        lead=any(one in ("flooded", "agm") for one in chemistries),
        inside=any(one.at not in alternators | starters for one in build.batteries.values()),
        coupling=bool(build.couplings),
        hot_terminals=any(one.terminal_v > 50.0 for one in results.amplifiers),
        body_return=any(one.chassis for one in build.cables.values()),
    )


def _before(fitted: _Fitted) -> list[str]:
    lines = [
        "Rings, watch and chains off; insulated tools; eyes protected.",
        f"{count(fitted.sources, 'energy source')} on the list of this dossier and the same number found in "
        "the vehicle.",
        "Isolate before work: negative of the front battery off first, then every other source at its own "
        "terminal, in the order agreed; nobody can reconnect unseen.",
        "Wait before work near airbags and belt tensioners: 3 minutes, or longer where the vehicle maker "
        "says so. Restraint wiring is never probed.",
        "Downstream of every open disconnect: under 1 V, measured.",
        "Looked behind the panel before every hole: fuel, brake lines, looms, orange high-voltage cables.",
    ]
    if fitted.bank:
        lines.insert(
            4,
            "Capacitor bank discharged through its resistor and measured under 1 V; kept bridged by the "
            "resistor, since the voltage recovers.",
        )
    if fitted.lithium:
        lines.insert(4, "Lithium battery isolated at its own terminal; its management is not a disconnect.")
    return lines


def _cables(fitted: _Fitted) -> list[str]:
    lines = [
        "Fuse close to its source, at every source: distance along the conductor measured and as in the "
        "schedule.",
        "Rating, style and breaking capacity of every fuse read off the part and as in the schedule.",
        "Every step down in size has its own fuse, or the fuse before it protects the smaller conductor.",
        "A grommet at every hole in sheet metal; conduit where the cable can rub; clear of exhaust, belts, "
        "seat rails, fuel and brake lines and airbag looms.",
        "Strain relief on both sides of every terminal; every crimp pulled by hand.",
        "Torque of every bolted joint as its maker says, written down, and marked with paint.",
        "Negatives on bare metal or a welded stud, never on seat or belt bolts; on the body side of a "
        "battery sensor.",
    ]
    if fitted.sources > 1:
        lines.insert(
            1, "A run between two sources has a fuse at both ends; each can break what the other source gives."
        )
    if fitted.body_return:
        lines.append(
            "Body return: paint removed, joint sealed against corrosion, resistance measured in millivolts "
            "at a known current."
        )
    return lines


def _batteries(fitted: _Fitted) -> list[str]:
    lines = [
        "Battery restraint: the tray and strap hold the mass in a crash, not only on the road; pulled by hand.",
        "Positive terminals covered; nothing metal can fall across the posts.",
    ]
    if fitted.lead:
        lines.append(
            "Battery venting: the vent tube ends outside the vehicle"
            + (", also of the battery that stands inside." if fitted.inside else ".")
        )
    if fitted.lithium:
        lines += [
            "Lithium battery away from engine heat; charging voltage within its maker's window; no "
            "charging below the temperature its maker allows.",
            "What happens when its management opens under load has been tried or thought through: the "
            "voltage of the rest of the system stays within what the equipment bears.",
        ]
    if fitted.bank:
        lines += [
            "Capacitor bank pre-charged through a resistor or lamp before its main connection is closed; "
            "the difference measured before closing.",
            "Capacitor discharge: resistor and instructions lie with the vehicle; the bank is labelled "
            "with its voltage and energy.",
            "Cell voltages of the bank measured when charged; none above its rating.",
        ]
    if fitted.coupling:
        lines.append(
            "Coupling between the batteries tried: it opens when it should, and its contacts are rated for the "
            "current in the schedule."
        )
    return lines


def _power(fitted: _Fitted) -> list[str]:
    lines = [
        "Polarity of every feed measured before the last connection is made.",
        "Insulation, fuses out and amplifiers off: over 1 MΩ from feed to body with a multimeter; no "
        "insulation tester on electronics.",
        "First power-up through a small fuse or a lamp; no current when everything is off; then fuses one "
        "by one, nearest to the source last.",
        "Voltage at rest, at idle and at cruise, at the battery posts and at the amplifier terminals, "
        "written down.",
        "Remote line switches every amplifier off; key-off current measured.",
    ]
    if fitted.hot_terminals:
        lines.append("Amplifier output terminals are covered: more than 50 V rms at full power.")
    return lines


def _measuring(fitted: _Fitted) -> list[str]:
    return [
        "Engine never run in a closed garage (carbon monoxide); wheels chocked, parking brake on; hands, "
        "hair and leads clear of belts and fan.",
        "Hearing: everyone near wears protection, doors closed or open as agreed, listeners out of the "
        "vehicle for full-power tones.",
        "Meter and clamp rated for the voltage and current; fused leads; stop the tone at 10.5 V.",
        "Every joint felt or measured by infrared after 15 minutes of play: none more than 30 K above its "
        "neighbours.",
        "Fire extinguisher within reach.",
    ]


def _handover(fitted: _Fitted) -> list[str]:
    lines = [
        "Disconnect shown to the customer, labelled and operated by the customer.",
        "Told: the same fuse once; blown twice means call the workshop; never a bigger one.",
        "Told: how long it plays with the engine off, and what to do when it smells, squeals or the "
        "battery lamp lights.",
        "Joints to be tightened again after 500 to 1000 km, then every year: noted for the next visit.",
    ]
    if fitted.sources > 1:
        lines.insert(
            0, "Label at the front battery: there is a further source, where it is, and how it is made dead."
        )
    return lines
