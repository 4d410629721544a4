"""Rules on reserve, key-off drain, cranking and mass."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import load_a, low_v
from dossier.reader.said import Measure, sentence
from dossier.reader.units import Way

DRAIN = BY_CODE["key-off-drain"]
CRANKING = BY_CODE["cranking-voltage-low"]
PAYLOAD = BY_CODE["payload-exceeded"]
MASS_UNKNOWN = BY_CODE["mass-not-stated"]

FEWEST_DAYS = 14.0
STARTS_V = 7.2  # of a 12 V system; SAE J537, read: the voltage at which a cold-cranking test ends


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything about standing, starting and mass."""
    held = subject.storage
    for group in held.standing:
        if group.days < FEWEST_DAYS:
            yield DRAIN.finding(
                Severity.CAUTION if group.starts else Severity.NOTE,
                f"{' and '.join(group.batteries)}: {int(group.days)} days at {load_a(group.amperes * 1000)} mA "
                "until the reserve",
                "batteries",
            )
    starts = STARTS_V * subject.build.vehicle.over_12_v
    low = [r for r in held.reserve if r.cranking is not None and r.cranking < starts]
    if low:
        worst = min(low, key=lambda r: r.cranking or 0.0)
        yield CRANKING.caution(
            sentence(
                "{volts} V while cranking at {cold} with the reserve left",
                volts=low_v(worst.cranking or 0.0),
                cold=Measure("temperature", worst.temperature),
            ),
            "batteries",
        )
    cranking = subject.protection.cranking
    if cranking is not None and cranking.limited is not None and cranking.limited < cranking.cold:
        warm = cranking.limited < cranking.warm
        yield CRANKING.finding(
            Severity.CAUTION if warm else Severity.NOTE,
            f"the management of the battery opens at {cranking.limited:.0f} A of the starter, which takes "
            f"{cranking.warm if warm else cranking.cold:.0f} A{'' if warm else ' in the cold'}: the engine will not "
            "start",
            "batteries",
        )
    if held.payload is not None and held.added_mass > held.payload:
        yield PAYLOAD.stop(
            sentence(
                "{added} are added, {left} are left",
                added=Measure("mass", held.added_mass, Way.UP, 0),
                left=Measure("mass", held.payload, Way.DOWN, 0),
            ),
            "vehicle.payload",
        )
    unknown = [m for m in held.masses if m.mass is None]
    if unknown:
        places = subject.build.places
        first = min(unknown, key=lambda m: places[m.path].line if m.path in places else 0)
        headline = f"not stated: {', '.join(m.title for m in unknown)}"
        yield MASS_UNKNOWN.note(headline, first.path)
