"""Cable and fuse schedule: every conductor with its currents, allowable current, warmth, drop, loss and fuses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import prod
from typing import Final

from dossier.assessment.conductors.heating import added_resistance, assumed_metal, background, warmth
from dossier.assessment.sag.currents import ConductorCurrent
from dossier.buildfile.model import Build
from dossier.electrical.ampacity import ALONE, Allowable, allowable, cautious_60
from dossier.electrical.ampacity import Factor as Bundle
from dossier.electrical.fuses import minimum_rating, temperature_rerating
from dossier.electrical.refusal import OutsideKnownError
from dossier.equipment.conductors import MATERIAL_WORDS, Conductor, FuseInCable, ambient_of
from dossier.equipment.installed import Installed
from dossier.equipment.value import ASSUMED
from dossier.reference.ampacity import TABLE5, TABLE5_COLUMNS
from dossier.reference.conductors import awg_area
from dossier.results.schedule import ConductorRow, Factor, FuseRow, Warmth

__all__ = ["ConductorCurrent", "allowed_current", "conductor_row", "schedule"]

THINNEST: Final = awg_area(next(iter(TABLE5)))  # m2, of the published table
BEST_INSULATION: Final = 105.0  # degC: what an unmarked cable may be at best; the usual marking of the trade


def schedule(
    build: Build,
    fit: Installed,
    currents: Mapping[str, tuple[ConductorCurrent, ...]],
    asked: Mapping[str, tuple[ConductorCurrent, ...]],
) -> tuple[ConductorRow, ...]:
    """Every conductor of the build.

    Args:
        build: the build.
        fit: its devices.
        currents: cable id -> its currents, one per load case.
        asked: the same as the amplifiers ask for them, which fuses must carry; more where one was starved.
    """
    return tuple(conductor_row(build, one, currents[id_], asked[id_]) for id_, one in fit.conductors.items())


def allowed_current(conductor: Conductor) -> Allowable | None:
    """Allowable current of one run, None where no published base covers it (the body; too thin)."""
    cable = conductor.cable
    if cable.size is None or conductor.insulation is None:
        return None
    return _allowed(
        cable.size.si, conductor.insulation.nominal, conductor.ambient.nominal, conductor.bundle, cable.material
    )


def cautious(conductor: Conductor, limits: Allowable | None) -> float | None:
    """What the lower of two published tables allows 60 degC insulation [A]; None where the first is the lower."""
    size = conductor.cable.size
    if limits is None or size is None or limits.column > TABLE5_COLUMNS[0]:
        return None
    lower = cautious_60(size.si)
    return None if lower is None or lower >= limits.base else lower * prod(f.value for f in limits.factors)


def allowed_at_best(conductor: Conductor) -> float | None:
    """Allowable current of one run if everything that is not stated were favourable [A].

    Outside the tables that of their nearest row and column, which is surely more.
    """
    cable = conductor.cable
    if cable.size is None or conductor.insulation is None:
        return None
    insulation, ambient = conductor.insulation.nominal, conductor.ambient.nominal
    if conductor.insulation.basis == ASSUMED:
        insulation = max(insulation, BEST_INSULATION)
    if conductor.ambient.basis == ASSUMED:
        ambient = conductor.ambient.low
    area, insulation = max(cable.size.si, THINNEST), max(insulation, TABLE5_COLUMNS[0])
    bundle = conductor.bundle if cable.bundled is not None else ALONE
    found = _allowed(area, insulation, ambient, bundle, cable.material)
    return found.allowed if found else None


@lru_cache(maxsize=1024)
def _allowed(area: float, insulation: float, ambient: float, bundle: Bundle, material: str) -> Allowable | None:
    try:
        return allowable(area, insulation, ambient, bundle, material)
    except OutsideKnownError:
        return None


def conductor_row(
    build: Build, conductor: Conductor, currents: tuple[ConductorCurrent, ...], asked: tuple[ConductorCurrent, ...] = ()
) -> ConductorRow:
    """One conductor with its fuses, from its currents in every load case, the fuses from what is asked of them."""
    cable = conductor.cable
    hottest = max(currents, key=lambda c: c.rms)
    peak = max(c.peak for c in currents)
    limits = allowed_current(conductor)
    warm = warmth(conductor, limits, currents)
    assumed = counted = None
    extra = uncounted = 0.0
    if conductor.wire is not None and warm is not None:
        assumed = assumed_metal(conductor)
        counted = _counted(warm, currents) or assumed
        extra = added_resistance(conductor, warm.peak)
        uncounted = extra - added_resistance(conductor, counted)
    resistance = conductor.resistance + extra
    return ConductorRow(
        id=cable.id,
        title=cable.title,
        role=cable.role,
        start=cable.start,
        end=cable.end,
        chassis=cable.chassis,
        size=cable.size.said() if cable.size else "vehicle body",
        size_mm2=cable.size.si * 1e6 if cable.size else None,
        runs=cable.runs,
        material="steel body" if cable.chassis and cable.size is None else MATERIAL_WORDS[cable.material],
        insulation=conductor.insulation.nominal if conductor.insulation else None,
        ambient=conductor.ambient.nominal,
        length=cable.length.si if cable.length else None,
        resistance=resistance,
        rms=hottest.rms / cable.runs,
        peak=peak,
        mean=hottest.mean,
        base_ampacity=limits.base if limits else None,
        factors=tuple(Factor(f.name, f.value, f.source.short) for f in limits.factors) if limits else (),
        allowed=limits.allowed if limits else None,
        drop=peak * resistance,
        loss=hottest.rms**2 * resistance,
        worst_case=hottest.case,
        fuses=tuple(_fuse(build, f, cable.runs, asked or currents, limits) for f in conductor.fuses),
        insulation_assumed=conductor.insulation is not None and conductor.insulation.basis == ASSUMED,
        column=limits.column if limits else None,
        allowed_at_best=allowed_at_best(conductor),
        warmth=warm,
        assumed_temperature=assumed,
        extra_drop=max(extra, 0.0) * peak,
        counted_temperature=counted,
        uncounted_drop=max(uncounted, 0.0) * peak,
        drop_high=peak * (sum(v.high for v in conductor.parts) + max(extra, 0.0)),
        cautious=cautious(conductor, limits),
    )


def _counted(warm: Warmth, currents: tuple[ConductorCurrent, ...]) -> float | None:
    """Temperature of the metal that the run of the worst load case counted [degC]; None = the assumed one."""
    return next((c.metal for c in currents if c.case == warm.case and c.metal is not None), None)


def needed_rating(currents: Sequence[ConductorCurrent], share: float, ambient: float) -> float:
    """Smallest rating that carries the load cases [A].

    What goes on may take 75 % of the rating, a single note all of it (a fuse carries its rating for hours: 110 % for
    100 h, ISO 8820, not checked against the document), both of the rating that is left in warm air.

    Args:
        currents: of the cable, all runs.
        share: part of it that goes through this fuse.
        ambient: air at the fuse [degC].
    """
    notes = max((c.rms for c in currents if not c.goes_on), default=0.0)
    return max(
        minimum_rating(background(currents) * share, ambient), notes * share / max(temperature_rerating(ambient), 1e-3)
    )


def _fuse(
    build: Build, fitted: FuseInCable, runs: int, currents: Sequence[ConductorCurrent], limits: Allowable | None
) -> FuseRow:
    fuse = fitted.fuse
    return FuseRow(
        id=fuse.id,
        near=fuse.near,
        style=fuse.style,
        rating=fuse.rating.si,
        distance=fuse.distance.si if fuse.distance else None,
        breaking_capacity=fuse.breaking_capacity.si if fuse.breaking_capacity else None,
        shared=fuse.shared,
        needed=needed_rating(currents, 1.0 if fuse.shared else 1.0 / runs, ambient_of(build, fuse.near).nominal),
        largest=limits.allowed if limits else 0.0,
    )
