"""Measurements people can make with what they own, and which inputs each of them tells.

They stand in ``measuring.json``, in order of preference where two would do, with what several of them say alike under
``common``. All common practice in the trade; no published source.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, Final

from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Method:
    """One measurement: ``how`` says it in one sentence."""

    title: str
    instruments: str
    paths: str  # pattern on the inputs that it narrows
    how: str
    steps: tuple[str, ...]
    fields: tuple[str, ...] = ()  # fields of the build file that its result is written into

    def tells(self, path: str) -> bool:
        """Whether it tells the input at this path."""
        return re.fullmatch(self.paths, path) is not None


def _methods() -> tuple[Method, ...]:
    table = json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))

    def filled(value: Any) -> Any:
        return value.format_map(table["common"]) if isinstance(value, str) else tuple(map(filled, value))

    return tuple(Method(**{key: filled(value) for key, value in row.items()}) for row in table["methods"])


METHODS: Final = _methods()


def method_for(path: str) -> Method | None:
    """The measurement that tells the input at a path; None where nothing people own does."""
    return next((m for m in METHODS if m.tells(path)), None)


def method_of(field: str) -> Method | None:
    """The measurement whose result is written into a field; None where there is none."""
    return next((m for m in METHODS if field in m.fields), None)
