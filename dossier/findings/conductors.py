"""Rules on conductors: what they carry, how warm they get, and what can feed them past every fuse."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, isfinite

from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.feeding import most_output
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import allowed_a, load_a
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way
from dossier.results.protection import ConductorEnd, Reply
from dossier.results.schedule import ConductorRow

OVERLOADED = BY_CODE["conductor-overloaded"]
ONLY_FOR_A_TIME = BY_CODE["conductor-warms-in-a-note"]
UNKNOWN_AMPACITY = BY_CODE["conductor-outside-tables"]
INSULATION = BY_CODE["insulation-not-stated"]
TABLES_DIFFER = BY_CODE["insulation-60-tables-differ"]
UNPROTECTED = BY_CODE["conductor-unprotected"]
SELF_LIMITING = BY_CODE["alternator-lead-below-output"]
WARMER = BY_CODE["conductor-warmer-than-assumed"]
RETURN_SMALL = BY_CODE["return-below-fuse"]
PARALLEL = BY_CODE["parallel-runs-fused-at-one-end"]

WORTH_SAYING_V = 0.1  # of extra drop
SAME = 1.0005


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with conductors."""
    ends: dict[str, list[ConductorEnd]] = {}
    for end in subject.protection.ends:
        ends.setdefault(end.cable, []).append(end)
    for row in subject.schedule:
        if row.chassis:
            continue
        yield from _load(row)
        yield from _tables(row)
        yield from _warm(row)
        if row.role == "feed":
            for end in ends.get(row.id, ()):
                yield from _end(row, end)
            yield from _parallel(row)
        else:
            yield from _return(subject, row)


def carried(row: ConductorRow) -> float:
    """What the worst programme is worth in lasting current, one run [A]."""
    return row.warmth.continuous if row.warmth else row.rms


def _where(row: ConductorRow) -> str:
    assumed = "assuming {column} insulation, " if row.insulation_assumed and row.column else ""
    return sentence(
        assumed + "in {ambient} air", column=Measure("temperature", row.column or 0.0, Way.DOWN), ambient=_air(row)
    )


def _air(row: ConductorRow) -> Measure:
    return Measure("temperature", row.ambient or 0.0, Way.UP)


def _load(row: ConductorRow) -> Iterator[Diagnostic]:
    path = f"cables.{row.id}"
    if row.allowed is None:
        best = row.allowed_at_best
        if best is not None and carried(row) > best * SAME:
            yield OVERLOADED.stop(
                sentence(
                    "{row}: {amperes} A in {size}, outside every published table; it may carry less than {best} A",
                    row=row.title,
                    amperes=load_a(carried(row)),
                    size=row.size,
                    best=ceil(best),
                ),
                path,
            )
            return
        yield UNKNOWN_AMPACITY.caution(
            sentence("{row}: no published allowable current for {size}", row=row.title, size=row.size), path
        )
        return
    load = carried(row)
    warm = row.warmth
    if load > row.allowed * SAME:
        known = load > (row.allowed_at_best or 0.0) * SAME
        rule = OVERLOADED if known else INSULATION
        degrees = "" if warm is None or not isfinite(warm.peak) else "; the metal reaches {peak}"
        what = f"{load_a(row.rms)} A rms in {row.worst_case}"
        if warm and warm.seconds is not None and abs(load - row.rms) > 0.5:
            what = f"{load_a(warm.rms)} A for {warm.seconds:.0f} s in {warm.case}"
            if load_a(load) != load_a(warm.rms):
                what += f", equivalent to {load_a(load)} A continuous"
        elif warm and load - warm.rms > 0.5:
            what = f"{load_a(warm.rms)} A rms in {warm.case}, whose slow bursts heat like {load_a(load)} A continuous"
        yield rule.finding(
            Severity.STOP if known else Severity.CAUTION,
            sentence(
                "{row}: {what}, but {size} may carry {allowed} ({where}" + degrees + ")",
                row=row.title,
                what=what,
                size=row.size,
                allowed=_amperes(row.allowed),
                where=_where(row),
                peak=Measure("temperature", warm.peak, Way.UP) if warm else "",
            ),
            path,
        )
    elif warm and warm.holds is not None and warm.seconds is not None and warm.rms > row.allowed * SAME:
        yield ONLY_FOR_A_TIME.note(
            f"{row.title}: {load_a(warm.rms)} A of {warm.case} is above the lasting {allowed_a(row.allowed)} A; "
            "from the usual "
            f"programme it may last {_time(warm.holds)}; the note lasts {warm.seconds:.0f} s",
            path,
        )


def _tables(row: ConductorRow) -> Iterator[Diagnostic]:
    """Load or fuse of 60 °C insulation between the two tables: a caution; above both `_load` and the fuses say more."""
    if row.cautious is None or row.allowed is None:
        return
    carry = (carried(row), *(f.rating / (row.runs if f.shared else 1) for f in row.fuses))
    asked = max((a for a in carry if row.cautious * SAME < a <= row.allowed * SAME), default=0.0)
    if not asked:
        return
    rule = INSULATION if row.insulation_assumed else TABLES_DIFFER
    yield rule.caution(
        sentence(
            "{row}: {asked} A in {size}, {where}: 33 CFR 183.425 allows {allowed} A, ISO 10133 (not checked "
            "against the document) {lower} A",
            row=row.title,
            asked=load_a(asked),
            size=row.size,
            where=_where(row),
            allowed=allowed_a(row.allowed),
            lower=allowed_a(row.cautious),
        ),
        f"cables.{row.id}",
    )


