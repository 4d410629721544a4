"""Which sections an edition has, in reading order, and how they are numbered."""

from __future__ import annotations

from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.pages.assumptions import assumptions
from dossier.pages.budget import load_budget
from dossier.pages.cover import cover
from dossier.pages.equipment import equipment
from dossier.pages.findings import findings
from dossier.pages.limits import limits
from dossier.pages.methods import methods
from dossier.pages.safety import safety
from dossier.pages.schedule import schedule
from dossier.pages.section import Section, Stamp
from dossier.pages.signatures import signatures
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
    Section("schedule", "Cable and fuse schedule", schedule),
    Section("findings", "Findings", findings),
    Section("safety", "Safety checklist", safety),
    Section("limits", "Local rules, and the limits of this computation", limits),
    Section("assumptions", "Assumptions and inputs", assumptions),
    Section("methods", "Methods", methods),
    Section("signatures", "Readings, signatures and digest", signatures),
)


def story(build: Build, results: Results, stamp: Stamp, sections: tuple[Section, ...] = WORKSHOP) -> list[Any]:
    """Cover, contents and every section."""
    numbered = [(str(index), section) for index, section in enumerate(sections, start=1)]
    made: list[Any] = [
        *cover(build, results, stamp),
        new_page(),
        text("Contents", "heading_1"),
        *contents([(number, section.title, section.key) for number, section in numbered]),
        gap(4),
    ]
    for number, section in numbered:
        made.append(heading(section.title, 1, section.key, number))
        made += section.set(build, results, stamp)
    return made
