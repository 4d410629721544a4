"""One build file in, the PDF record of a high-power vehicle audio installation out.

As a library, four calls from file to paper, each importing what it needs only when it is made::

    import dossier

    build = dossier.read("car.yaml")
    results = dossier.assess(build)
    figures = dossier.as_json(build, results)
    files = dossier.write(build, results, "output")
"""

from __future__ import annotations

TYPE_CHECKING = False  # read by type checkers as true; nothing is imported before the command hears signals
if TYPE_CHECKING:
    import os
    from pathlib import Path
    from typing import Any, Literal

    from dossier.buildfile.model import Build
    from dossier.buildfile.source import BuildFileError
    from dossier.diagnostic import Diagnostic, Severity
    from dossier.record.files import OutputError
    from dossier.results.overview import Results

__version__ = "0.2.0"
__all__ = [
    "Build", "BuildFileError", "Diagnostic", "OutputError", "Results", "Severity", "as_json", "assess", "read", "write"
]  # fmt: skip

_HOMES = {
    "Build": "dossier.buildfile.model",
    "BuildFileError": "dossier.buildfile.source",
    "Diagnostic": "dossier.diagnostic",
    "OutputError": "dossier.record.files",
    "Results": "dossier.results.overview",
    "Severity": "dossier.diagnostic",
}


def read(path: str | os.PathLike[str]) -> Build:
    """Read a build file.

    Args:
        path: the file.

    Returns:
        the build as frozen dataclasses in SI units; see ``dossier.buildfile.model``.

    Raises:
        BuildFileError: with every problem of the file in ``diagnostics``, each with its position.
    """
    from pathlib import Path

    from dossier.buildfile.reader import read_build

    return read_build(Path(path))


def assess(build: Build, *, bands: bool = False) -> Results:
    """Compute a build.

    Args:
        build: what ``read`` gave.
        bands: whether to sample the inputs for uncertainty bands, which takes longer.

    Returns:
        frozen results; see ``dossier.results.overview``. What is wrong with the installation is a finding
        in ``findings``, not an exception.

    Raises:
        BuildFileError: a load case has no operating point that could be followed; at its line.
    """
    from dossier.assessment.assess import assess as compute

    return compute(build, bands=bands)


def as_json(build: Build, results: Results) -> dict[str, Any]:
    """The results as plain data, the content of ``results.json``; ``schemas/results.schema.json`` describes it.

    Args:
        build: what ``read`` gave.
        results: what ``assess`` gave for it.
    """
    import json

    from dossier.record.results_json import results_json

    tree: dict[str, Any] = json.loads(results_json(results, build=build.name, program=f"install-dossier {__version__}"))
    return tree


def write(
    build: Build,
    results: Results,
    directory: str | os.PathLike[str],
    *,
    paper: Literal["a4", "letter"] | None = None,
    units: Literal["metric", "us"] | None = None,
    results_json: bool = False,
) -> tuple[Path, ...]:
    """Write the dossier.

    Args:
        build: what ``read`` gave.
        results: what ``assess`` gave for it.
        directory: where to; made if it is not there.
        paper: paper size; None: that of the build file, else A4.
        units: of the reader; None: those of the build file, else metric.
        results_json: whether to write ``<stem>.results.json`` too.

    Returns:
        the files written, the PDF first.

    Raises:
        OutputError: a file cannot be written; what was there before is unharmed.
    """
    from pathlib import Path

    from dossier.reader.units import Units
    from dossier.record.photos import prepared, with_findings
    from dossier.record.write import write_dossier

    pictures, refused = prepared(build)
    return write_dossier(
        build,
        with_findings(build, results, refused),
        Path(directory),
        photos=pictures,
        paper="letter" if (paper or build.record.paper) == "letter" else "a4",
        units=Units(units or build.record.units or "metric"),
        results_json=results_json,
    )


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'dossier' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
