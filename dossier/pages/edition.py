"""Which sections an edition has, in reading order, and how they are numbered."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.assumptions import assumptions
from dossier.pages.budget import load_budget
from dossier.pages.charging import charging
from dossier.pages.cover import cover
from dossier.pages.equipment import equipment
from dossier.pages.findings import findings
from dossier.pages.limits import limits
from dossier.pages.logs import logs
from dossier.pages.measure_next import measure_next
from dossier.pages.methods import methods
from dossier.pages.options import options
from dossier.pages.protection import protection
from dossier.pages.safety import safety
from dossier.pages.schedule import schedule
from dossier.pages.section import Section, Stamp
from dossier.pages.signatures import signatures
from dossier.pages.storage import storage
from dossier.pages.summary import summary
from dossier.pages.voltage import voltage
from dossier.pdf.contents import contents
from dossier.pdf.flow import gap, heading, new_page, text
from dossier.results.overview import Results

WORKSHOP: Final = (
    Section("summary", "Summary", summary),
    Section("equipment", "Equipment register", equipment),
    Section("budget", "Load budget", load_budget),
    Section("voltage", "Voltage under load", voltage),
    Section("options", "Options side by side", options),
    Section("measure", "What moves the voltage, and what to measure next", measure_next),
    Section("logs", "Measured logs", logs),
    Section("schedule", "Cable and fuse schedule", schedule),
    Section("protection", "Protection and fault currents", protection),
    Section("charging", "Charging", charging),
    Section("storage", "Storage, parking and mass", storage),
    Section("findings", "Findings", findings),
    Section("safety", "Safety checklist", safety),
    Section("limits", "Local rules, and the limits of this computation", limits),
    Section("assumptions", "Assumptions and inputs", assumptions),
    Section("methods", "Methods", methods),
    Section("signatures", "Readings, signatures and digest", signatures),
)


def story(build: Build, results: Results, stamp: Stamp, sections: tuple[Section, ...] = WORKSHOP) -> list[Any]:
    """Cover, contents and every section that has something to say."""
    said = [(section, body) for section in sections if (body := section.set(build, results, stamp))]
    numbered = [(str(index), section, body) for index, (section, body) in enumerate(said, start=1)]
    made: list[Any] = [
        *cover(build, results, stamp),
        new_page(),
        text("Contents", "heading_1"),
        *contents([(number, section.title, section.key) for number, section, _ in numbered]),
        gap(4),
    ]
    for number, section, body in numbered:
        made.append(heading(section.title, 1, section.key, number))
        made += body
    return made
