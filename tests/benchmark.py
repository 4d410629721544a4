"""How long the commands take, as ratios within one run: a script, not a test, for a machine that does nothing else.

    PYTHONPATH=tests/samples python tests/benchmark.py [floors] [jobs] [scaling]

``floors``: ``check`` of the smallest demo and ``write --quick`` of the estate against merely importing what each needs,
cold processes in turns, medians. ``jobs``: twelve builds in one process and in two, one linear-algebra thread each.
``scaling``: processor time of a computation against cables, amplifiers, load cases and simulated seconds, with the
exponent of each step (1 = in proportion): the network solve is dense, so many nodes must bend upwards.
"""

from __future__ import annotations

import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from itertools import pairwise
from math import log
from pathlib import Path
from typing import Any

from sized_build import sized

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text

ROOT = Path(__file__).parents[1]
DEMOS = ROOT / "demo_builds"
COMMAND = (sys.executable, "-m", "dossier")
ONE_THREAD = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONPATH": str(ROOT)}
ROUNDS = 5
CHECK_BAR, WRITE_BAR, JOBS_BAR = 2.5, 5.0, 1.7
BUILDS = 12
CHECK_NEEDS = "numpy, yaml, jsonschema"
WRITE_NEEDS = f"reportlab.platypus, matplotlib.figure, matplotlib.backends.backend_pdf, {CHECK_NEEDS}, pikepdf"
# What is varied, its values, and the rest of the build while it is.
SCALES: tuple[tuple[str, Sequence[int], dict[str, Any]], ...] = (
    ("cables", (8, 16, 32, 64, 128), {}),
    ("amplifiers", (4, 8, 16, 32, 64), {"cables": 8}),
    ("cases", (1, 2, 4, 8, 16), {}),
    ("seconds", (37, 75, 150, 300, 600), {"music": True}),
)


def took(command: Sequence[str]) -> float:
    """Wall time of a process [s]; 0 and 1 are answers.

    Raises:
        RuntimeError: the command failed.
    """
    start = time.perf_counter()
    done = subprocess.run(command, env=ONE_THREAD, cwd=ROOT, capture_output=True, check=False)
    if done.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(command)}: exit code {done.returncode}\n{done.stderr.decode()}")
    return time.perf_counter() - start


def floors(folder: Path) -> None:
    """Both commands beside their import floors."""
    smallest = min(DEMOS.glob("*.yaml"), key=lambda file: file.stat().st_size)
    commands = {
        "check floor": (sys.executable, "-c", f"import {CHECK_NEEDS}"),
        "check": (*COMMAND, "check", str(smallest)),
        "write floor": (sys.executable, "-c", f"import {WRITE_NEEDS}"),
        "write": (*COMMAND, "write", str(DEMOS / "estate-handover.yaml"), "--quick", "-o", str(folder)),
    }
    times: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(ROUNDS + 1):
        for name, command in commands.items():
            seconds = took(command)
            if turn:  # the first fills the caches of the disk
                times[name].append(seconds)
    for name, bar in (("check", CHECK_BAR), ("write", WRITE_BAR)):
        ours, floor = statistics.median(times[name]), statistics.median(times[f"{name} floor"])
        print(f"{name}: {ours:.2f} s, {ours / floor:.2f} x its import floor of {floor:.2f} s (at most {bar:g})")


def jobs(folder: Path) -> None:
    """Twelve builds in one process and in two, in turns."""
    builds = folder / "builds"
    shutil.copytree(DEMOS, builds)
    made = []
    for number in range(BUILDS):
        made.append(str(builds / f"build-{number}.yaml"))
        shutil.copy(DEMOS / "estate-handover.yaml", made[-1])
    times: dict[int, list[float]] = {1: [], 2: []}
    for _ in range(3):
        for count, found in times.items():
            found.append(took((*COMMAND, "write", *made, "--quick", "-q", "-j", str(count), "-o", str(folder / "out"))))
    one, two = statistics.median(times[1]), statistics.median(times[2])
    print(f"{BUILDS} builds: -j 1 {one:.1f} s, -j 2 {two:.1f} s, {one / two:.2f} times faster (at least {JOBS_BAR:g})")


def scaling() -> None:
    """Processor time of a computation against each size."""
    for name, values, rest in SCALES:
        found: list[tuple[int, float]] = []
        for value in values:
            build = read_build_text(sized(**{**rest, name: value}).encode(), "sized", "sized.yaml")
            found.append((value, min(_processor_time(build) for _ in range(3))))
        steps = ["     "] + [
            f"^{log(after[1] / before[1]) / log(after[0] / before[0]):4.2f}"
            for before, after in pairwise(found)
        ]
        print(f"{name}: " + ", ".join(f"{n}: {s:.2f} s {step}" for (n, s), step in zip(found, steps, strict=True)))


def _processor_time(build: Build) -> float:
    start = time.process_time()
    assess(build, options=False)
    return time.process_time() - start


if __name__ == "__main__":
    asked = sys.argv[1:] or ["floors", "jobs", "scaling"]
    with tempfile.TemporaryDirectory() as name:
        if "floors" in asked:
            floors(Path(name))
        if "jobs" in asked:
            jobs(Path(name))
    if "scaling" in asked:
        scaling()
