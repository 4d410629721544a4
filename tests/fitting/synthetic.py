"""Makes the synthetic log with ngspice: the same build with other truths, written as a deck, ripple resolved.

Run as a script to make ``data/*.csv`` and ``data/run.cir`` again: a tone, bursts of the same network, and the tone with
an amplifier of another efficiency and a current clamp. Only the element equations are shared with the
program; the time integration is ngspice's.
"""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from dossier.assessment.proof.log_columns import Channel
from dossier.buildfile.logs.log import LogColumn
from dossier.buildfile.reader import read_build
from dossier.circuit import elements as el
from dossier.circuit.wiring import wire
from dossier.equipment.fitted import fitted, running
from dossier.fitting.parameters import Adjusted, parameters_of

HERE = Path(__file__).parent / "data"
TRUTH = {"battery.starter": 1.25, "wiring": 0.82, "surface.starter": 0.8, "output.alternator": 0.94}  # factors
TRUE_SET_POINT_SHIFT = -0.08  # V
SETTLE_S, REST_S, TONE_S, AFTER_S = 60.0, 1.0, 10.0, 4.0
SAMPLE_S, NOISE_V = 0.05, 0.010
CLOCK_S = 3.37  # the log's own time at the start of the sound
BURST_S, EVERY_S = 0.4, 0.8
TRUE_EFFICIENCY = 0.92  # factor on the amplifier's, in the run with a current clamp
NOISE_A = 1.0


def truth() -> dict[str, el.Element]:
    """The elements of the true network, by id."""
    build = read_build(HERE / "one_battery.yaml")
    case = build.load_cases["tone"]
    fit, run = fitted(build), running(build, case.engine)
    channel = Channel(LogColumn("I", "current", ()), "amplifiers.bass", "", "voltage")
    parameters = parameters_of(build, fit, run, case, [channel])
    theta = [TRUE_SET_POINT_SHIFT if p.shifts else TRUTH[p.id] - 1.0 for p in parameters]
    wired = wire(build, fit, run, case, Adjusted(parameters, np.array([theta])))
    return {e.id: e for e in wired.network.elements}


def other_efficiency() -> dict[str, el.Element]:
    """The same with an amplifier of another efficiency."""
    known = truth()
    amplifier = known["amplifiers.bass"]
    assert isinstance(amplifier, el.Amplifier)
    scaled = TRUE_EFFICIENCY * np.asarray(amplifier.efficiency)
    return {**known, "amplifiers.bass": replace(amplifier, efficiency=scaled)}


def _f(x: object) -> str:
    return f"{float(np.asarray(x).ravel()[0]):.9g}"


def deck(output: Path, elements: dict[str, el.Element] | None = None, *, bursts: bool = False) -> str:
    """The deck; writes time, battery and amplifier voltage, and the amplifier's current, to ``output``."""
    known = elements or truth()
    b, a = known["batteries.starter"], known["amplifiers.bass"]
    m, load = known["supplies.alternator"], known["vehicle.base_load"]
    feed, body = known["cables.feed"], known["cables.body"]
    assert isinstance(b, el.Battery)
    assert isinstance(a, el.Amplifier)
    assert isinstance(m, el.Alternator)
    assert isinstance(load, el.Load)
    assert isinstance(feed, el.Resistor)
    assert isinstance(body, el.Resistor)
    t0 = SETTLE_S + REST_S
    t1 = t0 + TONE_S
    end = t1 + AFTER_S
    edge = 0.002
    starts = np.arange(t0, t1 - BURST_S, EVERY_S) if bursts else [t0]
    length = BURST_S if bursts else TONE_S
    notes = " ".join(f"{s:g} 0 {s + edge:g} 1 {s + length:g} 1 {s + length + edge:g} 0" for s in starts)
    allowed = f"{_f(a.rated_w)}*pow(max(V(ap,an),1)/{_f(a.vref)},{_f(a.exponent)})"
    output_w = f"min({_f(a.ask_w)}*V(lev),{allowed})*(1-{_f(a.ripple_fraction)}*cos(2*pi*80*(time-{t0})))"
    return f"""* one battery, one alternator, one amplifier; ripple resolved
Rfeed bp ap {_f(feed.ohms)}
Rbody an 0 {_f(body.ohms)}
Rb0 bp b1 {_f(b.r0)}
Rb1 b1 b2 {_f(b.r1)}
Cb1 b1 b2 {_f(b.c1)} ic=0
Cbs b2 b3 {_f(b.cs)} ic={-(float(np.ravel(m.vset)[0]) - float(np.ravel(b.e0)[0])) * -1.0 * 0.97:.4f}
Bbs b3 b2 I = V(b3,b2) > 0 ? V(b3,b2)/{_f(b.rs_dis)} : V(b3,b2)/{_f(b.rs_chg)}
Cbb b4 b3 {_f(b.c_bulk)} ic=0
Ve0 b4 0 {_f(b.e0)}
Cx x 0 {_f(m.tau)} ic=35
Bx 0 x I = min(max(({_f(m.vset)}-V(bp))/{_f(m.rd)},0),{_f(m.imax)})-V(x)
Balt 0 bp I = V(x)
Bbase bp 0 I = {_f(load.watts)}/{_f(load.vref)}
Vlev lev 0 PWL(0 0 {notes} {end} 0)
Vm ap ai 0
Bamp ai an I = ({output_w}/{_f(a.efficiency)}+{_f(a.idle_w)})/max(V(ap,an),1)
.options reltol=1e-5 abstol=1e-4 chgtol=1e-5 vntol=1e-7 trtol=1 method=gear
.control
tran 0.625m {end} {SETTLE_S} 0.625m uic
set wr_singlescale
set wr_vecnames
wrdata {output} v(bp) v(ap,an) i(vm)
quit
.endc
.end
"""


