"""Sign-off: the checklist with its states, revision history, signatures, attached files, digest and its code."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from dossier import style
from dossier.buildfile.model import Build
from dossier.diagnostic import Severity
from dossier.pages.section import Stamp
from dossier.pages.words import NONE
from dossier.pdf.blank import BlankLines
from dossier.pdf.flow import gap, heading, rich, text
from dossier.pdf.marks import TICK_BOX, mark
from dossier.pdf.picture import SquareCode
from dossier.pdf.tables import Column, columns, data_table, table_of
from dossier.pdf.text import markup, plain
from dossier.reader.wording import lines, rows_of, say, terms
from dossier.reference.checklist import GROUPS, OWN_GROUP
from dossier.results.overview import Results
from dossier.results.recorded import CheckRow

_STATES: Final = {
    "pass": Severity.OK,
    "fail": Severity.STOP,
    "not_applicable": Severity.NOTE,
    "not_verified": Severity.CAUTION,
    "limitation": Severity.CAUTION,
}
_REMARK_LINES: Final = (3, 5)  # at least, at most
_NAMED: Final = 12  # attached files named on paper
CODE_SIZE: Final = 62.0


def checklist(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Every point with its state, person and day; a blank box where nothing is recorded."""
    rows = results.recorded.checklist
    made: list[Any] = [text(say("signatures.this_checklist_is_for_the_person"))]
    for key, title in (*GROUPS, OWN_GROUP):
        group = [one for one in rows if one.group == key]
        if group:
            made += [heading(title, 2, f"safety-{key}"), check_table(group)]
    return made


def check_table(rows: Sequence[CheckRow]) -> Any:
    """The points of a group in two columns, read downwards, each with the name the build file calls it by."""
    high = (len(rows) + 1) // 2
    return columns([[_half(half)] if half else [] for half in (rows[:high], rows[high:])])


def _half(rows: Sequence[CheckRow]) -> Any:
    return table_of(
        rows,
        [Column("", lambda one: "" if one.state else _box(), share=0.07), Column("", _point, share=0.93)],
        total=(style.LIVE_WIDTH - style.GUTTER) / 2,
        head=False,
        after=2.0,
    )


def _box() -> Any:
    return rich(f'<font size="11">{markup(TICK_BOX)}</font>', "cell")


def state_of(one: CheckRow) -> str:
    """Markup of a recorded state: its sign and word."""
    return mark(_STATES[one.state], terms("safety.states")[one.state])


def _point(one: CheckRow) -> Any:
    behind = " · ".join(markup(part) for part in (one.id, who(one)) if part)
    small = f'<font color="{style.MUTED}" size="6.8">{behind}</font>'
    state = f"{state_of(one)} " if one.state else ""
    return rich(f"{state}{markup(one.words)} {small}", "cell")


def who(one: CheckRow) -> str:
    """By whom, when, and what was noted."""
    return plain(", ".join(part for part in (one.by, one.date, one.note) if part), 700)


def signatures(build: Build, results: Results, stamp: Stamp) -> list[Any]:
    """Revision history, blocks to sign, attached files, and the digest."""
    signers = rows_of("signatures.signers_plan" if build.record.stage == "design" else "signatures.signers")
    ending = [*signature_blocks(signers, results), *digest_block(build, stamp)]
    return [
        *history(build),
        heading(say("signatures.reservations"), 2, "sign-remarks"),
        text(say("signatures.reservations_words"), "note"),
        BlankLines(
            tuple(zip(lines("signatures.reservations_heads"), (0.3, 2.2, 0.8), strict=True)), *_REMARK_LINES, ending
        ),
        *ending,
    ]


def history(build: Build) -> list[Any]:
    """What changed from revision to revision; nothing without a history."""
    kept = build.kept
    if not kept.revisions:
        return []
    people = {key: one.name for key, one in kept.people.items()}
    return [
        heading(say("signatures.revision_history"), 2, "sign-history"),
        table_of(
            kept.revisions,
            [
                Column(say("columns.revision"), lambda one: plain(one.revision, 20), row_head=True, share=0.42),
                Column(say("columns.date"), lambda one: one.date, share=0.5),
                Column(say("signatures.what_changed"), lambda one: one.changed, share=2.0),
                Column(say("columns.by"), lambda one: plain(people.get(one.by, ""), 60) or NONE, share=0.6),
            ],
        ),
    ]


def signature_blocks(signers: Sequence[Sequence[str]], results: Results) -> list[Any]:
    """Room for name, day and signature beside the sentence that is signed; while a stop is open, what none may say."""
    stopped = results.verdict.severity is Severity.STOP
    blank = [gap(30)]
    return [
        heading(say("signatures.signatures"), 2, "sign"),
        text(say("signatures.each_signature_is_for_the_sentence"), "body"),
        *([text(say("signatures.not_while_stopped"), "warning")] if stopped else []),
        data_table(
            [
                Column(say("signatures.signature_for"), share=1.5, row_head=True),
                Column(say("columns.name"), share=1.0),
                Column(say("columns.date"), share=0.6),
                Column(say("signatures.signature"), share=1.2),
            ],
            [[rich(f"<b>{markup(who)}</b><br/>{markup(what)}", "cell"), blank, blank, blank] for who, what in signers],
        ),
    ]


def digest_block(build: Build, stamp: Stamp) -> list[Any]:
    """The attached files, the digest over them, and its code."""
    return [
        heading(say("signatures.attached_files_and_digest"), 2, "digest"),
        rich(say("signatures.attached_to_this_pdf_digest_over", parts=markup(_named(stamp.parts)))),
        columns(
            [
                [
                    text(stamp.digest, "warning"),
                    gap(2),
                    text(say("signatures.the_digest_is_sha_256_shown", program=stamp.program), "note"),
                ],
                [code(build, stamp)],
            ],
            shares=(0.82, 0.18),
        ),
    ]


def digest_line(build: Build, stamp: Stamp) -> list[Any]:
    """The digest and its code alone, for an edition that has to stay short."""
    return [
        columns(
            [[text(say("customer.digest_words"), "note"), text(stamp.digest, "cell_strong")], [code(build, stamp)]],
            shares=(0.86, 0.14),
        )
    ]


def _named(parts: Sequence[str]) -> str:
    """The names of the attached files; of very many the first, and how many follow."""
    if len(parts) <= _NAMED:
        return ", ".join(parts)
    return say("signatures.and_more", names=", ".join(parts[:_NAMED]), number=len(parts) - _NAMED)


def code(build: Build, stamp: Stamp) -> SquareCode:
    """The digest as a square code, with the number and the revision it belongs to."""
    record = build.record
    words = f"DOSSIER {plain(record.number, 40)} {plain(record.revision, 20)} {stamp.digest.replace(' ', '')}"
    return SquareCode(
        words.encode("ascii", "replace").decode(),
        CODE_SIZE,
        say("signatures.square_code_of_the_digest", digest=stamp.digest),
    )
