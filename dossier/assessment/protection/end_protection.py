"""What every end of a feed is exposed to, and which of two fuses opens first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import inf
from typing import Final

from dossier.assessment.protection.clearing import curve
from dossier.assessment.protection.prospective import FAULT, FaultNet
from dossier.buildfile.model import Build, Fuse
from dossier.electrical.fuses import clearing_time
from dossier.equipment.feeding import Feeder, joined, let_through, reaching
from dossier.equipment.installed import Installed
from dossier.reader.promised import down, load_a
from dossier.reference import placement
from dossier.reference.fuses import SELECTIVITY_RATIO
from dossier.results.protection import Answer, ConductorEnd, FuseCheck, Reply, Selectivity
from dossier.results.schedule import ConductorRow

LEAST_PART: Final = 0.05  # of a branch's fault, that is worth judging a fuse by


@dataclass(frozen=True, slots=True)
class Exposure:
    """What can feed a fault in one run of a feed from one of its ends; currents that can last [A].

    Attributes:
        fused: the run has a fuse at this end.
        cranks: the run leads from a battery that starts the engine to the starter, and to nothing that plays.
        feeders: every source that reaches the end, over the way with the largest fuses; ``lasting`` what of each can
            last: the smaller of those fuses and of what a source limits itself to.
        allowed, best: of one run (a fault need not be in all of them), as assumed and if all not stated is favourable.
        beside: what every feed that leaves this place may carry, all runs.
        together, stores: what all feeders let through side by side, and what those do that limit nothing.
    """

    fused: bool
    cranks: bool
    feeders: tuple[Feeder, ...]
    allowed: float
    best: float
    beside: float
    together: float
    stores: float

    def lasting(self, feeder: Feeder) -> float:
        """What can last of one feeder [A]."""
        return min(feeder.through or inf, feeder.limit if feeder.limit is not None else inf)

    @property
    def beyond(self) -> tuple[Feeder, ...]:
        """Feeders of which each by itself lasts above what the run may carry."""
        return tuple(f for f in self.feeders if self.lasting(f) > self.allowed)

    @property
    def unprotected(self) -> tuple[Feeder, ...]:
        """Of these the stores that no fuse keeps to what 33 CFR 183.455 accepts for short circuits, 150 %."""
        return tuple(f for f in self.beyond if f.limit is None and self.lasting(f) > self.shorted)

    @property
    def shorted(self) -> float:
        """The largest rating that is accepted for short circuits alone [A]."""
        return placement.RATING_LIMIT_FRACTION * self.best

    @property
    def limiting(self) -> tuple[Feeder, ...]:
        """Feeders that keep their current by themselves, with no smaller fuse on the way."""
        return tuple(f for f in self.feeders if f.limit is not None and self.lasting(f) == f.limit)

    @property
    def limited(self) -> float:
        """What those give together [A]."""
        return sum(f.limit or 0.0 for f in self.limiting)

    @property
    def only_limiting(self) -> bool:
        """Whether whatever is not kept low by a fuse on the way limits itself."""
        return bool(self.limiting) and set(self.beyond) <= set(self.limiting)

    @property
    def stores_reach(self) -> bool:
        """Whether a battery or bank reaches the end."""
        return any(f.limit is None for f in self.feeders)


@dataclass(frozen=True, slots=True)
class Case:
    """One row of the rule: when it holds, what follows, in which words, and which feeders it names."""

    holds: Callable[[Exposure], bool]
    verdict: Reply
    words: Callable[[Exposure], str]
    names: Callable[[Exposure], tuple[Feeder, ...]] = lambda _: ()
    limits_itself: bool = False


# 33 CFR 183.455 (a fuse at the source of power), 46 CFR 111.50-5(a)(3) (none where the device of the larger conductor
# protects it) and 33 CFR 183.460 (none where the conductor carries what a source that limits itself gives). The first
# row that holds decides.
CASES: Final = (
    Case(lambda e: e.fused, Reply.YES, lambda e: "fuse at this end"),
    Case(
        lambda e: e.cranks,
        Reply.YES,
        lambda e: "a cranking conductor: 33 CFR 183.455 and 46 CFR 111.15-25 ask for no fuse",
    ),
    Case(lambda e: not e.feeders, Reply.YES, lambda e: "nothing feeds it from here"),
    Case(
        lambda e: bool(e.unprotected),
        Reply.NO,
        lambda e: "no fuse on the way"
        if any(f.through is None for f in e.unprotected)
        else f"the fuses on the way pass {load_a(max(f.through or 0.0 for f in e.unprotected))} A",
        lambda e: e.unprotected,
    ),
    Case(
        lambda e: e.only_limiting and e.allowed < e.limited <= min(e.beside, e.shorted) and e.stores <= e.shorted,
        Reply.YES,
        lambda e: f"what feeds it limits itself to {load_a(e.limited)} A, which the leads side by side carry",
    ),
    Case(
        lambda e: e.only_limiting and bool(e.beyond),
        Reply.MAYBE,
        lambda e: f"a source that limits itself to {load_a(max(f.limit or 0.0 for f in e.beyond))} A",
        lambda e: e.beyond,
        limits_itself=True,
    ),
    Case(
        lambda e: bool(e.beyond),
        Reply.MAYBE,
        lambda e: f"the fuses on the way pass {load_a(max(e.lasting(f) for f in e.beyond))} A",
        lambda e: e.beyond,
    ),
    Case(
        lambda e: e.stores_reach and e.together > e.allowed and e.stores > e.shorted,
        Reply.NO,
        lambda e: f"the parallel paths to it pass {load_a(e.together)} A together",
        lambda e: e.feeders,
    ),
    Case(
        lambda e: e.stores_reach and e.together > e.allowed,
        Reply.MAYBE,
        lambda e: f"the parallel paths to it pass {load_a(e.together)} A together",
        lambda e: e.feeders,
    ),
    Case(
        lambda e: len(e.limiting) == len(e.feeders) and e.limited > e.allowed,
        Reply.MAYBE,
        lambda e: f"what feeds it limits itself to {load_a(e.limited)} A",
        lambda e: e.limiting,
        limits_itself=True,
    ),
    Case(
        lambda e: len(e.limiting) == len(e.feeders),
        Reply.YES,
        lambda e: f"what feeds it limits itself to {load_a(e.limited)} A",
    ),
    Case(lambda e: True, Reply.YES, lambda e: "a fuse on the way protects it"),
)


def ends(build: Build, fit: Installed, rows: Mapping[str, ConductorRow]) -> tuple[ConductorEnd, ...]:
    """Both ends of every feed: what reaches it there past every fuse that would protect it."""
    return tuple(
        conductor_end(build, rows[c.id], place, rows)
        for c in fit.conductors.values()
        if c.cable.role == "feed"
        for place in (c.cable.start, c.cable.end)
    )


def conductor_end(build: Build, row: ConductorRow, location: str, rows: Mapping[str, ConductorRow]) -> ConductorEnd:
    """One end of one feed, by the first of the cases that holds."""
    exposed = exposure(build, row, location, rows)
    case = next(case for case in CASES if case.holds(exposed))
    return ConductorEnd(
        cable=row.id,
        title=row.title,
        location=location,
        location_title=build.locations[location].title,
        answer=Answer(case.verdict, case.words(exposed)),
        feeders=tuple(dict.fromkeys(f.title for f in case.names(exposed))),
        most_rating=row.allowed or 0.0,
        self_limiting=case.limits_itself,
    )


def exposure(build: Build, row: ConductorRow, location: str, rows: Mapping[str, ConductorRow]) -> Exposure:
    """What can feed a fault in one run of a feed from one of its ends."""
    allowed, best = row.allowed or 0.0, row.allowed_at_best or 0.0
    if any(f.near == location for f in row.fuses):
        return Exposure(True, False, (), allowed, best, 0.0, 0.0, 0.0)
    leaving = (r for r in rows.values() if r.role == "feed" and location in (r.start, r.end))
    stores, together = (let_through(build, row.id, location, limited=limited) for limited in (False, True))
    return Exposure(
        fused=False,
        cranks=row.id in cranking_leads(build),
        feeders=reaching(build, row.id, location),
        allowed=allowed,
        best=best,
        beside=sum((r.allowed or 0.0) * r.runs for r in leaving),
        together=together,
        stores=stores,
    )


def cranking_leads(build: Build) -> frozenset[str]:
    """Feeds without a fuse on the way from a battery that starts the engine to the starter, if nothing there plays."""
    starter = build.vehicle.starter_at
    posts = {b.at for b in build.batteries.values() if b.starts_engine}
    if not starter or starter in posts:
        return frozenset()
    ways = {id_: {c.start, c.end} for id_, c in build.cables.items() if c.role == "feed"}
    beyond = joined(replace(build, cables={i: build.cables[i] for i, e in ways.items() if not e & posts}), starter)
    if any(a.at in beyond for a in build.amplifiers.values()):
        return frozenset()
    found = {i for i, ends_ in ways.items() if not build.cables[i].fuses and ends_ <= beyond | posts and ends_ & beyond}
    while True:  # what leads nowhere, as to an alternator, is no part of the way
        loose = {
            i
            for i in found
            for end in ways[i] - posts - {starter}
            if len({frozenset(ways[j]) for j in found if end in ways[j]}) == 1
        }
        if not loose:
            return frozenset(found)
        found -= loose


def selectivities(build: Build, checks: tuple[FuseCheck, ...], net: FaultNet) -> tuple[Selectivity, ...]:
    """Pairs of a branch's fuse and every fuse on the ways that feed it, by the part of its fault that each carries.

    That part is the largest of any battery alone; trunks side by side share it, fuses in series carry it alike.
    """
    alone = {c.cable: _parts(build, c.cable) for c in checks}
    found = []
    for branch in checks:
        matrix = net.without(f"cables.{branch.cable}", 1.0)  # the fault lies just behind the fuse
        parts: dict[str, float] = {}
        for source in net.sources:
            volts = net.fault(branch.near, matrix, [source])[:, 0]
            total = abs(float(volts[net.nodes[branch.near]] - volts[net.returns[branch.near]])) / FAULT
            for path, a, b, ohms in net.edges.values() if total > 1.0 else ():
                id_ = path.removeprefix("cables.")
                parts[id_] = max(parts.get(id_, 0.0), abs(float(volts[a] - volts[b])) / ohms / total)
        found += [
            _selectivity(build, main, branch, parts[main.cable])
            for main in checks
            if main.cable != branch.cable
            and parts.get(main.cable, 0.0) > LEAST_PART
            and (alone[main.cable] or alone[branch.cable])
        ]
    return tuple(found)


def _parts(build: Build, cable: str) -> bool:
    """Whether nothing but this cable joins its two ends."""
    rest = {id_: c for id_, c in build.cables.items() if id_ != cable}
    return build.cables[cable].end not in joined(replace(build, cables=rest), build.cables[cable].start)


def _selectivity(build: Build, main: FuseCheck, branch: FuseCheck, part: float) -> Selectivity:
    def fuse(check: FuseCheck) -> Fuse:
        return build.cables[check.cable].fuses[check.fuse]

    each = part / (build.cables[main.cable].runs if not fuse(main).shared else 1)
    ratio = main.rating / each / branch.rating
    names = (f"{main.cable_title}, {main.fuse}", f"{branch.cable_title}, {branch.fuse}")
    shortest, longest = curve(fuse(main).holds_for), curve(fuse(branch).opens_within)
    if shortest and longest:
        worst = None
        for step in range(1, 41):
            current = branch.rating * 1.35 * (max(branch.most / (branch.rating * 1.35), 1.01)) ** (step / 40)
            opens = clearing_time(current, 1.0, longest)
            holds = clearing_time(current * each, 1.0, shortest)
            unsure = opens is None  # below its points a branch is not known to open
            if holds is not None and (unsure or holds <= (opens or 0.0)):
                worst = current
                break
        if worst is None:
            return Selectivity(
                *names, ratio, Answer(Reply.YES, "by the points of both data sheets, over the currents they cover")
            )
        return Selectivity(
            *names, ratio, Answer(Reply.NO, f"by the data sheets the main may open first from {down(worst)} A")
        )
    if ratio <= 1.001 and main.style == branch.style:
        words = f"{ratio:.2g}:1 of one style: the main opens first, or both do; no curve is needed to say so"
        return Selectivity(*names, ratio, Answer(Reply.NO, words))
    likely = "likely" if ratio >= SELECTIVITY_RATIO else "unlikely"
    return Selectivity(
        *names, ratio, Answer(Reply.NOT_JUDGED, f"{likely} at {ratio:.1f}:1 by the usual bands, not guaranteed")
    )
