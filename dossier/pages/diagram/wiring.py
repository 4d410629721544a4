"""A build as the drawing sees it: stations with device rows, conductors between two stations, bonds to the body."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Final

from dossier.buildfile.model import Build, Cable, Coupling, Fuse, Speaker, Supply
from dossier.buildfile.tags import BASE_LOAD, LETTERS, base_load_at, is_in_line, tags_of
from dossier.frozen import dataclass
from dossier.pages.words import fixed, stated, word
from dossier.pdf.text import plain
from dossier.reader.wording import say

PLUS: Final = "+"
MINUS: Final = "−"
IN_LINE_OF: Final = {
    "ignition_relay": "relay",
    "voltage_sensing_relay": "relay",
    "diode_isolator": "diode",
    "switch": "switch",
}


@dataclass(frozen=True, slots=True)
class Tagged:
    """One entry of the list beside the drawing: a tag and everything it stands for."""

    tag: str
    title: str
    detail: str


@dataclass(frozen=True, slots=True)
class Slot:
    """A fuse, switch or converter in the end of a conductor."""

    symbol: str
    label: str
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpeakerRow:
    """Speakers under their amplifier."""

    tag: str
    words: str


@dataclass(frozen=True, slots=True)
class Row:
    """A device between the two poles of a station."""

    tag: str
    symbol: str
    title: str
    detail: str
    speakers: tuple[SpeakerRow, ...] = ()


@dataclass(frozen=True, slots=True)
class Station:
    """A location. ``ends`` marks the band that shows where conductors go on, on another sheet."""

    id: str
    title: str
    remark: str
    rows: tuple[Row, ...]
    ends: bool = False


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor between two stations, upper first; slots as met from the station to the lane.

    ``words`` is what stands at its end; ``far`` says, on a sheet where one end is missing, where that end is.
    """

    tag: str
    pole: str
    upper: str
    lower: str
    words: str
    weight: float  # mm, by the area of all its runs
    runs: int
    upper_slots: tuple[Slot, ...] = ()
    lower_slots: tuple[Slot, ...] = ()
    far: str = ""
    is_device: bool = False  # a coupling or a converter, no cable


@dataclass(frozen=True, slots=True)
class Bond:
    """The negative of a station joined to the vehicle's body."""

    tag: str
    station: str
    words: str
    weight: float = 0.6


@dataclass(frozen=True, slots=True)
class Wiring:
    """Everything to draw, and the list that says every tag in full."""

    stations: tuple[Station, ...]
    conductors: tuple[Conductor, ...]
    bonds: tuple[Bond, ...]
    tags: tuple[Tagged, ...]


@dataclass(frozen=True, slots=True)
class _Tags:
    """The tags of a build, and the list of what each stands for."""

    by_path: Mapping[str, str]
    listed: list[Tagged] = field(default_factory=list)

    def new(self, path: str, title: str, detail: str) -> str:
        tag = self.by_path[path]
        self.listed.append(Tagged(tag, plain(title, 200), detail))
        return tag


def wiring(build: Build, remarks: Mapping[str, str] | None = None) -> Wiring:
    """The drawing's view of ``build``.

    Args:
        build: what is fitted; stations keep the order of its locations.
        remarks: words to print in the head of a station, by location.
    """
    tags = _Tags(tags_of(build))
    rows = _rows(build, tags)
    order = list(build.locations)
    conductors: list[Conductor] = []
    bonds: list[Bond] = []
    for cable in build.cables.values():
        tag = tags.new(f"cables.{cable.id}", cable.title, _cable_detail(build, cable))
        if cable.chassis:
            bonds += [Bond(tag, end, f"{tag} {_resistance(cable)}".strip()) for end in (cable.start, cable.end)]
            continue
        conductors.append(_conductor(cable, tag, order, tags))
    conductors += [_coupling(one, order, tags, build) for one in build.couplings.values()]
    conductors += [_converter(one, order, tags, build) for one in build.supplies.values() if is_in_line(build, one.id)]
    stations = tuple(
        Station(one.id, plain(one.title, 120), (remarks or {}).get(one.id, ""), tuple(rows.get(one.id, ())))
        for one in build.locations.values()
    )
    return Wiring(stations, tuple(conductors), tuple(bonds), tuple(sorted(tags.listed, key=_by_tag)))


