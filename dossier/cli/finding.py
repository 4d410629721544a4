"""``dossier finding``: why a finding matters, how to fix it, and where the rule comes from."""

from __future__ import annotations

import argparse
import sys
import textwrap
from typing import TYPE_CHECKING

from dossier.buildfile.names import nearest
from dossier.cli.exit_codes import Exit
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import terminal
from dossier.diagnostic import Diagnostic, Severity

if TYPE_CHECKING:
    from dossier.findings.rule import Rule


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("code", metavar="CODE", nargs="?", help="for example fuse-above-ampacity; without it: all")


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dossier.findings.every import RULES

    if arguments.code is None:
        longest = max(len(rule.code) for rule in RULES)
        print("\n".join(f"{rule.code:<{longest}}  {rule.title}" for rule in RULES))
        return Exit.OK
    code = arguments.code.strip().strip("[]").casefold()
    rule = next((rule for rule in RULES if rule.code == code), None)
    if rule is None:
        close = nearest(code, [rule.code for rule in RULES])
        said = Diagnostic(
            "unknown-finding", Severity.ERROR, f"there is no finding `{code}`",
            fix=f"dossier finding {close}" if close else "dossier finding lists all of them",
        )
        print_diagnostics((said,))
        return Exit.UNUSABLE
    print(explained(rule))
    return Exit.OK


def explained(rule: Rule) -> str:
    """A finding in full: what, why, how to fix it, an example, and the source."""
    colour, width = terminal(sys.stdout)
    code = f"\x1b[1m{rule.code}\x1b[0m" if colour else rule.code
    lines = [f"{code}  ({rule.title})"]
    facts = [
        ("why", rule.consequence),
        ("fix", rule.fix),
        ("for example", getattr(rule, "example", "")),
        ("source", rule.source),
    ]
    for label, text in facts:
        if text:
            lines += textwrap.wrap(
                text, max(width, 60), initial_indent=f"  {label + ':':<13} ", subsequent_indent=" " * 16,
                break_long_words=False, break_on_hyphens=False,
            )
    return "\n".join(lines)
