"""Rules on capacitor banks: cell voltage, balancing, and the first contact."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from dossier.buildfile.model import Quantity
from dossier.diagnostic import Diagnostic, Severity
from dossier.findings.rule import BY_CODE, Examined
from dossier.reader.promised import fault_ka, high_v, up

CELL_OVER = BY_CODE["capacitor-cell-above-rating"]
CELL_SPREAD = BY_CODE["capacitor-cells-unbalanced"]
PRECHARGE = BY_CODE["bank-without-pre-charge"]
PRECHARGE_SMALL = BY_CODE["pre-charge-resistor-overloaded"]


def findings(subject: Examined) -> Iterator[Diagnostic]:
    """Everything wrong with capacitor banks."""
    for row in subject.charging.banks:
        path, declared = f"capacitor_banks.{row.id}", subject.build.capacitor_banks[row.id]
        if row.cell > row.rated:
            yield CELL_OVER.stop(
                f"{row.title}: {row.series} cells in series at {high_v(row.volts)} V see {up(row.cell, 2)} V each, "
                f"rated {row.rated:.2f} V",
                f"{path}.series",
            )
        elif row.worst_cell > row.rated and declared.balancing in ("", "none"):
            yield CELL_SPREAD.finding(
                Severity.STOP if declared.balancing == "none" else Severity.CAUTION,
                f"{row.title}: balancing {row.balancing}; the smallest of {row.series} cells may see "
                f"{up(row.worst_cell, 2)} V, "
                f"rated {row.rated:.2f} V",
                path,
            )
        if not row.precharge_stated:
            least = _bears(subject, declared.at)
            beyond = least is not None and row.inrush > least
            yield PRECHARGE.finding(
                Severity.CAUTION if beyond else Severity.NOTE,
                f"{row.title}: closing onto the empty bank draws up to {fault_ka(row.inrush)} kA"
                + (f", through contacts and fuses rated down to {least:.0f} A; " if beyond else "; ")
                + f"{row.precharge:g} Ω take "
                f"{row.precharge_power:.0f} W at first, {row.energy / 1000:.0f} kJ in all, "
                f"{ceil(row.precharge_99 / 60)} min to 99 %",
                path,
            )
        elif row.precharge_rating is not None and row.precharge_rating < row.precharge_power:
            yield PRECHARGE_SMALL.caution(
                f"{row.title}: {row.precharge:g} Ω take {row.precharge_power:.0f} W at first, rated "
                f"{row.precharge_rating:.0f} W",
                f"{path}.precharge",
            )


def _bears(subject: Examined, at: str) -> float | None:
    """Smallest rating of the fuses and contacts that the current of the first contact passes [A]; None without any."""
    build = subject.build
    cables = [c for c in build.cables.values() if at in (c.start, c.end)]
    rated: list[Quantity | None] = [fuse.rating for cable in cables for fuse in cable.fuses.values()]
    rated += [c.peak or c.continuous for c in build.couplings.values() if at in (c.start, c.end)]
    return min((one.si for one in rated if one is not None), default=None)