def _by_tag(one: Tagged) -> tuple[int, int]:
    letter = one.tag.rstrip("0123456789")
    return LETTERS.index(letter), int(one.tag[len(letter) :])


def _place(build: Build, key: str) -> str:
    return plain(build.locations[key].title, 60) if key in build.locations else key


def _rows(build: Build, tags: _Tags) -> dict[str, list[Row]]:
    rows: dict[str, list[Row]] = {}

    def add(at: str, path: str, symbol: str, title: str, detail: str) -> None:
        tag = tags.new(path, title, detail)
        rows.setdefault(at, []).append(Row(tag, symbol, plain(title, 120), detail))

    for supply in build.supplies.values():
        if is_in_line(build, supply.id):
            continue
        volts = ", ".join(dict.fromkeys(stated(one) for one in supply.charging_voltage.values()))
        most = max(
            [a.si for _, a in supply.output_at_shaft] + ([supply.rated_current.si] if supply.rated_current else []),
            default=None,
        )
        detail = " · ".join(part for part in (volts, f"{fixed(most, 0)} A" if most else "") if part)
        add(
            supply.at,
            f"supplies.{supply.id}",
            "alternator" if supply.kind == "alternator" else "charger",
            supply.title,
            detail,
        )
    for battery in build.batteries.values():
        units = f"{battery.parallel} × " if battery.parallel > 1 else ""
        detail = " · ".join(
            part
            for part in (
                word(battery.chemistry),
                f"{units}{stated(battery.capacity)}" if battery.capacity else "",
                say("diagram.cranking", cold_cranking=stated(battery.cold_cranking)) if battery.cold_cranking else "",
            )
            if part
        )
        add(battery.at, f"batteries.{battery.id}", "battery", battery.title, detail)
    for bank in build.capacitor_banks.values():
        cells = say("diagram.in_series", series=bank.series) + (
            say("diagram.in_parallel", parallel=bank.parallel) if bank.parallel > 1 else ""
        )
        add(
            bank.at,
            f"capacitor_banks.{bank.id}",
            "bank",
            bank.title,
            say("diagram.cells_of", capacitance=stated(bank.capacitance), cells=cells),
        )
    if base_at := base_load_at(build):
        loads = [f"{word(state)} {stated(amps)}" for state, amps in build.vehicle.base_load.items()]
        add(base_at, BASE_LOAD, "load", say("diagram.vehicles_own_loads"), " · ".join(loads))
    speakers = {one.id: tags.new(f"speakers.{one.id}", one.title, _speaker(one)) for one in build.speakers.values()}
    for amplifier in build.amplifiers.values():
        most = max((w.si for _, w in amplifier.rated), default=0.0)
        low = min((ohm.si for ohm, _ in amplifier.rated), default=0.0)
        detail = say("diagram.w_at", most=fixed(most, 0), low=f"{low:.3g}")
        tag = tags.new(f"amplifiers.{amplifier.id}", amplifier.title, detail)
        mine = tuple(
            SpeakerRow(speakers[one.id], f"{plain(one.title, 80)} · {_speaker(one)}")
            for one in build.speakers.values()
            if amplifier.id in one.amplifiers
        )
        rows.setdefault(amplifier.at, []).append(Row(tag, "amplifier", plain(amplifier.title, 120), detail, mine))
    return rows


def _speaker(one: Speaker) -> str:
    drivers = f"{one.drivers} × " if one.drivers > 1 else ""
    shared = say("diagram.strapped_pair") if len(one.amplifiers) > 1 else ""
    return f"{drivers}{one.voice_coils} × {stated(one.coil_impedance)}{shared}"


