"""What is open, in words for somebody who has neither the build file nor the standards at hand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from dossier.diagnostic import Severity
from dossier.frozen import dataclass
from dossier.pages.words import capital, word
from dossier.pdf.marks import mark
from dossier.pdf.text import plain
from dossier.reader.wording import say, terms
from dossier.results.overview import Results
from dossier.results.recorded import CheckRow

# An edition of a law or standard, as findings cite it, with its paragraphs and tables.
_CITED: Final = re.compile(
    r"\b(?:\d+ CFR|ISO|BS|IEC|ABYC|NEC|SAE|NIOSH|UN R?)[ -]?[A-Z]?[\w.\-/]*\d[\w.\-/]*(?:\([\w]+\))*(?: \d+(?:\.\d+)+)*"
    r"(?:,? (?:Table|[Pp]aras?|[Nn]otes?|[Aa]nnex|[Cc]lause) \(?[\w.\-]+\)?(?: (?:to|and) \(?\w+\)?)*)*"
)
_ENTRY: Final = re.compile(r"`[^`]*[{:][^`]*`")  # a piece of a build file
_FIELD: Final = re.compile(r"`[a-z]+`|\b[a-z0-9]+(?:_[a-z0-9]+)+\b")
_CHEMISTRY: Final = re.compile(r"\b(?:lifepo4|lto|agm|flooded)(?=\))")


@dataclass(frozen=True, slots=True)
class OpenPoint:
    """One point: how much it weighs and its word, what was found, what it means if nothing is done, its rule."""

    severity: Severity
    state: str
    found: str
    meaning: str
    rule: str = ""

    @property
    def sign(self) -> str:
        """Markup of its mark."""
        return mark(self.severity, self.state)


def open_points(results: Results) -> list[OpenPoint]:
    """Every finding from a caution on, then what the checklist passed with a limitation or could not see."""
    return [
        *(
            OpenPoint(
                one.severity,
                "",
                capital(without_citations(without_fields(plain(one.headline, 300)))),
                without_citations(without_fields(plain(one.consequence, 300))),
                one.title,
            )
            for one in results.findings
            if one.severity >= Severity.CAUTION
        ),
        *(_limited(one) for one in reserved(results)),
    ]


def by_rule(points: Sequence[OpenPoint]) -> list[OpenPoint]:
    """Points against one rule as one: the rule, and whatever breaks it."""
    groups: dict[tuple[Severity, str], list[OpenPoint]] = {}
    for one in points:
        groups.setdefault((one.severity, one.rule or one.found), []).append(one)
    return [_together(group) for group in groups.values()]


def _together(group: Sequence[OpenPoint]) -> OpenPoint:
    first = group[0]
    if not first.rule:
        return first
    about = first.found if len(group) == 1 else "; ".join(dict.fromkeys(one.found.partition(":")[0] for one in group))
    return replace(first, found=f"{first.rule}: {about}")


def reserved(results: Results) -> list[CheckRow]:
    """Points of the checklist with a limitation, and those nobody could verify; a failed one is a finding."""
    return [one for one in results.recorded.checklist if one.state in ("limitation", "not_verified")]


def _limited(one: CheckRow) -> OpenPoint:
    asked = plain(one.words, 300)
    note = plain(one.note, 300)
    return OpenPoint(
        Severity.CAUTION,
        terms("safety.states")[one.state],
        say("customer.open_check", note=note, asked=asked) if note else asked,
        say("customer.open_limitation" if one.state == "limitation" else "customer.open_not_verified"),
    )


def without_fields(words: str) -> str:
    """``words`` with the names that only the build file has said as words."""
    said = terms("words.fields")
    words = _ENTRY.sub(say("words.in_the_build_file"), words)
    words = _FIELD.sub(lambda found: said.get(name := found[0].strip("`")) or word(name), words)
    return _CHEMISTRY.sub(lambda found: word(found[0]), words)


def without_citations(words: str) -> str:
    """``words`` with laws and standards called the published rule."""
    return _CITED.sub(say("customer.published_rule"), words)
