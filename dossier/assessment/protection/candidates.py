"""Ways to fit a conductor: standard sizes, better insulation, another run, and the fuses each of them asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from typing import Any, Final

from dossier.assessment.conductors.schedule import allowed_current, cautious, needed_rating
from dossier.assessment.protection.coordination import supply_through
from dossier.assessment.protection.cranking import table_for
from dossier.assessment.protection.estimates import fuse_patch
from dossier.assessment.protection.prospective import FaultNet, FaultNets, fuse_fault, with_conductor
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build, Cable, Fuse, Quantity
from dossier.electrical.fuses import next_rating, temperature_rerating
from dossier.equipment.conductors import Conductor, ambient_of, conductor_of
from dossier.findings import conductors as conductor_rules
from dossier.frozen import dataclass
from dossier.reader.said import Measure, joined, sentence, to_buy
from dossier.reader.units import Way
from dossier.reference.conductors import awg_area
from dossier.reference.fuses import CLASSES
from dossier.results.protection import Protection, Reply
from dossier.results.schedule import ConductorRow

METRIC: Final = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)
AWG: Final = ("16", "14", "12", "10", "8", "6", "4", "2", "1", "0", "00", "000", "0000")
AWG_WORDS: Final = {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}
INSULATIONS: Final = (105.0, 125.0)
VOLTAGES: Final = (32.0, 58.0, 80.0)  # V that vehicle fuses are made for; ISO 8820-3 and -5, the last two not checked
PLACED: Final = 0.1  # m from the terminal, inside every distance rule
SPARE: Final = 1.03  # on fault currents: heavier copper elsewhere raises them a little


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to fit a cable: the cables that change, it first, what of them changes as a patch, and the words."""

    cables: tuple[Cable, ...]
    patch: Mapping[str, Mapping[str, Any]]
    words: str


