"""Every way to go: the build, its options, and the rows nobody has to write."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType

from dossier.assessment.proof.ripple_readings import carried_over
from dossier.buildfile.model import Build, Cable, Engine, Quantity
from dossier.buildfile.quantities import parse
from dossier.buildfile.reader import option_build
from dossier.equipment.buses import path_between
from dossier.equipment.charging import engine_speed
from dossier.equipment.installed import home
from dossier.frozen import dataclass
from dossier.reader.said import joined, sentence, to_buy

# Sizes on sale: IEC 60228 (not checked against the document) in mm2, and the American gauges the trade stocks.
METRIC = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0, 185.0, 240.0)
GAUGES = ("14", "12", "10", "8", "6", "4", "2", "1/0", "2/0", "4/0")
RAISED_IDLE_RPM = 300.0  # common practice with idle-up controls, no source


@dataclass(frozen=True, slots=True)
class Variant:
    """One way to go; ``kind``: build | option | automatic."""

    id: str
    title: str
    kind: str
    what: str
    build: Build
    mass: float | None = None
    cost: float | None = None
    currency: str = ""


def variants(build: Build) -> tuple[Variant, ...]:
    """The build as it stands, its options in order, then the automatic rows that apply to it."""
    made = [Variant("build", "As it stands", "build", "", build)]
    made += [
        Variant(
            option.id,
            option.title,
            "option",
            ", ".join(str(key).replace("_", " ") for key in option.changes),
            carried_over(build, option_build(build, option.id), option.changes),
            option.mass.si if option.mass else None,
            option.cost.si if option.cost else None,
            option.currency,
        )
        for option in build.options.values()
    ]
    made += [v for v in (_copper(build), _charging_path(build), _raised_idle(build)) if v is not None]
    return tuple(made)


def size_up(size: Quantity, factor: float = 1.0) -> Quantity | None:
    """The next size on sale with more than the area, and at least ``factor`` times it; None beyond the largest."""
    names = [f"{g} AWG" for g in GAUGES] if size.text.endswith("AWG") else [f"{a:g} mm2" for a in METRIC]
    for name in names:
        area = parse("area", name)
        if area > size.si * 1.02 and area >= size.si * factor * 0.98:
            return Quantity(area, name, size.path, size.basis)
    return None


def _resized(build: Build, cables: Iterable[Cable], factor: float) -> tuple[Build, list[str]]:
    changed, words = dict(build.cables), list[str]()
    for cable in cables:
        bigger = None if cable.size is None or cable.resistance is not None else size_up(cable.size, factor)
        if bigger is None or cable.size is None or changed[cable.id] is not cable:
            continue
        changed[cable.id] = replace(cable, size=bigger)
        new = to_buy(bigger.si, bigger.text)
        words.append(sentence("{cable} {old} to {new}", cable=cable.title, old=cable.size.said(), new=new))
    return replace(build, cables=MappingProxyType(changed)), words


def _copper(build: Build) -> Variant | None:
    places = dict.fromkeys(a.at for a in build.amplifiers.values())
    way = [
        cable
        for place in places
        for role in ("feed", "return")
        for cable in path_between(build.cables.values(), home(build), place, role)
    ]
    made, words = _resized(build, way, 1.0)
    if not words:
        return None
    return Variant("one_size_up", "Feed and return one size up", "automatic", joined("; ", words), made)


def _charging_path(build: Build) -> Variant | None:
    way = [
        cable
        for supply in build.supplies.values()
        if supply.kind == "alternator"
        for role in ("feed", "return")
        for cable in path_between(build.cables.values(), supply.at, home(build), role)
    ]
    made, words = _resized(build, way, 2.0)
    if not words:
        return None
    return Variant("charging_path", "The vehicle's own charging path up-rated", "automatic", joined("; ", words), made)


def _raised_idle(build: Build) -> Variant | None:
    if not any(s.kind == "alternator" for s in build.supplies.values()):
        return None
    now = engine_speed(build, Engine("idle", None)).nominal
    raised = Quantity(now + RAISED_IDLE_RPM, f"{now + RAISED_IDLE_RPM:g} rpm", "vehicle.idle")
    made = replace(build, vehicle=replace(build.vehicle, idle=raised))
    words = f"idle {now:.0f} to {raised.si:.0f} r/min"
    return Variant("raised_idle", "A raised idle", "automatic", words, made)
