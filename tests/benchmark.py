"""Every bar on time, for a machine that does nothing else: a script, not a test; exit code 1 where one is missed.

    PYTHONPATH=.:tests/samples:tests/circuit python tests/benchmark.py [commands] [solver] [scaling] [jobs]

``commands``: ``check`` and ``write`` against merely importing what each uses, cold processes in turns, medians.
``solver``: single runs and 256 samples against ngspice processes, start included, at reltol 1e-5, 20 points a cycle.
``scaling``: processor time of a computation against cables, amplifiers, load cases and simulated seconds, with the
exponent of each step (1 = in proportion). ``jobs``: twelve builds in one process and in two.
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from math import log
from pathlib import Path
from statistics import median
from typing import Any

import ngspice
from reference_circuits import DATA, NAMES, load
from sized_build import sized
from test_batch import varied

from dossier.assessment.assess import assess
from dossier.buildfile.reader import read_build_text
from dossier.circuit.settings import Settings, for_batch
from dossier.circuit.transient import simulate

ROOT = Path(__file__).parents[1]
DEMOS = ROOT / "demo_builds"
COMMAND = (sys.executable, "-m", "dossier")
ENVIRONMENT = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONPATH": str(ROOT)}
ROUNDS = 5
SAMPLES = 256
BUILDS = 12
CHECK_NEEDS = "import numpy, yaml, jsonschema"
WRITE_NEEDS = f"import reportlab.platypus, matplotlib.figure, matplotlib.backends.backend_pdf, pikepdf; {CHECK_NEEDS}"
# what is run, its arguments, what it is measured by, and how often as long it may take
COMMANDS: tuple[tuple[str, tuple[str, ...], str, float], ...] = (
    ("check hatchback", ("check", "hatchback-first-amp"), CHECK_NEEDS, 2.2),
    ("write --quick estate", ("write", "--quick", "estate-handover"), WRITE_NEEDS, 3.8),
    ("write estate", ("write", "estate-handover"), WRITE_NEEDS, 6.5),
    ("write pick-up", ("write", "pickup-plan"), WRITE_NEEDS, 6.5),
)
# circuit, with ripple, how many times as long as ngspice one run may take, how many times faster 256 samples must be
CIRCUITS = (
    ("d_long", False, 4.0, 6.0),
    ("d_burst", False, 4.0, 6.0),
    ("d_music", False, 4.0, 6.0),
    ("d_long", True, 0.3, 20.0),
    ("d_burst", True, 0.3, 20.0),
)
# what is varied, its values, and the rest of the build while it is
SCALES: tuple[tuple[str, Sequence[int], dict[str, Any]], ...] = (
    ("cables", (8, 16, 32, 64, 128), {}),
    ("amplifiers", (4, 8, 16, 32, 64), {"cables": 8}),
    ("cases", (1, 2, 4, 8, 16), {}),
    ("seconds", (37, 75, 150, 300, 600), {"music": True}),
)
LARGEST = {"amplifiers": 64, "cables": 128}
LARGEST_S = 10.0
FASTER = 1.7  # by a second process
MOST_EXPONENT = 1.3

Line = tuple[str, bool]  # what is printed, and whether its bar is kept


def took(command: Sequence[str]) -> tuple[float, float]:
    """Wall and processor time of a process [s]; 0 and 1 are answers.

    Raises:
        RuntimeError: the command failed.
    """
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, env=ENVIRONMENT, cwd=ROOT, capture_output=True, check=False)
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        raise RuntimeError(f"{' '.join(command)}: exit code {done.returncode}\n{done.stderr.decode()}")
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def commands(folder: Path) -> Iterator[Line]:
    """Each command beside its import floor."""
    for name, (verb, *options, demo), needs, bar in COMMANDS:
        ours = (*COMMAND, verb, *options, str(DEMOS / f"{demo}.yaml"))
        turns = ((sys.executable, "-c", needs), ours if verb == "check" else (*ours, "-o", str(folder)))
        times = [[took(command) for command in turns] for _ in range(ROUNDS + 1)][1:]  # the first fills disk caches
        (floor, _), (wall, cpu) = (tuple(median(t) for t in zip(*of, strict=True)) for of in zip(*times, strict=True))
        words = f"{name}: {wall:.2f} s ({cpu:.2f} s of processors), {wall / floor:.2f} times its floor of {floor:.2f} s"
        yield f"{words}, at most {bar:g}", wall <= bar * floor


def solver(folder: Path) -> Iterator[Line]:
    """Single runs and samples beside ngspice."""
    for name, ripple, most, least in CIRCUITS:
        theirs, one, many = _circuit(name, ripple, folder)
        words = f"{name}{', ripple' if ripple else ''}: one run {one:.3f} s, {one / theirs:.2f} of ngspice"
        yield f"{words}, at most {most:g}", one <= most * theirs
        gain = SAMPLES * theirs / many
        yield f"  {SAMPLES} samples {many:.2f} s, {gain:.1f} times faster, at least {least:g}", gain >= least


def _circuit(name: str, ripple: bool, folder: Path) -> tuple[float, float, float]:
    """Wall time of one ngspice process, of one run and of all samples [s]."""
    case, batch = load(name), load(name, varied(name, count=SAMPLES))
    hertz = case.programme.ripple_hz if ripple else None
    longest = 1.0 / (20.0 * hertz) if hertz else 0.1 if name == "d_long" else 0.02
    deck = (DATA / f"{NAMES.get(name, name)}{'_ripple' if ripple else ''}.cir").read_text()
    text = ngspice.stepped(deck, longest, 1e-5)
    settings = Settings(ripple=ripple)
    return (
        _shortest(lambda: ngspice.run(text, folder)),
        _shortest(lambda: simulate(case.network, case.programme, settings=settings, initial=case.initial)),
        _shortest(lambda: simulate(batch.network, batch.programme, settings=for_batch(ripple)), 1),
    )


def _shortest(what: Callable[[], object], repeats: int = 3) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        what()
        times.append(time.perf_counter() - start)
    return min(times)


def scaling(_: Path) -> Iterator[Line]:
    """Processor time of a computation against each size."""
    for name, values, rest in SCALES:
        found = [(value, _computed({**rest, name: value})) for value in values]
        steps = [log(b[1] / a[1]) / log(b[0] / a[0]) for a, b in pairwise(found)]
        words = ", ".join(f"{n}: {s:.2f} s" for n, s in found) + "; exponents " + " ".join(f"{e:.2f}" for e in steps)
        overall = log(found[-1][1] / found[0][1]) / log(found[-1][0] / found[0][0])
        yield f"{name}: {words}; {overall:.2f} over all, at most {MOST_EXPONENT:g}", overall <= MOST_EXPONENT
    seconds = _computed(LARGEST, 1)
    yield f"64 amplifiers on feeds of their own: {seconds:.1f} s, at most {LARGEST_S:g}", seconds <= LARGEST_S


def _computed(sizes: Mapping[str, Any], repeats: int = 3) -> float:
    build = read_build_text(sized(**sizes).encode(), "sized", "sized.yaml")
    times = []
    for _ in range(repeats):
        start = time.process_time()
        assess(build, options=False)
        times.append(time.process_time() - start)
    return min(times)


def jobs(folder: Path) -> Iterator[Line]:
    """Twelve builds in one process and in two, in turns."""
    builds = folder / "builds"
    shutil.copytree(DEMOS, builds)
    made = [builds / f"build-{number}.yaml" for number in range(BUILDS)]
    for one in made:
        shutil.copy(DEMOS / "estate-handover.yaml", one)
    command = (*COMMAND, "write", *map(str, made), "--quick", "-q", "-o", str(folder / "out"), "-j")
    times = [[took((*command, count))[0] for count in ("1", "2")] for _ in range(3)]
    alone, two = (median(t) for t in zip(*times, strict=True))
    yield (
        f"{BUILDS} builds: -j 1 {alone:.1f} s, -j 2 {two:.1f} s, {alone / two:.2f} times faster, at least {FASTER:g}",
        alone >= FASTER * two,
    )


PARTS: dict[str, Callable[[Path], Iterator[Line]]] = {
    "commands": commands, "solver": solver, "scaling": scaling, "jobs": jobs
}


def main(asked: Sequence[str]) -> int:
    """Print every line as it is measured; 1 if a bar is missed."""
    missed = 0
    with tempfile.TemporaryDirectory() as name:
        for part in asked or PARTS:
            for words, kept in PARTS[part](Path(name)):
                print(words if kept else f"MISSED {words}", flush=True)
                missed += not kept
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
