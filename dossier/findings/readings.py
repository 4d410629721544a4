"""Rules on recorded readings: what an instrument cannot see, what lies far off, what no sample explains together."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic
from dossier.findings.rule import BY_CODE, Examined
from dossier.reference.instruments import DIFFERENCE
from dossier.results.recorded import Recorded

BLIND = BY_CODE["reading-beyond-instrument"]
OFF = BY_CODE["reading-off-prediction"]
UNEXPLAINED = BY_CODE["readings-unexplained"]
CODES = frozenset(rule.code for rule in (BLIND, OFF, UNEXPLAINED))


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """What the readings alone say, before any sample is played."""
    yield from of_readings(subject.recorded)


def of_readings(recorded: Recorded) -> Iterator[Diagnostic]:
    """What the readings say, with the bands and what they say together where that is known."""
    for one in recorded.readings:
        path = f"measurements.readings.{one.id}"
        if not one.visible:
            yield BLIND.caution(
                f"{one.title}: {one.shows} from an instrument that shows {one.origin.sees}", f"{path}.shows"
            )
        elif (
            one.unit == "V" and one.difference is not None and abs(one.difference) > DIFFERENCE and not one.inside_band
        ):
            yield OFF.caution(
                f"{one.title}: {one.value:.2f} V measured, {one.predicted:.2f} V predicted, {one.difference:+.2f} V",
                path,
            )
    told = recorded.told
    if told is not None and not told.explained:
        title, other = told.furthest_title, told.against
        pair = f"; no sample shows it and {other}, though each alone would fit" if other else ""
        again = f"both {title} and {other}" if other else title
        yield UNEXPLAINED.caution(
            f"Nothing within the bands explains the {len(told.used)} readings together (misfit {told.misfit:.1f}, "
            f"limit {told.limit:.1f}); {title} lies furthest from what the others say, {told.apart:+.1f} standard "
            f"deviations{pair}",
            told.furthest_path,
            fix=f"Read {again} again. If that stands, look at {'; '.join(told.points_at)}"
            + (f": {told.measure}" if told.measure else ""),
        )
