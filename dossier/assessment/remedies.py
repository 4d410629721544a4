"""What would pass: the smallest standard size and the fuses that satisfy every question, as a patch to apply.

Every candidate is judged by the same rules as the build itself, with the currents it would carry; the patch is only
offered when the findings of the conductor are gone and nothing else is worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from dossier.assessment.coordination import ASKED_STEPS, asked, fuse_checks, supply_through
from dossier.assessment.estimates import VOLTS, fuse_patch, hidden, loop_resistance, most_flow
from dossier.assessment.exposure import ends
from dossier.assessment.heating import ConductorCurrent
from dossier.assessment.prospective import FaultNets, fuse_fault, with_conductor
from dossier.assessment.schedule import allowed_current, conductor_row, needed_rating
from dossier.buildfile.model import Cable, Fuse, Quantity
from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.fuses import next_rating, temperature_rerating
from dossier.equipment.conductors import Conductor, ambient_of, conductor_of
from dossier.findings import conductors as conductor_rules
from dossier.findings import fuses as fuse_rules
from dossier.findings.rule import Subject
from dossier.reader.said import Measure, joined, sentence, to_buy
from dossier.reader.units import Way
from dossier.reference.conductors import awg_area
from dossier.reference.fuses import BREAKING_CAPACITY
from dossier.results.protection import Protection, Remedy

CURABLE: Final = frozenset(
    rule.code
    for rule in (
        conductor_rules.OVERLOADED,
        conductor_rules.INSULATION,
        conductor_rules.UNKNOWN_AMPACITY,
        conductor_rules.UNPROTECTED,
        conductor_rules.SELF_LIMITING,
        conductor_rules.RETURN_SMALL,
        conductor_rules.PARALLEL,
        fuse_rules.ABOVE,
        fuse_rules.BELOW_LOAD,
        fuse_rules.BELOW_OUTPUT,
        fuse_rules.BREAKING,
        fuse_rules.BREAKING_UNKNOWN,
        fuse_rules.FAR,
        fuse_rules.PLACE_UNKNOWN,
        fuse_rules.SURVIVES_NOT,
        fuse_rules.HOLDER,
    )
)
METRIC: Final = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)
AWG: Final = ("16", "14", "12", "10", "8", "6", "4", "2", "1", "0", "00", "000", "0000")
AWG_WORDS: Final = {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}
INSULATIONS: Final = (105.0, 125.0)
PLACED: Final = 0.1  # m from the terminal, inside every distance rule
MARGIN: Final = 1.06  # on estimated currents

Currents = Mapping[str, tuple[ConductorCurrent, ...]]


def remedies(
    subject: Subject, nets: FaultNets, currents: Currents, findings: tuple[Diagnostic, ...]
) -> tuple[Remedy, ...]:
    """One remedy per conductor that has a curable finding of caution or stop."""
    wrong: dict[str, list[Diagnostic]] = {}
    for finding in findings:
        if finding.code in CURABLE and finding.severity >= Severity.CAUTION and finding.path.startswith("cables."):
            wrong.setdefault(finding.path.split(".")[1], []).append(finding)
    return tuple(_Search(subject, nets, currents, id_, found).remedy() for id_, found in wrong.items())


def with_remedies(findings: tuple[Diagnostic, ...], found: tuple[Remedy, ...]) -> tuple[Diagnostic, ...]:
    """The findings, those with a remedy naming it with its numbers instead of the rule's general cure."""
    cures = {key: remedy for remedy in found for key in remedy.cures}
    told = []
    for finding in findings:
        remedy = cures.get((finding.code, finding.path))
        if remedy is None:
            told.append(finding)
        elif remedy.patch is None:
            told.append(replace(finding, fix=joined("; ", (finding.fix, remedy.words))))
        else:
            told.append(replace(finding, fix=sentence("would pass: {words}", words=remedy.words)))
    return tuple(told)


@dataclass(frozen=True, slots=True)
class _Candidate:
    """One way to fit a cable: the cable, what of it changes as a patch, and the words."""

    cable: Cable
    patch: dict[str, Any]
    words: str


