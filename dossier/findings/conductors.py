"""Rules on conductors and their fuses: load, size, place."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.electrical.fuses import next_rating
from dossier.findings.feeding import reaching
from dossier.findings.rule import Rule, Subject
from dossier.reference import placement
from dossier.results.schedule import ConductorRow, FuseRow

OVERLOADED = Rule(
    "conductor-overloaded",
    "A conductor carries more than it may",
    "its insulation ages and softens; in a bundle or under carpet it can burn",
    "a larger size, a second run, or insulation for a higher temperature",
    "33 CFR 183.425, Table 5",
)
UNKNOWN_AMPACITY = Rule(
    "conductor-outside-tables",
    "No published allowable current for a conductor",
    "nothing says that its fuse protects it",
    "use at least 18 AWG (0.82 mm²) with insulation rated 60 °C or more",
    "33 CFR 183.425, Table 5",
)
UNPROTECTED = Rule(
    "conductor-unprotected",
    "A conductor can be fed past every fuse",
    "a chafed cable becomes a heater with the whole source behind it: fire",
    "a fuse at that end, close to the source, rated no more than the conductor may carry",
    "33 CFR 183.455; BS 7671 433.1.1 and 434.5 (read second-hand)",
)
FUSE_TOO_LARGE = Rule(
    "fuse-above-ampacity",
    "A fuse is rated above what its conductor may carry",
    "a fuse does not open below about 1.35 times its rating: between 1.1 and 2.5 times, the cable burns first",
    "a smaller fuse, or a larger conductor",
    "BS 7671 433.1.1 (rating not above allowable current); 33 CFR 183.455 (150 % is for short circuits only)",
)
FUSE_TOO_SMALL = Rule(
    "fuse-below-load",
    "A fuse is rated too low for its load",
    "it ages and opens in the middle of use, and invites the wrong replacement",
    "a fuse that carries the load at 75 % of its rating when warm, if the conductor allows it",
    placement.COORDINATION_SOURCE.text,
)
FUSE_TOO_FAR = Rule(
    "fuse-far-from-source",
    "A fuse sits far from the source it protects against",
    "everything between the source and the fuse is unprotected",
    "move the fuse closer to the terminal",
    "33 CFR 183.455: 7 in, 40 in in a sheath; 18 in is common practice, no source",
)
FUSE_PLACE_UNKNOWN = Rule(
    "fuse-distance-unknown",
    "The distance of a fuse from its source is not recorded",
    "nobody can tell how much of the cable is unprotected",
    "measure it along the conductor, from the terminal, and record it",
    "33 CFR 183.455",
)
RULES = (
    OVERLOADED,
    UNKNOWN_AMPACITY,
    UNPROTECTED,
    FUSE_TOO_LARGE,
    FUSE_TOO_SMALL,
    FUSE_TOO_FAR,
    FUSE_PLACE_UNKNOWN,
)


def findings(subject: Subject) -> Iterator[Diagnostic]:
    """Everything wrong with conductors and their fuses."""
    for row in subject.schedule:
        if row.chassis:
            continue
        yield from _load(row)
        if row.role != "feed":
            continue
        yield from _protection(subject, row)
        for fuse in row.fuses:
            yield from _rating(row, fuse)
            yield from _place(subject, row, fuse)


def _load(row: ConductorRow) -> Iterator[Diagnostic]:
    path = f"cables.{row.id}"
    if row.allowed is None:
        yield UNKNOWN_AMPACITY.finding(
            Severity.CAUTION, f"{row.title}: no published allowable current for {row.size}", path
        )
    elif row.rms > row.allowed:
        yield OVERLOADED.finding(
            Severity.STOP,
            f"{row.title}: {row.rms:.0f} A rms in {row.worst_case}, but {row.size} may carry "
            f"{row.allowed:.0f} A at {row.ambient:.0f} °C",
            path,
        )


def _protection(subject: Subject, row: ConductorRow) -> Iterator[Diagnostic]:
    """Each end that a source can feed needs a fuse of its own, or one upstream that protects this conductor."""
    allowed = (row.allowed or 0.0) * row.runs
    for end in (row.start, row.end):
        if any(f.near == end for f in row.fuses):
            continue
        for feeder in reaching(subject.build, row.id, end, allowed):
            if feeder.limit is not None and feeder.limit <= allowed:
                continue  # it cannot give more than the conductor carries
            place = subject.build.locations[end].title
            limit = "" if feeder.limit is None else f", up to {feeder.limit:.0f} A"
            yield UNPROTECTED.finding(
                Severity.STOP if feeder.limit is None else Severity.CAUTION,
                f"{row.title}: {feeder.title} can feed it at {place} past every fuse that would protect it"
                f" ({row.size} may carry {allowed:.0f} A{limit})",
                f"cables.{row.id}",
                fix=f"a fuse in {row.title} close to {place}, rated {allowed:.0f} A or less",
            )


def _rating(row: ConductorRow, fuse: FuseRow) -> Iterator[Diagnostic]:
    path = f"cables.{row.id}.fuses.{fuse.id}.rating"
    who = f"Fuse {fuse.id} of {row.title}"
    # one fuse for all runs must protect the one run that is left when another breaks or is cut
    if fuse.rating > fuse.largest:
        within = fuse.rating <= placement.RATING_LIMIT_FRACTION * fuse.largest
        yield FUSE_TOO_LARGE.finding(
            Severity.CAUTION if within else Severity.STOP,
            f"{who}: {fuse.rating:.0f} A, but one run of {row.size} may carry {fuse.largest:.0f} A",
            path,
        )
    if fuse.rating < fuse.needed:
        larger = next_rating(fuse.needed, fuse.style)
        cure = (
            ""
            if larger is None or larger > fuse.largest
            else f"a {larger:.0f} A fuse, which the conductor allows"
        )
        yield FUSE_TOO_SMALL.finding(
            Severity.CAUTION,
            f"{who}: {fuse.rating:.0f} A, but its load needs {fuse.needed:.0f} A with the usual margin",
            path,
            fix=cure or f"a larger conductor and a fuse of {fuse.needed:.0f} A or more",
        )


def _place(subject: Subject, row: ConductorRow, fuse: FuseRow) -> Iterator[Diagnostic]:
    path = f"cables.{row.id}.fuses.{fuse.id}"
    who = f"Fuse {fuse.id} of {row.title}"
    if fuse.distance is None:
        yield FUSE_PLACE_UNKNOWN.finding(Severity.CAUTION, f"{who}: its distance is not recorded", path)
        return
    sheathed = subject.build.cables[row.id].sheathed
    rule = placement.SHEATHED if sheathed else placement.GENERAL
    if fuse.distance <= rule.length:
        return
    trade = max(placement.TRADE.length, rule.length)
    far = fuse.distance > trade
    yield FUSE_TOO_FAR.finding(
        Severity.STOP if far else Severity.NOTE,
        f"{who}: {fuse.distance * 1000:.0f} mm from its terminal; {rule.source.short} asks for "
        f"{rule.length * 1000:.0f} mm, the trade for {placement.TRADE.length * 1000:.0f} mm",
        f"{path}.distance",
    )