NO_CURRENT = "no current: the air is as hot as its insulation may get"


def _amperes(allowed: float) -> str:
    return f"{allowed_a(allowed)} A" if allowed >= 1.0 else NO_CURRENT


def _time(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 120.0 else f"{seconds / 60.0:.0f} min"


def _warm(row: ConductorRow) -> Iterator[Diagnostic]:
    if row.extra_drop > WORTH_SAYING_V and row.warmth and row.assumed_temperature:
        yield WARMER.note(
            sentence(
                "{row}: the metal reaches {peak} instead of {taken}; its drop at the peak is {more:.2f} V more, "
                "{drop:.2f} V in all, and the load cases count it",
                row=row.title,
                peak=Measure("temperature", min(row.warmth.peak, 9999.0), Way.UP),
                taken=Measure("temperature", row.assumed_temperature),
                more=row.extra_drop,
                drop=row.drop,
            ),
            f"cables.{row.id}",
        )


def _end(row: ConductorRow, end: ConductorEnd) -> Iterator[Diagnostic]:
    verdict = end.answer.verdict
    if verdict == Reply.YES:
        return
    path, allowed = f"cables.{row.id}", row.allowed or 0.0
    names = _names(end.feeders)
    run = "one run of {size}" if row.runs > 1 else "{size}"
    may = sentence(run + " may carry {allowed}, {where}", size=row.size, allowed=_amperes(allowed), where=_where(row))
    if verdict == Reply.MAYBE and end.self_limiting:
        yield SELF_LIMITING.caution(
            sentence(
                "{row}, {place}: {names}, {words}; {may}",
                row=row.title,
                place=end.location_title,
                names=names,
                words=end.answer.words,
                may=may,
            ),
            path,
        )
        return
    yield UNPROTECTED.finding(
        Severity.STOP if verdict == Reply.NO else Severity.CAUTION,
        sentence(
            "{row}: {names} can feed it at {place}, {words} ({may})",
            row=row.title,
            names=names,
            place=end.location_title,
            words=end.answer.words,
            may=may,
        ),
        path,
        fix=f"a fuse in {row.title} close to {end.location_title}, rated {allowed_a(row.allowed)} A or less"
        + (" for each run" if row.runs > 1 else "")
        if row.allowed
        else sentence(
            "a conductor made for {ambient} air, and a fuse close to {place}",
            ambient=_air(row),
            place=end.location_title,
        ),
    )


def _names(names: tuple[str, ...]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def _parallel(row: ConductorRow) -> Iterator[Diagnostic]:
    ends = {f.near for f in row.fuses if not f.shared}
    if row.runs >= 3 and len(ends) == 1:
        yield PARALLEL.caution(f"{row.title}: {row.runs} runs with fuses at one end", f"cables.{row.id}.runs")


def _return(subject: Examined, row: ConductorRow) -> Iterator[Diagnostic]:
    """A return at a location whose feed is fused, or whose alternator gives, more than the returns there may carry."""
    if row.allowed is None:
        return
    yield from _strap(subject, row)
    for place in (row.start, row.end):
        feeds = [r for r in subject.schedule if r.role == "feed" and place in (r.start, r.end) and r.fuses]
        others = [r for r in subject.schedule if r.role == "return" and place in (r.start, r.end)]
        if not feeds or any(r.chassis and r.allowed is None for r in others if r.id != row.id):
            continue

        def lets(feed: ConductorRow) -> float:
            return min(f.rating * (1 if f.shared else feed.runs) for f in feed.fuses)

        feed = max(feeds, key=lets)  # a fault of any of them comes back this way
        rating = lets(feed)
        best = sum((r.allowed_at_best or 0.0) * r.runs for r in others)
        together = sum((r.allowed or 0.0) * r.runs for r in others)
        if rating > together * SAME:
            unknown = "" if rating > best * SAME else " on what is assumed of its insulation"
            yield RETURN_SMALL.finding(
                Severity.CAUTION if unknown else Severity.STOP,
                f"{row.title}: the return may carry {allowed_a(together)} A{unknown}, the fuse of {feed.title} "
                f"passes {rating:.0f} A indefinitely",
                f"cables.{row.id}",
            )
            return


def _strap(subject: Examined, row: ConductorRow) -> Iterator[Diagnostic]:
    """The strap of an alternator carries what its lead does."""
    for place in (row.start, row.end):
        made = [s for s in subject.build.supplies.values() if s.kind == "alternator" and s.at == place]
        stores = (subject.build.batteries, subject.build.capacitor_banks)
        if not made or any(thing.at == place for things in stores for thing in things.values()):
            continue
        beside = [r for r in subject.schedule if r.role == "return" and place in (r.start, r.end)]
        if any(r.allowed is None for r in beside):  # the block itself lies on the body
            continue
        together, given = sum((r.allowed or 0.0) * r.runs for r in beside), sum(most_output(s) for s in made)
        if given > together * SAME:
            yield SELF_LIMITING.caution(
                sentence(
                    "{row}: the return of {names}, which can give {given} A; {size} may carry {together} A, {where}",
                    row=row.title,
                    names=_names(tuple(s.title for s in made)),
                    given=load_a(given),
                    size=row.size if len(beside) == 1 else "the straps together",
                    together=allowed_a(together),
                    where=_where(row),
                ),
                f"cables.{row.id}",
            )
            return
