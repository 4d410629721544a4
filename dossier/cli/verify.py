"""``dossier verify``: whether a dossier still says what its own parts say."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.cli.exit_codes import Exit
from dossier.cli.progress import Progress
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import visible
from dossier.diagnostic import Diagnostic, Severity

if TYPE_CHECKING:
    from dossier.record.looks.documents import Look
    from dossier.record.verify import Verdict

_MOST_LISTED = 60
SAME, DIFFERS, NOT_A_DOSSIER = 0, 1, Exit.UNUSABLE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("pdf", metavar="FILE.pdf", type=Path, help="a dossier, any edition")
    parser.add_argument("--show", choices=("full", "json"), default="full", help="how (default: full)")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing; the exit code says it")


def run(arguments: argparse.Namespace) -> int:
    """Run the command: 0 the same figures and the same look, 1 something differs, 2 not a dossier or not readable."""
    from dossier.record.opened import NotADossierError, open_dossier

    path: Path = arguments.pdf
    try:
        found = open_dossier(path)
    except NotADossierError as why:
        print_diagnostics((Diagnostic("not-a-dossier", Severity.ERROR, f"{path} {why}"),))
        return NOT_A_DOSSIER
    from dossier.record.verify import verify

    with Progress("computing again", quiet=arguments.quiet):
        verdict = verify(found)
    if arguments.show == "json":
        _print_json(path, verdict)
    elif not arguments.quiet:
        _print(path, verdict)
    return SAME if verdict.is_same else DIFFERS


def _print(path: Path, verdict: Verdict) -> None:
    from dossier.record.compare import TOLERANCE

    lines = [f"{path}: digest {verdict.digest}"]
    if verdict.other_program:
        lines.append(f"changed program: made with {verdict.made_with}, installed is {verdict.installed}")
    if verdict.drawn_otherwise:
        lines += ["drawn with other libraries, so set again and compared by what is seen:"]
        lines += [f"  {one}" for one in verdict.drawn_otherwise]
    lines += [f"changed attachment: {one}" for one in verdict.parts_changed]
    if verdict.pages_changed:
        lines.append(f"changed look: page {', '.join(str(page) for page in verdict.pages_changed)}")
    lines += [f"  {_where(one)}" for one in verdict.looks]
    if verdict.looks and verdict.drawn_otherwise:
        lines.append("  or these libraries set it otherwise: the ones named above tell, installed side by side")
    if verdict.problem:
        lines.append(f"not computed: {verdict.problem}")
    lines += [
        f"differs: {one.path}: {one.attached} in the document, {one.computed} computed now"
        for one in verdict.figures[:_MOST_LISTED]
    ]
    if len(verdict.figures) > _MOST_LISTED:
        lines.append(f"and {len(verdict.figures) - _MOST_LISTED} more figures; --show json lists all")
    if not verdict.figures and not verdict.problem:
        lines.append(f"same figures (within {TOLERANCE})")
    if verdict.saved:
        lines.append(f"other bytes: {verdict.saved}")
    elif verdict.same_bytes:
        lines.append("the document made again is the same, byte for byte")
    elif verdict.is_same:
        lines.append("same look, other bytes: words, numbers, shapes, pictures, links and structure are as set again")
    elif not verdict.compared and not verdict.problem:
        lines.append("what is seen was not compared: the document cannot be set again from these attachments")
    lines.append("This shows that the parts belong together; it does not show who wrote them.")
    print("\n".join(visible(line) for line in lines))


def _where(one: Look) -> str:
    place = f"page {one.page}" if one.page else "document"
    return ": ".join(part for part in (place, one.kind, one.where, one.detail) if part)


def _print_json(path: Path, verdict: Verdict) -> None:
    tree = {
        "format": 1,
        "file": str(path),
        "same": verdict.is_same,
        "digest": verdict.digest,
        "made_with": verdict.made_with,
        "installed": verdict.installed,
        "edition": verdict.edition,
        "same_bytes": verdict.same_bytes,
        "drawn_otherwise": list(verdict.drawn_otherwise),
        "changed_attachments": list(verdict.parts_changed),
        "changed_pages": list(verdict.pages_changed),
        "looks": [
            {"page": one.page, "where": one.where, "kind": one.kind, "detail": one.detail} for one in verdict.looks
        ],
        "compared": verdict.compared,
        "other_bytes": verdict.saved,
        "problem": verdict.problem,
        "figures": [{"path": one.path, "attached": one.attached, "computed": one.computed} for one in verdict.figures],
    }
    print(json.dumps(tree, indent=1))
