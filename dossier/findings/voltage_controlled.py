"""Rules on units that act by the voltage they see: sensing relays and the inputs of converters."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Severity
from dossier.equipment.buses import path_between
from dossier.findings.rule import Danger, Examined, Rule
from dossier.reader.promised import limit_v, low_v
from dossier.results.charging import Does

RELAY_OPEN = Rule(
    "relay-never-closes",
    "A voltage-sensing relay rarely sees its closing voltage",
    "the battery behind it is not charged and goes flat, after which it helps less than none",
    "a DC-DC converter, or a relay switched by the ignition",
    "closing voltage of the relay against the charging voltage of the engine state",
    "a relay that closes at 13.3 V behind an alternator that is regulated down to 12.8 V while driving",
    danger=Danger.FAILURE,
)
RELAY_BASS = Rule(
    "relay-opens-under-bass",
    "A voltage-sensing relay opens in the note",
    "the rear battery is cut off just when it is wanted, and contacts break full current",
    "a relay switched by the ignition, or more copper ahead of it",
    "opening voltage of the relay against the load cases; its delay may bridge short notes",
    "the relay opens below 12.8 V; the bass pulls its side to 12.4 V: it chatters in time with the music",
    danger=Danger.FAILURE,
)
CONVERTER_STOPS = Rule(
    "converter-input-too-low",
    "A DC-DC converter stops because its input falls too low",
    "what it charges gets nothing while the music plays",
    "a thicker feed to its input, or a lower threshold if its maker allows it",
    "lowest input voltage of the converter, stated or assumed, against the load cases",
    "a converter that stops below 11.5 V at the end of 6 m of 10 mm²: its own draw switches it off",
    danger=Danger.FAILURE,
)
RULES = (RELAY_OPEN, RELAY_BASS, CONVERTER_STOPS)


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything about relays and converters that act by the voltage they see."""
    for row in subject.charging.relays:
        if row.kind == "dc_dc":
            if row.lowest is not None and row.lowest < row.acts_below:
                yield CONVERTER_STOPS.finding(
                    Severity.CAUTION,
                    f"{row.title}: needs {limit_v(row.acts_below)} V, "
                    f"its input falls to {low_v(row.lowest)} V in {row.case}",
                    f"supplies.{row.id}",
                )
        elif row.words is Does.RARELY_CLOSES and not _charged_otherwise(subject.build, row.id):
            yield RELAY_OPEN.finding(
                Severity.CAUTION,
                f"{row.title}: closes at {limit_v(row.acts_above)} V, but the alternator holds "
                f"{low_v(row.highest)} V while driving",
                f"couplings.{row.id}",
            )
        elif row.words is Does.OPENS_UNDER_BASS and row.lowest is not None:
            yield RELAY_BASS.finding(
                Severity.CAUTION,
                f"{row.title}: opens at {limit_v(row.acts_below)} V, it sees {low_v(row.lowest)} V in {row.case}",
                f"couplings.{row.id}",
            )


def _charged_otherwise(build: Build, coupling: str) -> bool:
    """Whether a converter or charger feeds the far side of a coupling over cables."""
    far = build.couplings[coupling].end
    return any(
        s.kind != "alternator" and (s.at == far or path_between(build.cables.values(), s.at, far, "feed"))
        for s in build.supplies.values()
    )
