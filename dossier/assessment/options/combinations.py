"""What to buy for a sum: combinations of the written options, which fit, what each one keeps, and what it brings up."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from dossier.assessment.sag.bands import Lows
from dossier.assessment.sag.samples import Progress
from dossier.buildfile.model import Build, Quantity
from dossier.buildfile.options import contradict
from dossier.buildfile.reader import option_build
from dossier.buildfile.source import BuildFileError
from dossier.diagnostic import Diagnostic, Severity
from dossier.frozen import dataclass
from dossier.reader.promised import low_v
from dossier.reader.said import sentence
from dossier.results.options import Combination, OptionRow, WithinBudget
from dossier.results.overview import Results
from dossier.results.sag import OutcomeKind


def changed_findings(own: tuple[Diagnostic, ...], base: tuple[Diagnostic, ...]) -> tuple[tuple[str, ...], ...]:
    """Stops and cautions that appear and disappear against the build as it stands, and the new stops, in words."""

    def grave(findings: tuple[Diagnostic, ...]) -> dict[tuple[str, str], Diagnostic]:
        told = (f for f in findings if not f.path.startswith("measurements.readings."))  # read on the build as it is
        return {(f.code, f.path): f for f in told if f.severity >= Severity.CAUTION}

    mine, theirs = grave(own), grave(base)
    played = {f.path for f in own}
    new = [f for key, f in mine.items() if key not in theirs]
    cures = tuple(
        _said(f)
        for key, f in theirs.items()
        if key not in mine and (not f.path.startswith("load_cases.") or f.path in played)
    )
    stops = tuple(_said(f) for f in new if f.severity >= Severity.STOP)
    return tuple(_said(f) for f in new), cures, stops


def _said(finding: Diagnostic) -> str:
    return sentence("{severity}: {headline}", severity=finding.severity.word, headline=finding.headline)


MOST_PLAYED = 24  # of two options or more: each is a whole computation
TOLD_APART_V = 0.05  # half of what is printed: margins this close are the same

Ids = tuple[str, ...]
Key = tuple[int, float]


@dataclass(frozen=True, slots=True)
class Fitting:
    """Which combinations fit; ``left_out`` says why an option takes no part, or two do not go together."""

    fit: tuple[Ids, ...]
    left_out: tuple[str, ...]


def fitting(build: Build, budget: Quantity) -> Fitting:
    """Every combination of priced options that costs no more than the budget and may be bought together."""
    options = build.options
    said = [f"“{o.title}” is left out: its cost is not stated." for o in options.values() if o.cost is None]
    priced = [id_ for id_, o in options.items() if o.cost is not None]
    apart = set()
    for a, b in combinations(priced, 2):
        if b in options[a].excludes or a in options[b].excludes:
            apart.add((a, b))
            said.append(f"“{options[a].title}” and “{options[b].title}” exclude each other, as stated.")
        elif contradict(build.tree, a, b):
            apart.add((a, b))
            said.append(f"“{options[a].title}” and “{options[b].title}” change the same thing in different ways.")

    def goes(ids: Ids) -> bool:
        return (
            cost_of(build, ids) <= budget.si
            and all(set(options[id_].needs) <= set(ids) for id_ in ids)
            and not apart.intersection(combinations(ids, 2))
        )

    every = (ids for size in range(len(priced) + 1) for ids in combinations(priced, size))
    return Fitting(tuple(ids for ids in every if goes(ids)), tuple(said))


def cost_of(build: Build, ids: Ids) -> float:
    """What some options cost together."""
    return sum(cost.si for id_ in ids if (cost := build.options[id_].cost) is not None)


def within_budget(
    build: Build,
    base: Results,
    rows: Sequence[OptionRow],
    compute: Callable[[Build], Results],
    progress: Progress,
    lows: Callable[[Build, Results], Mapping[str, Lows]] | None = None,
) -> WithinBudget | None:
    """What can be bought for the budget of a build; None where it states none.

    All are computed with nominal values; the best one also with ``lows``, every load case sample by sample.

    Where more than ``MOST_PLAYED`` combinations of two options or more fit, those are computed that promise most by
    the gains of their options alone.
    """
    budget = build.budget
    if budget is None:
        return None
    found = fitting(build, budget)
    known: dict[Ids, Combination] = {}
    left_out = list(found.left_out)
    single = {r.id: sum(u.gain or 0.0 for u in r.uses) for r in rows}
    alone = [ids for ids in found.fit if len(ids) < 2]
    several = sorted((ids for ids in found.fit if len(ids) > 1), key=lambda ids: -sum(single[i] for i in ids))
    several = several[:MOST_PLAYED]
    for k, ids in enumerate((*alone, *several)):
        progress("combinations within the budget", k / (len(alone) + len(several)))
        try:
            results = compute(option_build(build, *ids)) if ids else base
        except BuildFileError as why:
            titles = _titles(build, ids)
            left_out.append(f"{titles} make no build together: {why.diagnostics[0].headline}.")
            continue
        known[ids] = _combination(build, ids, results, base)
    made = sorted(known.values(), key=lambda c: (c.cost, -_key(c)[0], -_key(c)[1]))
    made = [replace(c, on_front=_is_on_front(c, made)) for c in made]
    best = best_of(made, limited=_has_limits(build))
    if lows is not None and _has_limits(build):
        chosen = option_build(build, *best.options) if best.options else build
        sampled = lows(chosen, compute(chosen) if best.options else base).values()
        share = float(np.mean(np.logical_and.reduce([one.kept for one in sampled])))
        best = replace(best, kept_share=share)
        made = [best if c.options == best.options else c for c in made]
    words = (*_words(build, base, budget, made, best), *_order(best, known, build), *left_out)
    played = len(known)
    if best.kept_share is not None:
        share = 100.0 * best.kept_share
        words += (f"With every input across its band that keeps all limits in {share:.0f} % of the samples.",)
    if len(found.fit) > played:
        words += (f"{len(found.fit)} combinations fit; the {played} that promise most were computed.",)
    return WithinBudget(budget.si, budget.text[-3:], len(found.fit), played, tuple(made), best.options, tuple(words))


def best_of(made: Sequence[Combination], *, limited: bool) -> Combination:
    """The one that keeps most load cases without a stop, then with most margin; of equals the cheapest.

    Once every limit is kept nothing more is bought; ``limited`` says whether any is stated.
    """
    offered = [c for c in made if not c.stops]
    keeps = [c for c in offered if limited and c.margin is not None and c.margin >= 0.0]
    if keeps:
        return min(keeps, key=lambda c: (c.cost, -_key(c)[1]))
    most = max(offered, key=_key)
    return min((c for c in offered if _reaches(c, most)), key=lambda c: (c.cost, -_key(c)[1]))


def _key(c: Combination) -> Key:
    return c.kept, -1e9 if c.margin is None else c.margin


def _reaches(c: Combination, other: Combination) -> bool:
    """Whether it keeps as many load cases with as much margin, as far as can be told."""
    return c.kept >= other.kept and _key(c)[1] > _key(other)[1] - TOLD_APART_V


def _is_on_front(c: Combination, made: Sequence[Combination]) -> bool:
    """Whether it brings no stop, and nothing else without one reaches it for as little, or passes it."""
    rivals = [o for o in made if o is not c and not o.stops]
    beaten = any(o.cost <= c.cost and _key(o) > _key(c) for o in rivals)
    return not c.stops and not beaten and not any(o.cost < c.cost and _reaches(o, c) for o in rivals)


def _combination(build: Build, ids: Ids, results: Results, base: Results) -> Combination:
    adds, _, stops = changed_findings(results.findings, base.findings) if ids else ((), (), ())
    kept, margins, lows = 0, list[float](), list[float | None]()
    for case in results.load_cases:
        checks = [check for one in case.amplifiers for check in one.limits]
        checks += [check for one in case.locations for check in one.limits]
        holds = all(one.outcome.kind in (OutcomeKind.HOLDS, OutcomeKind.BELOW_LIMIT) for one in case.amplifiers)
        kept += holds and all(check.holds for check in checks)
        margins += [check.volts - check.limit for check in checks if check.volts is not None]
        lows += [one.mean_minimum.volts if holds else None for one in case.amplifiers if one.id == case.worst]
    held = [v for v in lows if v is not None]
    margin = None if len(held) < len(lows) else min(margins or held, default=None)
    return Combination(ids, _titles(build, ids), cost_of(build, ids), kept, margin, adds, stops)


def _titles(build: Build, ids: Ids) -> str:
    return " + ".join(f"“{build.options[id_].title}”" for id_ in ids) if ids else "nothing"


def _words(
    build: Build, base: Results, budget: Quantity, made: Sequence[Combination], best: Combination
) -> Iterator[str]:
    cases = len(base.load_cases)
    if not best.options:
        yield f"For {budget.text} nothing is worth buying: {_result(build, best, cases)} as it stands."
        return
    yield f"For {budget.text} buy {best.title} ({best.cost:g} {budget.text[-3:]}): {_result(build, best, cases)}."
    if best.adds:
        yield f"It brings: {'; '.join(best.adds)}."
    better = [c for c in made if c.stops and _key(c) > _key(best)]
    if better:
        yield f"{better[0].title} would hold more and is not offered: {better[0].stops[0]}"


def _result(build: Build, c: Combination, cases: int) -> str:
    if c.margin is None:
        return "a load case cannot be held"
    if not _has_limits(build):
        return f"the lowest mean of all load cases is {low_v(c.margin)} V"
    if c.margin >= 0.0:
        spare = "less than 0.1" if c.margin < 0.1 else low_v(c.margin)
        return f"with nominal values every limit is kept in all {cases} load cases, with {spare} V to spare"
    miss = "less than 0.1" if c.margin > -0.1 else f"{-c.margin:.1f}"
    return f"with nominal values every limit is kept in {c.kept} of {cases} load cases, the worst is missed by {miss} V"


def _has_limits(build: Build) -> bool:
    limits = (build.amplifier_limit, build.vehicle_limit)
    return any(q is not None for one in limits for q in (one.mean, one.minimum_100ms, one.trough))


def _order(best: Combination, known: dict[Ids, Combination], build: Build) -> Iterator[str]:
    """In which order to buy: each step the one that reaches most with what was bought before."""
    if len(best.options) < 2:
        return
    bought: Ids = ()
    order: list[str] = []
    while len(bought) < len(best.options):
        steps = [tuple(i for i in best.options if i in (*bought, id_)) for id_ in best.options if id_ not in bought]
        open_ = [ids for ids in steps if ids in known and not known[ids].stops]
        if not open_:
            yield "They are to be bought together: none of them can come first."
            return
        chosen = max(open_, key=lambda ids: (*_key(known[ids]), -known[ids].cost))
        order += [f"“{build.options[i].title}”" for i in chosen if i not in bought]
        bought = chosen
    yield f"Buy {', then '.join(order)}."
