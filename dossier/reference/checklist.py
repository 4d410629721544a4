"""The points of the checklist: what a person does and looks at, by a name that the build file can refer to.

They stand in ``checklist.json`` by group: id, words (metric and US where they differ), and for which installations.
Common practice in the trade, no source, except where a line names one.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

from dossier.frozen import dataclass
from dossier.reader.said import said_in

OWN_GROUP: Final = ("own", "Further points")


@dataclass(frozen=True, slots=True)
class Point:
    """One line of the checklist."""

    id: str  # stable name
    group: str  # key of `GROUPS`
    words: str  # what has to be so; ``{sources}`` is the number of energy sources
    when: str = ""  # for which installations: "" = all; else a condition of ``dossier.assessment.proof.recorded``


_TABLE = json.loads(Path(__file__).with_suffix(".json").read_text(encoding="utf-8"))
GROUPS: Final = tuple((key, str(group["title"])) for key, group in _TABLE.items())
POINTS: Final = tuple(
    Point(name, key, said_in(words), *when) for key, group in _TABLE.items() for name, words, *when in group["points"]
)
NAMES: Final = frozenset(point.id for point in POINTS)
