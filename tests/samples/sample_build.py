"""The build of ``sample.yaml``, and variations of it, for layout tests."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build


@lru_cache(maxsize=1)
def _read() -> Build:
    return read_build(Path(__file__).with_name("sample.yaml"))


def sample_build(*, stage: str = "as_built", notes: tuple[str, ...] | None = None, with_bank: bool = True) -> Build:
    """An estate car with two batteries, a bank, a converter and one amplifier.

    Args:
        stage: as_built or design.
        notes: other notes than those of the file.
        with_bank: leave the capacitor bank in.
    """
    build = _read()
    return replace(
        build,
        record=replace(build.record, stage=stage),
        notes=build.notes if notes is None else notes,
        capacitor_banks=build.capacitor_banks if with_bank else {},
    )
