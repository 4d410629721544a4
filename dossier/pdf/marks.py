"""Status marks: always sign and word and colour, so that none of them carries the meaning alone."""

from __future__ import annotations

from typing import Final

from dossier import style
from dossier.diagnostic import Severity
from dossier.pdf.text import markup

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
    shown = word or severity.word.capitalize()
    return f'<font color="{colour}"><b>{markup(sign)}&nbsp;{markup(shown)}</b></font>'
