"""The trial of the fit: twenty logs made with ngspice, and what is recovered of each.

    python tests/fitting/twenty.py one SEED FOLDER     # twenty logs of one vehicle into FOLDER, and the table
    python tests/fitting/twenty.py each SEED FOLDER    # the same of twenty vehicles, an ngspice run of each

The build is ``data/two_of_each.yaml`` (two batteries, two unlike amplifiers), the vehicle has other truths: ``TRUTH``,
or for each log some drawn from ``TRUE``. A log holds means of 0.1 s with noise, its own drift, each meter's own offset,
clamps whose zero wanders, and 2 to 14 s of rest before the sound. Promised: 18 of 20 within twice the stated error, and
that error within a factor 1.5 of the spread. What is found in FOLDER is not made again.
Of ``one`` with SEED 300:

                             bias  spread  stated  stated/spread  within twice
    battery.starter        -0.0158  0.0474  0.0499           1.05         19/20
    battery.rear           +0.0010  0.0115  0.0131           1.14         20/20
    wiring                 -0.0036  0.0285  0.0327           1.15         20/20
    surface.starter        -0.0053  0.0249  0.0257           1.03         19/20
    surface.rear           -0.0103  0.0246  0.0239           0.97         20/20
    set_point.alternator   +0.0002  0.0064  0.0049           0.77         18/20
    output.alternator      +0.0047  0.0134  0.0134           1.00         20/20
    efficiency.bass        +0.0003  0.0009  0.0009           0.97         20/20
    efficiency.mid         -0.0005  0.0024  0.0022           0.93         19/20
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from synthetic import HERE, means, network_of, played

from dossier.assessment.proof.log_columns import channels_of
from dossier.buildfile.logs.read import read_log
from dossier.buildfile.reader import read_build
from dossier.fitting.calibrate import Fit, calibrate

TRUE = {  # factors on what the build file says; of the set-point volts
    "battery.starter": (0.7, 1.4), "battery.rear": (0.7, 1.4), "wiring": (0.75, 1.35), "surface.starter": (0.7, 1.3),
    "surface.rear": (0.7, 1.3), "output.alternator": (0.9, 1.08), "set_point.alternator": (-0.15, 0.15),
    "efficiency.bass": (0.92, 1.08), "efficiency.mid": (0.92, 1.08),
}  # fmt: skip
TRUTH = {
    "battery.starter": 1.2, "battery.rear": 0.85, "wiring": 1.3, "surface.starter": 0.9, "surface.rear": 1.0,
    "output.alternator": 0.93, "set_point.alternator": -0.1, "efficiency.bass": 0.92, "efficiency.mid": 1.08,
}  # fmt: skip
SAMPLE_S, NOISE_V, NOISE_A = 0.1, 0.03, 1.0
DRIFT_V, OFFSET_V, ZERO_A = (
    0.001,
    0.005,
    2.0,
)  # standard deviations: V/s; of each meter; of each clamp, and its wandering
PORTS, AMPLIFIERS = ("batteries.starter", "amplifiers.bass"), ("amplifiers.bass", "amplifiers.mid")
COUNT, WITHIN, FACTOR = 20, 0.9, 1.5
BUILD = read_build(HERE / "two_of_each.yaml")


@dataclass(frozen=True)
class Known:
    """What is true of a log: where the sound starts from its first row [s], and the truths."""

    start: float
    truth: dict[str, float]


def drawn(seed: int) -> dict[str, float]:
    """The truths of one of many vehicles."""
    random = np.random.default_rng((seed, 0))
    return {id_: round(float(random.uniform(*bounds)), 3) for id_, bounds in TRUE.items()}


def run(truth: dict[str, float]) -> np.ndarray:
    """The run of ngspice of a vehicle, every step of it."""
    return played(BUILD, network_of(BUILD, truth), PORTS, AMPLIFIERS)


def log(table: np.ndarray, seed: int) -> tuple[str, float]:
    """A log of a run, and where the sound starts from its first row [s]."""
    random = np.random.default_rng((seed, 1))
    earlier = table[0, 0] - 13.0 - random.uniform(0.0, SAMPLE_S)
    rows = means(np.concatenate([[[earlier, *table[0, 1:]]], table]), SAMPLE_S)
    rows = rows[round(float(random.uniform(0.0, 120.0))) :]
    t, values = rows[:, 0], rows[:, 1:]
    values[:, :2] += random.normal(0.0, DRIFT_V) * t[:, None] + random.normal(0.0, OFFSET_V, 2)
    values[:, 2:] += random.normal(0.0, ZERO_A, 2) + random.normal(0.0, ZERO_A, 2) * t[:, None] / 20.0
    values += random.normal(0.0, 1.0, values.shape) * (NOISE_V, NOISE_V, NOISE_A, NOISE_A)
    lines = [f"{x - t[0]:.1f},{a:.2f},{b:.2f},{i:.1f},{m:.1f}" for x, (a, b, i, m) in zip(t, values, strict=True)]
    return "\n".join(["time,starter [V],bass [V],bass [A],mid [A]", *lines, ""]), round(-float(t[0]), 4)


def fitted_to(log: Path) -> Fit:
    """The calibration from a log."""
    read = read_log(log.read_bytes(), log.name)
    return calibrate(BUILD, BUILD.load_cases["tone"], read, channels_of(BUILD, read, {}, log.name))


def misses(fit: Fit, known: Known) -> dict[str, tuple[float, float]]:
    """By parameter: how far it lies from the truth, and the error that is stated (with the same meters)."""
    made = {}
    for one in fit.results:
        truth = known.truth[one.parameter.id] - (0.0 if one.parameter.shifts else 1.0)
        made[one.parameter.id] = (one.theta - truth, one.sd)
    return made


def known_of(folder: Path) -> dict[str, Known]:
    """What is true of the logs of a folder, by name."""
    return {name: Known(**one) for name, one in json.loads((folder / "twenty.json").read_text()).items()}


def main(vehicles: str, seed: int, folder: Path) -> None:
    """Make what is missing, fit, print the table."""
    folder.mkdir(exist_ok=True, parents=True)
    truths = folder / "twenty.json"
    if not truths.exists():
        known, table = {}, run(TRUTH)
        for k in range(seed, seed + COUNT):
            truth = drawn(k) if vehicles == "each" else TRUTH
            text, start = log(run(truth) if vehicles == "each" else table, k)
            (folder / f"twenty-{k}.csv").write_text(text)
            known[f"twenty-{k}"] = {"start": start, "truth": truth}
        truths.write_text(json.dumps(known, indent=1) + "\n")
    rows = []
    for name, of in known_of(folder).items():
        fit = fitted_to(folder / f"{name}.csv")
        rows.append(misses(fit, of))
        told = "  ".join(f"{id_} {miss / error:+.1f}" for id_, (miss, error) in rows[-1].items())
        print(f"{name} start {fit.clock.starts[0] - of.start:+.3f} s, in stated errors: {told}", flush=True)
    print(f"{'':22}   bias  spread  stated  stated/spread  within twice")
    for id_ in rows[0]:
        miss, error = np.array([row[id_] for row in rows]).T
        ratio, within = float(error.mean() / miss.std(ddof=1)), int(np.sum(np.abs(miss) <= 2.0 * error))
        kept = "" if within >= WITHIN * len(rows) and 1.0 / FACTOR <= ratio <= FACTOR else "  not kept"
        print(
            f"{id_:22} {miss.mean():+.4f}  {miss.std(ddof=1):.4f}  {error.mean():.4f}  {ratio:13.2f}"
            f"  {within:9d}/{len(rows)}{kept}"
        )


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]))
