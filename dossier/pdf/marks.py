"""Status marks: always sign and word and colour, so that none of them carries the meaning alone."""

from __future__ import annotations

from typing import Final

from dossier import style
from dossier.diagnostic import Severity
from dossier.pdf.fonts import SYMBOLS
from dossier.pdf.text import markup
from dossier.reader.wording import terms

_SIGN: Final = {
    Severity.OK: ("✓", style.GOOD),
    Severity.NOTE: ("○", style.MUTED),
    Severity.CAUTION: ("!", style.CARE),
    Severity.STOP: ("✗", style.BAD),
    Severity.ERROR: ("✗", style.BAD),
}
TICK_BOX: Final = "☐"


def mark(severity: Severity, word: str = "") -> str:
    """Markup of a status mark; ``word`` replaces the severity's own word."""
    sign, colour = _SIGN[severity]
    shown = word or terms("severity.words")[severity.word]
    # The sign always comes from the one face, so that the five look like a family.
    return f'<font color="{colour}"><font name="{SYMBOLS}">{sign}</font><b>&nbsp;{markup(shown)}</b></font>'