def _conductor(cable: Cable, tag: str, order: list[str], tags: _Tags) -> Conductor:
    upper, lower = sorted((cable.start, cable.end), key=order.index)
    slots: dict[str, list[Slot]] = {upper: [], lower: []}
    for one in cable.fuses.values():
        slots[one.near].append(_fuse(one, cable, tags))
    size = stated(cable.size) if cable.size else say("diagram.size_not_stated")
    runs = f"{cable.runs} × " if cable.runs > 1 else ""
    length = f" · {stated(cable.length)}" if cable.length else ""
    return Conductor(
        tag,
        PLUS if cable.role == "feed" else MINUS,
        upper,
        lower,
        f"{tag} {runs}{size}{length}",
        _weight(cable),
        cable.runs,
        tuple(slots[upper]),
        tuple(slots[lower]),
    )


def _fuse(one: Fuse, cable: Cable, tags: _Tags) -> Slot:
    each = f"{cable.runs} × " if cable.runs > 1 and not one.shared else ""
    breaking = say("diagram.breaks", breaking_capacity=stated(one.breaking_capacity)) if one.breaking_capacity else ""
    distance = say("diagram.from_its_terminal", distance=stated(one.distance)) if one.distance else ""
    near = f" · {stated(one.distance)}" if one.distance else ""
    shared = say("diagram.one_for_all_runs") if one.shared and cable.runs > 1 else ""
    tag = tags.new(
        f"cables.{cable.id}.fuses.{one.id}",
        f"{cable.title}, {one.id.replace('_', ' ')}",
        f"{each}{stated(one.rating)} {word(one.style)}{distance}{breaking}{shared}",
    )
    label = f"{tag} {each}{stated(one.rating)} {word(one.style)}{near}"
    return Slot("breaker" if one.style == "breaker" else "fuse", label, (tag,))


def _coupling(one: Coupling, order: list[str], tags: _Tags, build: Build) -> Conductor:
    symbol = IN_LINE_OF[one.kind]
    rated = f", {stated(one.continuous)}" if one.continuous else ""
    detail = say(
        "diagram.coupling_detail",
        kind=word(one.kind),
        rated=rated,
        start=_place(build, one.start),
        end=_place(build, one.end),
    )
    tag = tags.new(f"couplings.{one.id}", one.title, detail)
    upper, lower = sorted((one.start, one.end), key=order.index)
    slot = Slot(symbol, tag, (tag,))
    at_lower = one.end == lower
    return Conductor(
        tag,
        PLUS,
        upper,
        lower,
        f"{tag} {word(one.kind)}",
        0.6,
        1,
        () if at_lower else (slot,),
        (slot,) if at_lower else (),
        is_device=True,
    )


def _converter(one: Supply, order: list[str], tags: _Tags, build: Build) -> Conductor:
    ends = say("diagram.converter_ends", input_from=_place(build, one.input_from), at=_place(build, one.at))
    tag = tags.new(
        f"supplies.{one.id}",
        one.title,
        say("diagram.converter_detail", kind=word(one.kind), rated_current=stated(one.rated_current), ends=ends),
    )
    rated = f" {stated(one.rated_current)}" if one.rated_current else ""
    slot = Slot("converter", f"{tag}{rated}", (tag,))
    upper, lower = sorted((one.input_from, one.at), key=order.index)
    at_lower = lower == one.at
    above, below = ((), (slot,)) if at_lower else ((slot,), ())
    return Conductor(tag, PLUS, upper, lower, say("diagram.converter", tag=tag), 0.6, 1, above, below, is_device=True)


def _weight(cable: Cable) -> float:
    area = (cable.size.si if cable.size else 0.0) * cable.runs
    return 0.3 if area < 35e-6 else 0.7 if area <= 70e-6 else 1.15


def _resistance(cable: Cable) -> str:
    return stated(cable.resistance) if cable.resistance else ""


def _cable_detail(build: Build, cable: Cable) -> str:
    ends = say("diagram.cable_ends", start=_place(build, cable.start), end=_place(build, cable.end))
    if cable.chassis:
        return say("diagram.vehicle_body", ends=ends) + (f", {_resistance(cable)}" if cable.resistance else "")
    runs = f"{cable.runs} × " if cable.runs > 1 else ""
    length = f", {stated(cable.length)}" if cable.length else ""
    size = stated(cable.size) if cable.size else say("diagram.size_not_stated")
    return f"{cable.role}, {runs}{size} {word(cable.material)}{length}, {ends}"
