"""Cable and fuse schedule: every conductor with its currents, allowable current, drop, loss and fuses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dossier.buildfile.model import Build
from dossier.electrical.ampacity import Allowable, allowable
from dossier.electrical.fuses import minimum_rating
from dossier.electrical.refusal import OutsideKnownError
from dossier.equipment.conductors import MATERIAL_WORDS, Conductor, FuseInCable, ambient_of
from dossier.equipment.fitted import Fitted
from dossier.results.schedule import ConductorRow, Factor, FuseRow


@dataclass(frozen=True, slots=True)
class ConductorCurrent:
    """Current of one cable in one load case, all runs together [A]: mean and rms while it sounds, and the peak."""

    case: str
    mean: float
    rms: float
    peak: float


def schedule(
    build: Build, fit: Fitted, currents: Mapping[str, tuple[ConductorCurrent, ...]]
) -> tuple[ConductorRow, ...]:
    """Every conductor of the build.

    Args:
        build: the build.
        fit: its devices.
        currents: cable id -> its currents, one per load case.
    """
    return tuple(_row(build, conductor, currents[id_]) for id_, conductor in fit.conductors.items())


def allowed_current(conductor: Conductor) -> Allowable | None:
    """Allowable current of one run, None where no published base covers it (the body; too thin)."""
    cable = conductor.cable
    if cable.size is None or conductor.insulation is None:
        return None
    try:
        return allowable(
            cable.size.si,
            conductor.insulation.nominal,
            conductor.ambient.nominal,
            max(cable.bundled or 1, 1),
            cable.material,
        )
    except OutsideKnownError:
        return None


def _row(build: Build, conductor: Conductor, currents: tuple[ConductorCurrent, ...]) -> ConductorRow:
    cable = conductor.cable
    hottest = max(currents, key=lambda c: c.rms)
    peak = max(c.peak for c in currents)
    limits = allowed_current(conductor)
    resistance = conductor.resistance
    return ConductorRow(
        id=cable.id,
        title=cable.title,
        role=cable.role,
        start=cable.start,
        end=cable.end,
        chassis=cable.chassis,
        size=cable.size.text if cable.size else "vehicle body",
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
        fuses=tuple(_fuse(build, f, cable.runs, hottest.rms, limits) for f in conductor.fuses),
    )


def _fuse(build: Build, fitted: FuseInCable, runs: int, rms: float, limits: Allowable | None) -> FuseRow:
    fuse = fitted.fuse
    through = rms if fuse.shared else rms / runs
    protects = limits.allowed if limits else 0.0
    return FuseRow(
        id=fuse.id,
        near=fuse.near,
        style=fuse.style,
        rating=fuse.rating.si,
        distance=fuse.distance.si if fuse.distance else None,
        breaking_capacity=fuse.breaking_capacity.si if fuse.breaking_capacity else None,
        shared=fuse.shared,
        needed=minimum_rating(through, ambient_of(build, fuse.near).nominal),
        largest=protects,
    )
