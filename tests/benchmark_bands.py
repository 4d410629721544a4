"""Times of bands, options and fits on this machine, in user seconds: run as a script, not a test.

    python tests/benchmark_bands.py demo_builds/pickup-plan.yaml

Says what dominates: everything before 'done' is what the progress line shows.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from dossier.assessment.assess import assess, assess_nominal
from dossier.buildfile.reader import read_build

LIMIT_S = 20.0  # a whole dossier with three load cases, bands and three options
OPTIONS = 3


def main(path: str) -> None:
    """Print where the time goes."""
    build = read_build(Path(path))
    build = replace(build, options=MappingProxyType(dict(list(build.options.items())[:OPTIONS])))
    spent: dict[str, float] = {}
    since, doing = [time.process_time()], ["load cases"]

    def told(what: str, _: float) -> None:
        now = time.process_time()
        spent[doing[0]] = spent.get(doing[0], 0.0) + now - since[0]
        since[0], doing[0] = now, what

    start = time.process_time()
    assess_nominal(build)
    nominal = time.process_time() - start
    start = time.process_time()
    assess(build)
    quick = time.process_time() - start
    since[0] = start = time.process_time()
    assess(build, bands=True, progress=told)
    told("done", 1.0)
    whole = time.process_time() - start
    for what, seconds in spent.items():
        print(f"{seconds:6.2f} s  {what}")
    print(
        f"nominal {nominal:.1f} s, quick {quick:.1f} s ({quick / nominal:.1f} x), with bands {whole:.1f} s "
        f"({whole / LIMIT_S:.2f} of the limit without the document)"
    )


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "demo_builds/pickup-plan.yaml")
