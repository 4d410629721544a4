"""``dossier finding``: why a finding matters, how to fix it, and where the rule comes from."""

from __future__ import annotations

import argparse
import re
import sys
import textwrap
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from dossier.buildfile.names import nearest
from dossier.buildfile.search import stem
from dossier.cli.exit_codes import Exit
from dossier.cli.said import print_diagnostics
from dossier.cli.terminal import terminal
from dossier.diagnostic import Diagnostic, Severity

if TYPE_CHECKING:
    from dossier.findings.rule import Rule

_SLIP = 0.85  # likeness of two codes that differ by a slip of the pen
_IN_CODE, _IN_TITLE, _IN_REST = 3.0, 2.0, 0.5  # what a word found there counts
_NEAR_BEST, _MOST = 0.7, 5  # of the best score; codes named
_SMALL = frozenset(("a", "an", "and", "for", "in", "is", "it", "my", "of", "on", "or", "than", "the", "to", "too"))
# What is said -> the words that codes and titles use.
_SAYINGS: Mapping[str, tuple[str, ...]] = {
    "amp": ("amplifier",), "big": ("above", "over", "exceeded"), "blow": ("fuse",), "cable": ("conductor", "lead"),
    "cap": ("capacitor", "bank"), "dead": ("drain", "deficit"), "dim": ("voltage",), "dip": ("voltage", "collapse"),
    "earth": ("return", "body"), "ground": ("return", "body"), "heavy": ("mass", "payload"), "high": ("above",),
    "hot": ("warmer", "warm", "overloaded", "burn"), "large": ("above", "over"), "low": ("below",),
    "melt": ("burn", "warmer"), "missing": ("without", "unprotected", "unknown"), "no": ("without", "unprotected"),
    "oversized": ("above",), "sag": ("voltage", "collapse"), "small": ("below",), "sub": ("speaker",),
    "thin": ("overloaded", "below"), "undersized": ("overloaded", "below"), "unfused": ("unprotected",),
    "weight": ("mass", "payload"), "wire": ("conductor", "lead"), "wiring": ("conductor",),
}  # fmt: skip


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "code", metavar="CODE", nargs="*", help="for example fuse-above-ampacity, or words for it; without it: all"
    )


def run(arguments: argparse.Namespace) -> int:
    """Run the command."""
    from dossier.findings.every import RULES

    if not arguments.code:
        longest = max(len(rule.code) for rule in RULES)
        print("\n".join(f"{rule.code:<{longest}}  {rule.title}" for rule in RULES))
        return Exit.OK
    by_code = {rule.code: rule for rule in RULES}
    codes = [code.strip("[]").casefold() for code in arguments.code]
    if not all(code in by_code for code in codes):
        code = " ".join(codes)
        said = Diagnostic("unknown-finding", Severity.ERROR, f"there is no finding `{code}`", fix=_meant(code, RULES))
        print_diagnostics((said,))
        return Exit.UNUSABLE
    print("\n\n".join(explained(by_code[code]) for code in codes))
    return Exit.OK


def _meant(code: str, rules: Sequence[Rule]) -> str:
    """The code that is mistyped, or those that the words may mean."""
    close = nearest(code, [rule.code for rule in rules])
    if close and SequenceMatcher(None, code, close).ratio() >= _SLIP:
        return f"dossier finding {close}"
    found = alike(code, rules)
    if found:
        return "what is meant may be " + ", or ".join(f"`dossier finding {one.code}` ({one.title})" for one in found)
    return f"dossier finding {close}" if close else "dossier finding lists all of them"


def alike(text: str, rules: Sequence[Rule]) -> list[Rule]:
    """The rules that words may mean, best first: words of the code count most, then of the title, then of the rest."""
    words = [word for word in _words(text) if word not in _SMALL]
    scores = {rule.code: sum(_score(word, rule) for word in words) for rule in rules}
    best = max(scores.values(), default=0.0)
    kept = [rule for rule in rules if best >= _IN_TITLE and scores[rule.code] > best * _NEAR_BEST]
    return sorted(kept, key=lambda rule: -scores[rule.code])[:_MOST]


def _score(word: str, rule: Rule) -> float:
    wanted = {word, *_SAYINGS.get(word, ())}
    for text, worth in ((rule.code, _IN_CODE), (rule.title, _IN_TITLE), (f"{rule.consequence} {rule.fix}", _IN_REST)):
        if wanted & set(_words(text)):
            return worth
    return 0.0


def _words(text: str) -> list[str]:
    return [stem(word) for word in re.findall("[a-z0-9]+", text.casefold())]


def explained(rule: Rule) -> str:
    """A finding in full: what, why, how to fix it, an example, and the source."""
    colour, width = terminal(sys.stdout)
    code = f"\x1b[1m{rule.code}\x1b[0m" if colour else rule.code
    lines = [f"{code}  ({rule.title})"]
    facts = [
        ("why", rule.consequence),
        ("fix", rule.fix),
        ("for example", rule.example),
        ("source", rule.source),
    ]
    for label, text in facts:
        if text:
            lines += textwrap.wrap(
                text, max(width, 60), initial_indent=f"  {label + ':':<13} ", subsequent_indent=" " * 16,
                break_long_words=False, break_on_hyphens=False,
            )
    return "\n".join(lines)
