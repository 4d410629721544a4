"""Which sections an edition has, in reading order, and how they are numbered."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from dossier.buildfile.model import Build
from dossier.frozen import dataclass
from dossier.pages.appendix.assumptions import assumptions
from dossier.pages.appendix.limits import limits
from dossier.pages.appendix.methods import methods
from dossier.pages.delivery.handover import handover
from dossier.pages.delivery.labels import labels
from dossier.pages.delivery.signoff import checklist, signatures
from dossier.pages.diagram.section import diagram
from dossier.pages.editions import customer, entry, inspector
from dossier.pages.opening.cover import cover
from dossier.pages.opening.findings import findings
from dossier.pages.opening.letterhead import letterhead
from dossier.pages.opening.measure_next import measure_next
from dossier.pages.opening.options import options
from dossier.pages.proof.logs import logs
from dossier.pages.proof.measurements import measurements
from dossier.pages.proof.photos import photos
from dossier.pages.section import Section, Setter, Stamp
from dossier.pages.system.budget import load_budget
from dossier.pages.system.charging import charging
from dossier.pages.system.equipment import equipment
from dossier.pages.system.identity import identity, settings
from dossier.pages.system.protection import protection
from dossier.pages.system.schedule import schedule
from dossier.pages.system.storage import storage
from dossier.pages.system.voltage import voltage
from dossier.pdf.contents import contents
from dossier.pdf.flow import heading, new_page, text
from dossier.pdf.text import is_shown
from dossier.reader.wording import say, to_owner_builder
from dossier.results.overview import Results

# As the workshop asks: what is fitted, what is wrong, what carries it, what was seen; what it rests on comes last.
WORKSHOP: Final = (
    Section("diagram", diagram),
    Section("findings", findings),
    Section("schedule", schedule),
    Section("voltage", voltage),
    Section("budget", load_budget),
    Section("charging", charging),
    Section("storage", storage),
    Section("protection", protection),
    Section("measurements", measurements),
    Section("logs", logs),
    Section("options", options),
    Section("measure", measure_next),
    Section("safety", checklist),
    Section("equipment", equipment),
    Section("identity", identity),
    Section("settings", settings),
    Section("photos", photos),
    Section("handover", handover),
    Section("signatures", signatures),
    Section("labels", labels),
    Section("assumptions", assumptions),
    Section("methods", methods),
    Section("limits", limits),
)


@dataclass(frozen=True, slots=True)
class Edition:
    """One document made from a build."""

    name: str  # as on the command line
    suffix: str  # of its file name
    cover: Setter  # sets its first page
    sections: tuple[Section, ...]  # in reading order
    numbered: bool  # whether sections have numbers, and their contents stand on the first page


EDITIONS: Final = {
    one.name: one
    for one in (
        Edition("workshop", "", cover, WORKSHOP, numbered=True),
        Edition("customer", "-customer", customer.cover, customer.SECTIONS, numbered=False),
        Edition("inspector", "-inspector", inspector.cover, inspector.SECTIONS, numbered=False),
        Edition("entry", "-entry", entry.cover, entry.SECTIONS, numbered=False),
    )
}


def story(build: Build, results: Results, stamp: Stamp, edition: str = "workshop") -> list[Any]:
    """Cover, contents where there are any, and every section that has something to say; to whoever built it."""
    if build.record.workshop:
        return _story(build, results, stamp, edition)
    with to_owner_builder():
        return _story(build, results, stamp, edition)


def _story(build: Build, results: Results, stamp: Stamp, edition: str) -> list[Any]:
    chosen = EDITIONS[edition]
    said = [(section, body) for section in chosen.sections if (body := section.set(build, results, stamp))]
    numbers = [str(index) if chosen.numbered else "" for index in range(1, len(said) + 1)]
    made: list[Any] = [*letterhead(build, stamp), *chosen.cover(build, results, stamp)]
    if not _is_shown(build.tree):
        made.append(text(say("paper.codes"), "note"))
    if chosen.numbered:
        entries = [(number, section.title, section.key) for number, (section, _) in zip(numbers, said, strict=True)]
        made += [text(say("edition.contents"), "heading_2"), contents(entries)]
    for number, (section, body) in zip(numbers, said, strict=True):
        if section.fresh:
            made.append(new_page())
        if section.titled:
            made.append(heading(section.title, 1, section.key, number))
        made += body
    return made


def _is_shown(tree: Any) -> bool:
    """Whether every text of the build file can be set as it is written."""
    if isinstance(tree, str):
        return is_shown(tree)
    if isinstance(tree, Mapping):
        return all(_is_shown(one) for one in tree.values())
    return not isinstance(tree, (list, tuple)) or all(_is_shown(one) for one in tree)
