"""The last page: readings to take at handover, who signs what, and the digest that ties the parts together."""

from __future__ import annotations

from typing import Any

from dossier.buildfile.model import Build
from dossier.pages.plots import worst_of
from dossier.pages.section import Stamp
from dossier.pages.words import fixed, name
from dossier.pdf.flow import gap, heading, rich, text
from dossier.pdf.tables import Column, data_table, num
from dossier.pdf.text import markup
from dossier.results.overview import Results

_SIGNERS = (
    ("Installed by", "The work was done as recorded here and the checklist is ticked for what was done."),
    ("Checked by", "A second person has looked at sources, fuses, routing and restraint."),
    ("Received by", "The customer has been shown the disconnects, the limits of use and the maintenance."),
)


def signatures(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Blocks to sign, revision, and the digest."""
    blank = [gap(30)]
    story: list[Any] = [
        *_readings(results),
        heading("Signatures", 2, "sign"),
        text("Each signature is for the sentence beside it, for this revision and no other.", "body"),
        data_table(
            [
                Column("Signature for", share=1.5, row_head=True),
                Column("Name", share=1.0),
                Column("Date", share=0.6),
                Column("Signature", share=1.2),
            ],
            [
                [rich(f"<b>{markup(who)}</b><br/>{markup(what)}", "cell"), blank, blank, blank]
                for who, what in _SIGNERS
            ],
        ),
        heading("Attached files and digest", 2, "digest"),
        rich(f"Attached to this PDF: {markup(', '.join(stamp.parts))}. Digest over them, in this order:"),
        text(stamp.digest, "warning"),
        text(
            "The digest is SHA-256, shown as its first twenty base-32 signs. It shows that the parts "
            "belong together; it does not show who wrote them. The same build file gives the same "
            "document, byte for byte, with the same version "
            f"of the program ({stamp.program}).",
            "note",
        ),
    ]
    return story


def _readings(results: Results) -> list[Any]:
    """Computed voltages with room for what the meter shows."""
    rows: list[list[Any]] = []
    for case in results.load_cases:
        worst = worst_of(case)
        computed = fixed(worst.mean_minimum.volts)
        rows.append([name(case.title), name(worst.title), fixed(worst.rest), "", computed, ""])
    if not rows:
        return []
    return [
        heading("Readings at handover", 2, "readings"),
        text(
            "DC volts of a multimeter at the amplifier terminals, beside what was computed. Instrument and "
            "date go with the signature."
        ),
        data_table(
            [
                Column("Load case", row_head=True, share=1.3),
                Column("Amplifier", share=0.9),
                num("At rest,\ncomputed V"),
                Column("measured V", share=0.6),
                num("Lowest mean,\ncomputed V"),
                Column("measured V", share=0.6),
            ],
            rows,
        ),
    ]
