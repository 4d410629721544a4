"""Rules on units that act by the voltage they see: sensing relays and the inputs of converters."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic
from dossier.equipment.buses import path_between
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import limit_v, low_v
from dossier.results.charging import Does

RELAY_OPEN = BY_CODE["relay-never-closes"]
RELAY_BASS = BY_CODE["relay-opens-under-bass"]
CONVERTER_STOPS = BY_CODE["converter-input-too-low"]


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything about relays and converters that act by the voltage they see."""
    for row in subject.charging.relays:
        if row.kind == "dc_dc":
            if row.lowest is not None and row.lowest < row.acts_below:
                yield CONVERTER_STOPS.caution(
                    f"{row.title}: needs {limit_v(row.acts_below)} V, "
                    f"its input falls to {low_v(row.lowest)} V in {row.case}",
                    f"supplies.{row.id}",
                )
        elif row.words is Does.RARELY_CLOSES and not _charged_otherwise(subject.build, row.id):
            yield RELAY_OPEN.caution(
                f"{row.title}: closes at {limit_v(row.acts_above)} V, but the alternator holds "
                f"{low_v(row.highest)} V while driving",
                f"couplings.{row.id}",
            )
        elif row.words is Does.OPENS_UNDER_BASS and row.lowest is not None:
            yield RELAY_BASS.caution(
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
