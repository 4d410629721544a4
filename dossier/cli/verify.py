"""``dossier verify``: whether a dossier still says what its own parts say."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.cli.exit_codes import Exit
from dossier.cli.progress import Progress
from dossier.cli.said import print_diagnostics
from dossier.diagnostic import Diagnostic, Severity

if TYPE_CHECKING:
    from dossier.record.verify import Verdict

_MOST_LISTED = 60
SAME, DIFFERS, NOT_A_DOSSIER = 0, 1, Exit.UNUSABLE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("pdf", metavar="FILE.pdf", type=Path, help="a dossier, any edition")
    parser.add_argument("--show", choices=("full", "json"), default="full", help="how (default: full)")
    parser.add_argument("-q", "--quiet", action="store_true", help="print nothing; the exit code says it")


def run(arguments: argparse.Namespace) -> int:
    """Run the command: 0 the same figures, 1 something differs, 2 not a dossier or not readable."""
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

    print(f"{path}: digest {verdict.digest}")
    if verdict.other_program:
        print(f"changed program: made with {verdict.made_with}, installed is {verdict.installed}")
        print("  page text of another version is checked against the document's own seal only")
    for line in verdict.parts_changed:
        print(f"changed attachment: {line}")
    if verdict.pages_changed:
        pages = ", ".join(str(page) for page in verdict.pages_changed)
        print(f"changed page text: page {pages}")
    if verdict.problem:
        print(f"not computed: {verdict.problem}")
    for one in verdict.figures[:_MOST_LISTED]:
        print(f"differs: {one.path}: {one.attached} in the document, {one.computed} computed now")
    if len(verdict.figures) > _MOST_LISTED:
        print(f"and {len(verdict.figures) - _MOST_LISTED} more figures; --show json lists all")
    if not verdict.figures and not verdict.problem:
        print(f"same figures (within {TOLERANCE})")
    if verdict.same_bytes:
        print("the document made again is the same, byte for byte")
    elif verdict.is_same and not verdict.other_program:
        print("the document made again is not the same byte for byte: something in it that is no figure was changed,")
        print("or this machine draws it otherwise")
    print("This shows that the parts belong together; it does not show who wrote them.")


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
        "changed_attachments": list(verdict.parts_changed),
        "changed_pages": list(verdict.pages_changed),
        "problem": verdict.problem,
        "figures": [
            {"path": one.path, "attached": one.attached, "computed": one.computed} for one in verdict.figures
        ],
    }
    print(json.dumps(tree, ensure_ascii=False, indent=1))
