"""Rules on figures of the build file that cannot be true beside each other."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.diagnostic import Diagnostic
from dossier.electrical.conductors import resistance
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.said import sentence

BELOW_METAL = BY_CODE["resistance-below-its-metal"]

COLD = 0.0  # degC; colder metal than at any reading
LENGTH_ERROR = 0.9  # share of the stated length that it may have


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Every cable whose stated resistance no metal of its size and length has."""
    for cable in subject.build.cables.values():
        if cable.resistance is None or cable.size is None or cable.length is None or cable.chassis:
            continue
        metal = resistance(cable.size.si, cable.length.si, cable.material, COLD).typical / cable.runs
        if cable.resistance.si < LENGTH_ERROR * metal:
            yield BELOW_METAL.caution(
                sentence(
                    "{cable}: {stated} stated, its {size} of {length} alone have {metal:.2f} mΩ at 0 °C",
                    cable=cable.title,
                    stated=cable.resistance.said(),
                    size=cable.size.said(),
                    length=cable.length.said(),
                    metal=1000.0 * metal,
                ),
                f"cables.{cable.id}.resistance",
            )
