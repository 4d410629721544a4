"""Deferral to local rules and licensed practice, and what the computation leaves out and which way that errs."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.section import Stamp
from dossier.pdf.flow import heading, text
from dossier.pdf.tables import Column, data_table
from dossier.results.overview import Results

_HIGHER = "The real voltage may be lower than printed."
_LOWER = "The real voltage may be higher than printed: the safe side."

_NOT_MODELLED: tuple[tuple[str, str], ...] = (
    (
        "Alternator heating up over minutes, belt slip, regulators that follow temperature or the engine "
        "computer",
        _HIGHER,
    ),
    (
        "Battery temperature and ageing; a battery nearly empty or overfull, where its open-circuit "
        "voltage is not linear",
        _HIGHER,
    ),
    ("Battery resistance that falls at high current", _LOWER),
    ("Joints that warm up or corrode", _HIGHER),
    (
        "Reactive power of the loudspeaker: it can swing the current further than the power it takes",
        "The real trough may be lower; the mean is little changed.",
    ),
    ("Inductance of the cable loop", "The real trough may be lower by about 0.1 V; the mean is unchanged."),
    ("Limiting and compression in the amplifier", _LOWER),
    (
        "Charge that moves inside a capacitor bank, and its leakage",
        "After a pause the real voltage may be slightly lower.",
    ),
    (
        "Trough of music: the lowest instant of a cycle is taken to fall on the loudest instant",
        "The printed trough is a bound; the real one is not lower for that reason.",
    ),
    ("Load dump, arcing and high-resistance faults, electromagnetic interference", "Not covered at all."),
)


def limits(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Local rules first, then the limits of the computation, then the notes of the build file."""
    story: list[Any] = [
        text(
            "This dossier does not replace the rules in force. Local codes, the vehicle maker's "
            "instructions, type approval and roadworthiness rules, the insurer's conditions and the rules "
            "of a competition come first; where they and this document differ, the stricter holds.",
        ),
        text(
            "Work that local law reserves for licensed or certified persons is done by them: traction "
            "batteries and other high-voltage systems, airbags and pyrotechnic devices, brakes, fuel and "
            "gas. The published cable tables used here were written for other fields (boats, buildings) "
            "and serve as the best available guide; they are not the law of the road. Whoever installs, "
            "checks and signs remains responsible.",
        ),
        heading("Limits of the computation", 2, "limits-model"),
        text(
            "Computed values come from a model of the installation and are only as good as its inputs. "
            "Nothing here has been compared with this vehicle unless a measurement is recorded. The list "
            "names what is not modelled.",
        ),
        data_table(
            [Column("Not modelled", share=1.5, row_head=True), Column("Which way it errs", share=1.0)],
            [list(row) for row in _NOT_MODELLED],
        ),
    ]
    if build.notes:
        story.append(heading("Notes of the build file", 2, "notes"))
        story += [text(note) for note in build.notes]
    return story