@dataclass(frozen=True, slots=True)
class Candidates:
    """The ways to fit one cable, the least change first.

    Attributes:
        build: the build.
        row: the cable as it is, in the schedule; ``cable`` in the build.
        protection: of the build as it is.
        codes: of the findings to cure.
        nets: networks for fault currents.
        carried: what a changed conductor would carry.
        beyond: fault currents that no fuse to be bought breaks, as they were met [A].
    """

    build: Build
    row: ConductorRow
    cable: Cable
    protection: Protection
    codes: frozenset[str]
    nets: FaultNets
    carried: Callable[[Conductor], tuple[ConductorCurrent, ...]]
    beyond: list[float] = field(default_factory=list)

    def __iter__(self) -> Iterator[Candidate]:
        """Every way, the least change first."""
        yield from self._with_runs(self.cable.runs)
        if self.cable.resistance is None:  # split: one more run, each with its own fuse
            yield from self._with_runs(self.cable.runs + 1)

    def _with_runs(self, runs: int) -> Iterator[Candidate]:
        for area, text in self._sizes():
            for insulation in self._insulations():
                cable = replace(
                    self.cable,
                    runs=runs,
                    size=quantity(area, text, self.cable.size) if area else self.cable.size,
                    insulation=quantity(insulation, f"{insulation:g} degC", self.cable.insulation)
                    if insulation
                    else self.cable.insulation,
                )
                patch: dict[str, Any] = {"size": text} if area else {}
                words: list[str] = [f"{runs} runs"] if runs != self.cable.runs else []
                if words:
                    patch["runs"] = runs
                if area:
                    words.append(sentence("{old} → {new}", old=self.row.size, new=to_buy(area, text)))
                else:
                    words.append(sentence("{old} stays", old=self.row.size))
                if insulation:
                    patch["insulation"] = f"{insulation:g} degC"
                    unread = "if its jacket says {rating} or more: read it, and state only what is printed"
                    said = "insulation {rating}" if self.cable.insulation else unread
                    words.append(sentence(said, rating=Measure("temperature", insulation, Way.UP)))
                told = list(words)
                made = self._made(((cable, patch),), words)
                if made is not None:
                    yield Candidate(made, {cable.id: patch}, joined("; ", words))
                alike = self._alike(cable)
                if alike:
                    patches = {cable.id: {k: v for k, v in patch.items() if k != "fuses"}}
                    words = [w for w in words if w in told]
                    patches |= {one.id: grown for one, grown in alike}
                    made = self._made(((cable, patches[cable.id]), *alike), words)
                    if made is not None:
                        yield Candidate(made, patches, joined("; ", words))

    def _made(self, grown: tuple[tuple[Cable, dict[str, Any]], ...], words: list[str]) -> tuple[Cable, ...] | None:
        """Cables that change together, each with its fuses; their patches and the words are added to."""
        build = replace(self.build, cables={**self.build.cables, **{c.id: c for c, _ in grown}})
        nets = self.nets
        for cable, _ in grown:
            nets = with_conductor(nets, conductor_of(build, cable))
        made = []
        for cable, patch in grown:
            if cable.id != self.cable.id:
                words.append(sentence("{title} alike", title=cable.title))
            fused = self._fused(build, nets, cable, patch, words) if cable.role == "feed" else cable
            if fused is None:
                return None
            made.append(fused)
        return tuple(made)

    def _alike(self, made: Cable) -> tuple[tuple[Cable, dict[str, Any]], ...]:
        """What grows with a feed, and what of each changes: a fault's current, or an alternator's, is the same in it.

        The one return between the same places; of an alternator's lead every lead and strap of that place.
        """
        if made.role != "feed" or made.size is None:
            return ()
        ends = {made.start, made.end}
        beside = [self.build.cables[id_] for id_ in together(self.build, made) if id_ != made.id]
        if not beside:
            beside = [c for c in self.build.cables.values() if c.role == "return" and {c.start, c.end} == ends]
            beside = [c for c in beside if c.size is not None and c.resistance is None] if len(beside) == 1 else []
        found = []
        for old in beside:
            told: dict[str, Any] = {}
            if old.size is not None and made.size.si > old.size.si * 1.001:
                told["size"] = made.size.text
            if made.insulation and (old.insulation is None or made.insulation.si > old.insulation.si):
                told["insulation"] = made.insulation.text
            if made.runs > old.runs:
                told["runs"] = made.runs
            grown = replace(
                old,
                size=made.size if "size" in told else old.size,
                insulation=made.insulation if "insulation" in told else old.insulation,
                runs=max(made.runs, old.runs),
            )
            if told or old.role == "feed":
                found.append((grown, told))
        return tuple(found)

    def _sizes(self) -> Iterator[tuple[float | None, str]]:
        assert self.cable.size is not None  # asked before
        yield None, self.cable.size.text
        if self.cable.resistance is not None:  # stated as a whole: a new size would not change it
            return
        here = self.cable.size.si * 1.001
        gauge = "AWG" in self.cable.size.text
        sizes = (
            [(awg_area(n), f"{AWG_WORDS.get(n, n)} AWG") for n in AWG]
            if gauge
            else [(mm2 * 1e-6, f"{mm2:g} mm2") for mm2 in METRIC]
        )
        yield from ((area, text) for area, text in sizes if area > here)

    def _insulations(self) -> Iterator[float | None]:
        stated = self.cable.insulation.si if self.cable.insulation else None
        if stated is not None:
            yield None
        yield from (rating for rating in INSULATIONS if stated is None or rating > stated)

    def _fused(
        self, build: Build, nets: FaultNets, cable: Cable, patch: dict[str, Any], words: list[str]
    ) -> Cable | None:
        """The cable with fuses where they are needed and as they are needed; None if no rating fits."""
        conductor = conductor_of(build, cable)
        limits = allowed_current(conductor)
        if limits is None or limits.allowed <= 0.0:
            return None
        allowed = cautious(conductor, limits) or limits.allowed
        currents = self.carried(conductor)
        fuses: dict[str, Fuse] = {}
        for fuse in (*cable.fuses.values(), *self._missing(cable)):
            new = fuse.id not in cable.fuses
            made = self._fuse(build, nets.likely, cable, fuse, allowed, currents, new=new)
            if made is None:
                return None
            fuses[fuse.id] = made
        changed = replace(cable, fuses=fuses)
        whole = conductor_of(build, changed)
        nets = with_conductor(nets, whole)
        for id_, fuse in fuses.items():
            fault = fuse_fault(nets, whole, fuse.near, shared=fuse.shared)
            least = max(fault.most * SPARE, table_for(self.build, fuse.near) or 0.0)
            breaking = fuse.breaking_capacity
            enough = breaking is not None and breaking.si >= least
            final = fuse if enough else self._breaking(fuse, least, allowed)
            if final is None:
                self.beyond.append(least)
                return None
            fuses[id_] = final
            told = fuse_patch(cable.fuses.get(id_), final)
            if told:
                patch.setdefault("fuses", {})[id_] = told
                words.append(self._in_words(final))
        return replace(cable, fuses=fuses)

    def _in_words(self, fuse: Fuse) -> str:
        style, place = fuse.style.replace("_", "-"), self.build.locations[fuse.near].title
        away = ", {distance} from {place}" if fuse.distance else " near {place}"
        holder = f", in a holder for {fuse.holder_rating.si:g} A or more" if fuse.holder_rating else ""
        volts = f", made for {fuse.rated_voltage.si:g} V" if fuse.rated_voltage else ""
        breaking = f", breaking {fuse.breaking_capacity.si / 1000:g} kA or more" if fuse.breaking_capacity else ""
        return sentence(
            "fuse {id} {rating:g} A, {style}" + away + "{breaking}{holder}{volts}",
            holder=holder,
            volts=volts,
            id=fuse.id,
            rating=fuse.rating.si,
            style=style,
            place=place,
            breaking=breaking,
            distance=Measure("distance", fuse.distance.si, Way.DOWN) if fuse.distance else "",
        )

    def _missing(self, cable: Cable) -> Iterator[Fuse]:
        """A fuse for every end that needs one."""
        open_ends = {
            e.location
            for e in self.protection.ends
            if e.cable == cable.id and e.answer.verdict != Reply.YES and not e.self_limiting
        }
        if any(code == conductor_rules.PARALLEL.code for code in self.codes):
            open_ends |= {cable.start, cable.end} - {f.near for f in cable.fuses.values()}
        for place in (cable.start, cable.end):
            if place in open_ends:
                name = f"at_{place}"[:40]
                while name in cable.fuses:
                    name = f"{name[:37]}_2"
                yield Fuse(name, place, None, "bolt_in", Quantity(0.0, "", ""), None, None, False)

    def _fuse(
        self,
        build: Build,
        net: FaultNet,
        cable: Cable,
        fuse: Fuse,
        allowed: float,
        currents: tuple[ConductorCurrent, ...],
        *,
        new: bool,
    ) -> Fuse | None:
        share = 1.0 if fuse.shared else 1.0 / cable.runs
        air = ambient_of(self.build, fuse.near).nominal
        needed = needed_rating(currents, share, air) * 1.001
        supply = supply_through(build, net, cable, fuse)
        wanted = max(needed, supply / max(temperature_rerating(air), 1e-3), 1.0)
        if not new and wanted <= fuse.rating.si <= allowed:
            made = fuse
        else:
            style = fuse.style
            rating = next_rating(wanted, style)
            if new:  # nothing is gained by a fuse smaller than what the conductor allows for its load
                rating = next_rating(max(wanted, 0.5 * allowed), style) or rating
            if rating is None or rating > allowed:
                rating = next_rating(wanted, style)
            if rating is None or rating > allowed:
                style = "cartridge" if wanted > 30.0 else "blade"
                rating = next_rating(wanted, style)
            if rating is None or rating > allowed:
                return None
            made = replace(
                fuse,
                style=style,
                rating=quantity(rating, f"{rating:g} A", fuse.rating),
                resistance=None,
                opens_within=(),
                holds_for=(),
                holder_rating=None,
            )
        placed = self.protection.fuses
        verdict = next((c.placed.verdict for c in placed if c.cable == cable.id and c.fuse == fuse.id), Reply.NO)
        if verdict != Reply.YES:
            near = min(PLACED, 0.5 * cable.length.si) if cable.length else PLACED
            made = replace(made, distance=quantity(near, f"{near * 1000:g} mm", fuse.distance))
        if fuse.holder_rating is not None and (made.holder_rating is None or made.holder_rating.si < made.rating.si):
            made = replace(made, holder_rating=quantity(made.rating.si, made.rating.text, fuse.holder_rating))
        if made.rated_voltage is not None and made.rated_voltage.si < self.nets.highest:
            volts = next((v for v in VOLTAGES if v > self.nets.highest), VOLTAGES[-1])
            made = replace(made, rated_voltage=quantity(volts, f"{volts:g} V", made.rated_voltage))
        return made

    def _breaking(self, fuse: Fuse, least: float, allowed: float) -> Fuse | None:
        """The fuse as one that breaks a current [A], of its own style first; None where none can be bought."""
        enough = [made for made in CLASSES if made.current >= least]
        for made in sorted(enough, key=lambda made: made.style != fuse.style):
            rating = fuse.rating.si if made.style == fuse.style else next_rating(fuse.rating.si, made.style)
            if rating is not None and rating <= allowed and made.smallest <= rating <= made.largest:
                return replace(
                    fuse,
                    style=made.style,
                    rating=quantity(rating, f"{rating:g} A", fuse.rating) if rating != fuse.rating.si else fuse.rating,
                    breaking_capacity=quantity(made.current, f"{made.current / 1000:g} kA", fuse.breaking_capacity),
                )
        return None


def together(build: Build, cable: Cable) -> tuple[str, ...]:
    """The leads and straps of an alternator that share its current with a cable, which is one of them; or itself."""
    stores = {thing.at for things in (build.batteries, build.capacitor_banks) for thing in things.values()}
    made = {s.at for s in build.supplies.values() if s.kind == "alternator"} - stores
    places = made & {cable.start, cable.end}
    shares = [c for c in build.cables.values() if places & {c.start, c.end}]
    found = tuple(c.id for c in shares if c.size is not None and c.resistance is None and not c.chassis)
    return found if cable.id in found else (cable.id,)


def quantity(si: float, text: str, like: Quantity | None) -> Quantity:
    """A new quantity in the place of another."""
    return Quantity(si, text, like.path if like else "")
