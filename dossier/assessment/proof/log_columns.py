"""Which column of a measured log shows what of the build."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np

from dossier.buildfile.logs.log import LogColumn, LogError, VoltageLog
from dossier.buildfile.model import Build
from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.frozen import dataclass

PLAUSIBLE = (0.3, 1.6)  # median of a logged voltage over the system's nominal one
PROBED = (0.75, 1.3)  # the same of one that a probe's factor of ten would explain


@dataclass(frozen=True, slots=True)
class Channel:
    """A column of a log and what of the network it shows: ``target`` is amplifiers.ID, locations.ID or a source."""

    column: LogColumn
    target: str
    title: str
    kind: str  # voltage | current


def channels_of(build: Build, log: VoltageLog, stated: Mapping[str, str], file: str) -> tuple[Channel, ...]:
    """What each column shows: as stated, else by its name.

    Args:
        build: the build.
        log: the log as read.
        stated: column name -> target.
        file: name of the log, for complaints.

    Raises:
        LogError: a stated column or target does not exist, or nothing could be told.
    """
    known = targets(build)
    wrong = [f"`{name}`" for name in stated if name not in {c.name for c in log.columns}]
    unknown = [f"`{target}`" for target in stated.values() if target not in known]
    if wrong or unknown:
        raise _unmatched(
            build, log, file, "no such column: " + ", ".join(wrong) if wrong else "no such place: " + ", ".join(unknown)
        )
    found = []
    for column in log.columns:
        target = stated.get(column.name) or (None if stated else _by_name(known, column))
        if target is None:
            continue
        current = column.kind == "current" or (target.split(".")[0] in ("supplies",))
        level = float(np.nanmedian(column.values)) / build.vehicle.system.si
        if not current and not PLAUSIBLE[0] <= level <= PLAUSIBLE[1]:
            raise _unclear(column, file, level)
        found.append(Channel(column, target, known[target], "current" if current else "voltage"))
    if not any(c.kind == "voltage" for c in found):
        raise _unmatched(build, log, file, "no column of the log could be matched to a place of the build file")
    return tuple(found)


def targets(build: Build) -> dict[str, str]:
    """Everything a column can show, with its title."""
    known = {f"locations.{id_}": place.title for id_, place in build.locations.items()}
    known |= {f"amplifiers.{id_}": a.title for id_, a in build.amplifiers.items()}
    known |= {f"batteries.{id_}": b.title for id_, b in build.batteries.items()}
    known |= {f"capacitor_banks.{id_}": b.title for id_, b in build.capacitor_banks.items()}
    return known | {f"supplies.{id_}": s.title for id_, s in build.supplies.items()}


def _by_name(known: Mapping[str, str], column: LogColumn) -> str | None:
    """The target whose id or title is the column's name, or all of whose words are in it."""
    name = set(re.findall(r"[a-z0-9]+", column.name.casefold()))
    best: tuple[int, str] | None = None
    for target, title in known.items():
        for words in (target.split(".", 1)[1], title):
            asked = set(re.findall(r"[a-z0-9]+", words.casefold()))
            if asked and asked <= name and (best is None or len(asked) > best[0]):
                best = (len(asked), target)
    return best[1] if best else None


def _unmatched(build: Build, log: VoltageLog, file: str, headline: str) -> LogError:
    places = ", ".join(targets(build))
    columns = ", ".join(f"`{c.name}`" for c in log.columns)
    return LogError(
        Diagnostic(
            "log-column-unknown",
            Severity.ERROR,
            headline,
            where=Place(file, 1, 1, ""),
            expected=f"the columns are {columns}; they can show {places}",
            fix="under the log in the build file `columns: {NAME: amplifiers.ID}`; to `dossier fit` --column "
            '"NAME=amplifiers.ID"',
        )
    )


def _unclear(column: LogColumn, file: str, level: float) -> LogError:
    """``level``: the median of the column over the system's nominal voltage."""
    fix = (
        f"`{column.name} [A]` if it is a current, `{column.name} [mV]` if it is millivolts; a negative one was read "
        "with swapped probes"
    )
    for factor, words in ((10.0, "ten times"), (0.1, "a tenth of")):
        if PROBED[0] <= level / factor <= PROBED[1]:
            fix = f"{words} a vehicle's volts: a probe's factor of ten that the instrument was not set to; or {fix}"
    return LogError(
        Diagnostic(
            "log-column-unclear",
            Severity.ERROR,
            f"the values of `{column.name}`, about {np.nanmedian(column.values):.4g}, are no voltage of this vehicle",
            where=Place(file, 1, 1, ""),
            expected="volts, plus against minus, or the unit in the head of the column",
            fix=fix,
        )
    )
