"""What every end of a feed is exposed to, and which of two fuses opens first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from dossier.assessment.protection.clearing import curve
from dossier.buildfile.model import Build, Fuse
from dossier.electrical.fuses import clearing_time
from dossier.equipment.feeding import Feeder, joined, let_through, reaching
from dossier.equipment.fitted import Fitted
from dossier.reference import placement
from dossier.reference.fuses import SELECTIVITY_RATIO
from dossier.results.protection import Answer, ConductorEnd, FuseCheck, Reply, Selectivity
from dossier.results.schedule import ConductorRow


def ends(build: Build, fit: Fitted, rows: Mapping[str, ConductorRow]) -> tuple[ConductorEnd, ...]:
    """Both ends of every feed: what reaches it there past every fuse that would protect it."""
    return tuple(
        conductor_end(build, rows[c.id], place)
        for c in fit.conductors.values()
        if c.cable.role == "feed"
        for place in (c.cable.start, c.cable.end)
    )


def conductor_end(build: Build, row: ConductorRow, location: str) -> ConductorEnd:
    """One end of one feed."""
    allowed, best = row.allowed or 0.0, row.allowed_at_best or 0.0  # of one run: a fault need not be in all of them
    title = build.locations[location].title

    def made(verdict: Reply, words: str, found: list[Feeder], *, limited: bool = False) -> ConductorEnd:
        names = tuple(dict.fromkeys(f.title for f in found))
        answer = Answer(verdict, words)
        return ConductorEnd(row.id, row.title, location, title, answer, names, row.allowed or 0.0, limited)

    if any(f.near == location for f in row.fuses):
        return made(Reply.YES, "fuse at this end", [])
    feeding = reaching(build, row.id, location)
    # What flows for long: through the fuses on the way, or from a source that limits itself
    lasting = {f: min(f.through or float("inf"), f.limit if f.limit is not None else float("inf")) for f in feeding}
    beyond = [f for f in feeding if lasting[f] > allowed]
    if not feeding:
        return made(Reply.YES, "nothing feeds it from here", [])
    if not beyond and any(f.limit is None for f in feeding):
        # each way by itself would do, all of them side by side may not
        stores, every = (let_through(build, row.id, location, limited=limited) for limited in (False, True))
        if every > allowed:
            verdict = Reply.NO if stores > placement.RATING_LIMIT_FRACTION * best else Reply.MAYBE
            return made(verdict, f"side by side the ways to it let {every:.0f} A through", list(feeding))
    if not beyond:
        limited = [f for f in feeding if f.limit is not None and f.through is None]
        if limited and len(limited) == len(feeding):
            total = sum(f.limit or 0.0 for f in limited)
            if total <= allowed:
                return made(Reply.YES, f"what feeds it limits itself to {total:.0f} A", [])
            return made(Reply.MAYBE, f"what feeds it limits itself to {total:.0f} A", limited, limited=True)
        return made(Reply.YES, "a fuse on the way protects it", [])
    open_ = [f for f in beyond if lasting[f] > placement.RATING_LIMIT_FRACTION * best]
    free = [f for f in open_ if f.limit is None]
    if free:
        through = max((f.through or 0.0) for f in free)
        some = all(f.through is not None for f in free)
        words = f"fuses on the way let {through:.0f} A through" if some else "no fuse on the way"
        return made(Reply.NO, words, free)
    if all(f.limit is not None and lasting[f] == f.limit for f in beyond):
        most = max(f.limit or 0.0 for f in beyond)
        return made(Reply.MAYBE, f"a source that limits itself to {most:.0f} A", beyond, limited=True)
    return made(Reply.MAYBE, f"fuses on the way let {max(lasting[f] for f in beyond):.0f} A through", beyond)


def selectivities(build: Build, checks: tuple[FuseCheck, ...]) -> tuple[Selectivity, ...]:
    """Pairs of a fuse and the fuses of the branches that its conductor ends in."""
    found = []
    for main in checks:
        cable = build.cables[main.cable]
        far = cable.end if cable.start == main.near else cable.start
        bus = {far} | {p for c in build.couplings.values() if far in (c.start, c.end) for p in (c.start, c.end)}
        for branch in checks:
            if (
                branch.cable == main.cable
                or branch.near not in bus
                or main.near in joined_without(build, main.cable, far)
            ):
                continue
            found.append(_selectivity(build, main, branch))
    return tuple(found)


def joined_without(build: Build, cable: str, location: str) -> set[str]:
    """The bus of a location if one cable were not there."""
    rest = {id_: c for id_, c in build.cables.items() if id_ != cable}
    return joined(replace(build, cables=rest), location)


def _selectivity(build: Build, main: FuseCheck, branch: FuseCheck) -> Selectivity:
    def fuse(check: FuseCheck) -> Fuse:
        return build.cables[check.cable].fuses[check.fuse]

    runs = build.cables[main.cable].runs if not fuse(main).shared else 1
    ratio = main.rating * runs / branch.rating
    names = (f"{main.cable_title}, {main.fuse}", f"{branch.cable_title}, {branch.fuse}")
    shortest, longest = curve(fuse(main).holds_for), curve(fuse(branch).opens_within)
    if shortest and longest:
        worst = None
        for step in range(1, 41):
            current = branch.rating * 1.35 * (max(branch.most / (branch.rating * 1.35), 1.01)) ** (step / 40)
            opens = clearing_time(current, 1.0, longest)
            holds = clearing_time(current / runs, 1.0, shortest)
            unsure = opens is None  # below its points a branch is not known to open
            if holds is not None and (unsure or holds <= (opens or 0.0)):
                worst = current
                break
        if worst is None:
            return Selectivity(
                *names, ratio, Answer(Reply.YES, "by the points of both data sheets, over the currents they cover")
            )
        return Selectivity(
            *names, ratio, Answer(Reply.NO, f"by the data sheets the main may open first from {worst:.0f} A")
        )
    likely = "likely" if ratio >= SELECTIVITY_RATIO else "unlikely"
    return Selectivity(
        *names, ratio, Answer(Reply.NOT_JUDGED, f"{likely} at {ratio:.1f}:1 by recalled bands, not guaranteed")
    )
