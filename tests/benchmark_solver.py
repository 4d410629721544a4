"""Times of our solver beside ngspice on this machine: run as a script, not a test.

    PYTHONPATH=tests/circuit python tests/benchmark_solver.py

Single runs: wall time of one call against one ngspice process (its start included), best of three each, with
ngspice at reltol 1e-5 and, with ripple, 20 points per cycle. Batches: one call with 256 samples against 256 times
one ngspice process. The bars are those of the study the circuits come from.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ngspice
from reference_circuits import DATA, NAMES, load
from test_batch import varied

from dossier.circuit.settings import Settings, for_batch
from dossier.circuit.transient import simulate

SAMPLES = 256
REPEATS = 3
# circuit, ripple, bar on ours / ngspice
SINGLES = (
    ("d_long", False, 10.0),
    ("d_burst", False, 10.0),
    ("f2", False, 10.0),
    ("d_music", False, 4.0),
    ("d_long", True, 1.0),
    ("d_burst", True, 1.0),
    ("d_music", True, 1.0),
)
# circuit, ripple, bar on 256 ngspice / ours
BATCHES = (
    ("d_long", False, 3.0),
    ("d_burst", False, 3.0),
    ("d_music", False, 3.0),
    ("d_long", True, 10.0),
    ("d_burst", True, 10.0),
)


def best(what: Callable[[], object], repeats: int = REPEATS) -> float:
    """Shortest wall time [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        what()
        times.append(time.perf_counter() - start)
    return min(times)


def of_ngspice(name: str, ripple: bool, folder: Path) -> float:
    """Wall time of one ngspice process [s]."""
    programme = load(name).programme
    deck = (DATA / f"{NAMES.get(name, name)}{'_ripple' if ripple else ''}.cir").read_text()
    hertz = programme.ripple_hz if ripple else None
    longest = 0.1 if name == "d_long" else 0.02
    text = ngspice.stepped(deck, 1.0 / (20.0 * hertz) if hertz else longest, 1e-5)
    return best(lambda: ngspice.run(text, folder))


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        theirs = {(n, r): of_ngspice(n, r, Path(folder)) for n, r, _ in SINGLES}
    print(f"{'circuit':<10}{'ripple':<8}{'ours s':>9}{'ngspice s':>11}{'ratio':>8}{'bar':>7}")
    for name, ripple, bar in SINGLES:
        case = load(name)
        settings = Settings(ripple=ripple)

        def once(case: object = case, settings: Settings = settings) -> None:
            simulate(case.network, case.programme, settings=settings, initial=case.initial)  # type: ignore[attr-defined]

        ours, other = best(once), theirs[name, ripple]
        print(f"{name:<10}{ripple!s:<8}{ours:>9.3f}{other:>11.3f}{ours / other:>8.2f}{bar:>6g}x")
    print(f"\n{SAMPLES} samples{'':<8}{'ours s':>11}{'256 ngspice s':>15}{'ratio':>8}{'bar':>7}")
    for name, ripple, bar in BATCHES:
        case = load(name, varied(name, count=SAMPLES))
        start = time.perf_counter()
        simulate(case.network, case.programme, settings=for_batch(ripple))
        ours, other = time.perf_counter() - start, SAMPLES * theirs[name, ripple]
        print(f"{name:<10}{ripple!s:<8}{ours:>11.2f}{other:>15.1f}{other / ours:>8.1f}{bar:>6g}x")


if __name__ == "__main__":
    main()