def run_ngspice(elements: dict[str, el.Element] | None = None, *, bursts: bool = False) -> np.ndarray:
    """Rows of (s from the start of the sound, battery V, amplifier V, amplifier A), every step."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "out.txt"
        path = Path(folder) / "run.cir"
        path.write_text(deck(out, elements, bursts=bursts))
        subprocess.run(["ngspice", "-b", str(path)], check=True, capture_output=True, timeout=120)
        table = np.loadtxt(out, skiprows=1)
    table[:, 0] -= SETTLE_S + REST_S
    return table


def cycle_means(table: np.ndarray) -> np.ndarray:
    """Means over windows of ``SAMPLE_S`` (four ripple cycles), stamped at their middle: what a meter logs."""
    t = np.arange(-REST_S + SAMPLE_S, TONE_S + AFTER_S - SAMPLE_S, SAMPLE_S)
    fine = np.arange(-REST_S, TONE_S + AFTER_S, 2e-4)
    rows = [t]
    for k in (1, 2, 3):
        area = np.concatenate([[0.0], np.cumsum(np.interp(fine, table[:, 0], table[:, k])) * 2e-4])
        edges = np.concatenate([fine, [fine[-1] + 2e-4]])
        rows.append((np.interp(t + SAMPLE_S / 2, edges, area) - np.interp(t - SAMPLE_S / 2, edges, area)) / SAMPLE_S)
    return np.stack(rows, axis=1)


def as_csv(means: np.ndarray, seed: int = 7) -> str:
    """A log as a German meter would write it: semicolons, decimal commas, a unit in the header, its own clock."""
    noise = np.random.default_rng(seed).normal(0.0, NOISE_V, (len(means), 2))
    lines = ["Aufzeichnung;;", "Zeit [s];starter [V];bass [mV]"]
    for (t, battery, amplifier, _), (n1, n2) in zip(means, noise, strict=True):
        lines.append(f"{t + CLOCK_S:.2f};{battery + n1:.3f};{1e3 * (amplifier + n2):.0f}".replace(".", ","))
    return "\n".join(lines) + "\n"


def with_current(means: np.ndarray, seed: int = 8) -> str:
    """A log with a clamp on the amplifier's feed."""
    noise = np.random.default_rng(seed).normal(0.0, 1.0, (len(means), 3)) * (NOISE_V, NOISE_V, NOISE_A)
    lines = ["time [s],starter [V],bass [V],bass [A]"]
    for (t, battery, amplifier, current), (n1, n2, n3) in zip(means, noise, strict=True):
        lines.append(f"{t + CLOCK_S:.2f},{battery + n1:.3f},{amplifier + n2:.3f},{current + n3:.1f}")
    return "\n".join(lines) + "\n"


def exact(means: np.ndarray) -> str:
    """What was really there: s from the start of the sound, battery V, amplifier V."""
    return "time [s],starter [V],bass [V]\n" + "".join(f"{t:.3f},{b:.4f},{a:.4f}\n" for t, b, a, _ in means)


if __name__ == "__main__":
    HERE.joinpath("run.cir").write_text(deck(Path("out.txt")))
    HERE.joinpath("run.csv").write_text(as_csv(cycle_means(run_ngspice())))
    HERE.joinpath("bursts.csv").write_text(exact(cycle_means(run_ngspice(bursts=True))))
    HERE.joinpath("current.csv").write_text(with_current(cycle_means(run_ngspice(other_efficiency()))))
