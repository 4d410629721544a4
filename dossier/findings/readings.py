"""Rules on recorded readings: what an instrument cannot see, what lies far off, what no sample explains together."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reference.instruments import DIFFERENCE
from dossier.results.recorded import Recorded

_PRACTICE = "common practice, no source"

BLIND = Rule(
    "reading-beyond-instrument",
    "A reading claims to show what its instrument cannot see",
    "it would be compared with the wrong figure, so it is not compared",
    "correct `shows`, or read it with an instrument that sees it",
    _PRACTICE,
    "a multimeter for `shows: trough`: it shows the mean, its min/max about the 100 ms minimum",
    danger=Danger.RECORD,
)
OFF = Rule(
    "reading-off-prediction",
    "A reading lies far from its prediction",
    "the record computes another system than the one measured",
    "look for a poor joint, check the stated resistances, or fit the build to a log",
    _PRACTICE,
    "12.9 V predicted, 12.2 V read: a joint, a cable shorter or thinner than stated, or a battery that is not full",
    danger=Danger.RECORD,
)
UNEXPLAINED = Rule(
    "readings-unexplained",
    "Recorded readings that nothing within the bands explains together",
    "one of them is wrong, or the installation has something that the record does not; the readings narrow nothing",
    "repeat the reading named, then measure the stretch that it points at",
    "chi-square test at 99 % on the meters' errors and the bands of the inputs",
    "a clamp round one of two runs of cable: half the amperes that three voltages ask for",
    danger=Danger.RECORD,
)
RULES = (BLIND, OFF, UNEXPLAINED)


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """What the readings alone say, before any sample is played."""
    yield from of_readings(subject.recorded)


def of_readings(recorded: Recorded) -> Iterator[Diagnostic]:
    """What the readings say, with the bands and what they say together where that is known."""
    for one in recorded.readings:
        path = f"measurements.readings.{one.id}"
        if not one.visible:
            yield BLIND.finding(
                Severity.CAUTION,
                f"{one.title}: {one.shows} from an instrument that shows {one.origin.sees}",
                f"{path}.shows",
            )
        elif (
            one.unit == "V" and one.difference is not None and abs(one.difference) > DIFFERENCE and not one.inside_band
        ):
            yield OFF.finding(
                Severity.CAUTION,
                f"{one.title}: {one.value:.2f} V measured, {one.predicted:.2f} V predicted, {one.difference:+.2f} V",
                path,
            )
    told = recorded.told
    if told is not None and not told.explained:
        title = next(one.title for one in recorded.readings if one.id == told.furthest)
        yield UNEXPLAINED.finding(
            Severity.CAUTION,
            f"Nothing within the bands explains the {len(told.used)} readings together (misfit {told.misfit:.1f}, "
            f"limit {told.limit:.1f}); {title} lies furthest from what the others say, {told.apart:+.1f} standard "
            "deviations",
            f"measurements.readings.{told.furthest}",
            fix=f"Read {title} again. If it stands, look at {'; '.join(told.points_at)}"
            + (f": {told.measure}" if told.measure else ""),
        )