class _Search:
    """The search for one conductor."""

    def __init__(
        self, subject: Subject, nets: FaultNets, currents: Currents, cable: str, found: list[Diagnostic]
    ) -> None:
        self.subject, self.nets, self.currents = subject, nets, currents
        self.build, self.cable = subject.build, subject.build.cables[cable]
        self.found = found
        self.row = next(row for row in subject.schedule if row.id == cable)
        self.codes = {(f.code, f.path) for f in found}
        self.before = _worst(_rules(subject))

    def remedy(self) -> Remedy:
        """The first candidate that passes, or none."""
        cures = tuple(sorted(self.codes))
        if self.cable.size is not None and not self.cable.chassis:
            for candidate in self._candidates():
                drop = self._passes(candidate)
                if drop is not None:
                    patch = {"cables": {self.cable.id: candidate.patch}}
                    return Remedy(self.cable.id, self.cable.title, cures, candidate.words, patch, self.row.drop, drop)
        words = "none: shorten, split or relocate; no standard size and fuse satisfies every question"
        return Remedy(self.cable.id, self.cable.title, cures, words, None, self.row.drop, None)

    # --- candidates -------------------------------------------------------------------------------------------

    def _candidates(self) -> Iterator[_Candidate]:
        yield from self._with_runs(self.cable.runs)
        if self.cable.resistance is None:  # split: one more run, each with its own fuse
            yield from self._with_runs(self.cable.runs + 1)

    def _with_runs(self, runs: int) -> Iterator[_Candidate]:
        for area, text in self._sizes():
            for insulation in self._insulations():
                cable = replace(
                    self.cable,
                    runs=runs,
                    size=_quantity(area, text, self.cable.size) if area else self.cable.size,
                    insulation=_quantity(insulation, f"{insulation:g} degC", self.cable.insulation)
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
                    words.append(sentence("insulation {rating}", rating=Measure("temperature", insulation, Way.UP)))
                fused = self._fused(cable, patch, words) if cable.role == "feed" else cable
                if fused is not None:
                    yield _Candidate(fused, patch, joined("; ", words))

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

    def _fused(self, cable: Cable, patch: dict[str, Any], words: list[str]) -> Cable | None:
        """The cable with fuses where they are needed and as they are needed; None if no rating fits."""
        conductor = conductor_of(self.build, cable)
        limits = allowed_current(conductor)
        if limits is None or limits.allowed <= 0.0:
            return None
        currents = self._carried(conductor)
        fuses: dict[str, Fuse] = {}
        for fuse in (*cable.fuses.values(), *self._missing(cable)):
            new = fuse.id not in cable.fuses
            made = self._fuse(cable, fuse, limits.allowed, currents, new=new)
            if made is None:
                return None
            fuses[fuse.id] = made
        changed = replace(cable, fuses=fuses)
        nets = with_conductor(self.nets, conductor_of(self.build, changed))
        for id_, fuse in fuses.items():
            fault = fuse_fault(nets, conductor_of(self.build, changed), fuse.near, shared=fuse.shared)
            asks = asked(fault.most * 1.03)
            breaking = fuse.breaking_capacity
            if breaking is None or breaking.si < fault.most * 1.03:
                fuses[id_] = self._breaking(fuse, asks)
            final = fuses[id_]
            told = fuse_patch(cable.fuses.get(id_), final)
            if told:
                patch.setdefault("fuses", {})[id_] = told
                words.append(self._in_words(final))
        return replace(cable, fuses=fuses)

    def _in_words(self, fuse: Fuse) -> str:
        style, place = fuse.style.replace("_", "-"), self.build.locations[fuse.near].title
        away = ", {distance} from {place}" if fuse.distance else " near {place}"
        breaking = f", breaking {fuse.breaking_capacity.si / 1000:g} kA or more" if fuse.breaking_capacity else ""
        return sentence(
            "fuse {id} {rating:g} A, {style}" + away + "{breaking}",
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
            for e in self.subject.protection.ends
            if e.cable == cable.id and e.answer.verdict != "yes" and "limits itself" not in e.answer.words
        }
        if any(code == conductor_rules.PARALLEL.code for code, _ in self.codes):
            open_ends |= {cable.start, cable.end} - {f.near for f in cable.fuses.values()}
        for place in (cable.start, cable.end):
            if place in open_ends:
                name = f"at_{place}"[:40]
                while name in cable.fuses:
                    name = f"{name[:37]}_2"
                yield Fuse(name, place, None, "bolt_in", Quantity(0.0, "", ""), None, None, False)

    def _fuse(
        self, cable: Cable, fuse: Fuse, allowed: float, currents: tuple[ConductorCurrent, ...], *, new: bool
    ) -> Fuse | None:
        share = 1.0 if fuse.shared else 1.0 / cable.runs
        air = ambient_of(self.build, fuse.near).nominal
        needed = needed_rating(currents, share, air) * 1.001
        supply = supply_through(self.build, cable, fuse)
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
                rating=_quantity(rating, f"{rating:g} A", fuse.rating),
                resistance=None,
                opens_within=(),
                holds_for=(),
                holder_rating=None,
            )
        placed = self.subject.protection.fuses
        verdict = next((c.placed.verdict for c in placed if c.cable == cable.id and c.fuse == fuse.id), "no")
        if verdict != "yes":
            near = min(PLACED, 0.5 * cable.length.si) if cable.length else PLACED
            made = replace(made, distance=_quantity(near, f"{near * 1000:g} mm", fuse.distance))
        if made.holder_rating is not None and made.holder_rating.si < made.rating.si:
            made = replace(made, holder_rating=None)
        return made

    def _breaking(self, fuse: Fuse, asks: float) -> Fuse:
        published = BREAKING_CAPACITY[fuse.style].current
        style = fuse.style
        if published is not None and asks > max(published, ASKED_STEPS[3]) and fuse.style in ("blade", "strip"):
            style = "cartridge" if next_rating(fuse.rating.si, "cartridge") == fuse.rating.si else style
        return replace(
            fuse, style=style, breaking_capacity=_quantity(asks, f"{asks / 1000:g} kA", fuse.breaking_capacity)
        )

    # --- judging ----------------------------------------------------------------------------------------------

    def _carried(self, conductor: Conductor) -> tuple[ConductorCurrent, ...]:
        """Estimated currents of the changed conductor: the divider of its loop, with what a shut-down has hidden."""
        old = self.subject.fit.conductors[conductor.id].resistance
        new = conductor.resistance
        rest = loop_resistance(self.nets, conductor.id)
        before = self.currents[conductor.id]
        if abs(new / old - 1.0) < 1e-9:
            return before
        largest = max((c.rms for c in before), default=0.0)
        unheard = hidden(self.subject)
        factor = max(1.0, (rest + old) / (rest + new)) * (1.0 + largest * abs(old - new) / VOLTS) * unheard
        if largest > 0.0:  # no more than everything that is drawn, or everything that charges
            factor = min(factor, max(most_flow(self.subject) * unheard / largest, 1.0))
        factor *= MARGIN
        return tuple(replace(c, mean=c.mean * factor, rms=c.rms * factor, peak=c.peak * factor) for c in before)

    def _passes(self, candidate: _Candidate) -> float | None:
        """Drop of the candidate at its peak current [V], None if it does not pass."""
        cables = {**self.build.cables, self.cable.id: candidate.cable}
        build = replace(self.build, cables=cables)
        conductor = conductor_of(build, candidate.cable)
        fit = replace(self.subject.fit, conductors={**self.subject.fit.conductors, conductor.id: conductor})
        currents = {**self.currents, conductor.id: self._carried(conductor)}
        row = conductor_row(build, conductor, currents[conductor.id])
        if row.allowed is None or conductor_rules.carried(row) > row.allowed:
            return None
        schedule = tuple(row if r.id == row.id else r for r in self.subject.schedule)
        rows = {r.id: r for r in schedule}
        nets = with_conductor(self.nets, conductor)
        judged = Protection(fuses=fuse_checks(build, fit, nets, rows, currents), ends=ends(build, fit, rows))
        after = _worst(_rules(replace(self.subject, build=build, fit=fit, schedule=schedule, protection=judged)))
        if any(key in after for key in self.codes):
            return None
        worst = max(f.severity for f in self.found)
        for key, severity in after.items():
            if key not in self.before and (severity > worst or (severity == worst and key[0] in CURABLE)):
                return None
            if key in self.before and severity > self.before[key]:
                return None
        return row.drop


def _rules(subject: Subject) -> list[Diagnostic]:
    return [*conductor_rules.findings(subject), *(f for c in subject.protection.fuses for f in fuse_rules.of_fuse(c))]


def _worst(findings: list[Diagnostic]) -> dict[tuple[str, str], Severity]:
    """Code and path -> worst severity: both ends of a conductor may have the same finding."""
    worst: dict[tuple[str, str], Severity] = {}
    for finding in findings:
        key = (finding.code, finding.path)
        worst[key] = max(finding.severity, worst.get(key, Severity.OK))
    return worst


def _quantity(si: float, text: str, like: Quantity | None) -> Quantity:
    return Quantity(si, text, like.path if like else "")
