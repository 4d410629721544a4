"""Pulses of a physical lead-acid model, written beside this script as ``lead_acid_pulses.csv``.

PyBaMM's full porous-electrode model with the parameter set Sulzer2019 (V. Sulzer et al., Electrochimica Acta 313, 2019:
a valve-regulated battery of 17 Ah and 12 V) at its reference temperature, 21.7 degC, full. Not run by the tests:
    python -m venv v && v/bin/pip install pybamm && v/bin/python tests/electrical/data/lead_acid_pulses.py
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pybamm

AMPERE_HOURS = 17.0
RATES = (0.5, 1.0, 2.0, 5.0, 10.0)  # of the capacity, an hour
TIMES_S = (1.0, 3.0, 5.0, 10.0)


def pulse(rate: float) -> list[float]:
    """Resistance after each of ``TIMES_S`` of a constant current [ohm]: volts lost from rest over the current."""
    values = pybamm.ParameterValues("Sulzer2019")
    values["Current function [A]"] = rate * AMPERE_HOURS
    model = pybamm.lead_acid.Full({"surface form": "differential"})
    solver = pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-8)
    simulation = pybamm.Simulation(model, parameter_values=values, solver=solver)
    seconds = np.unique(np.concatenate([np.linspace(0.0, 10.0, 401), TIMES_S]))
    solution = simulation.solve(seconds)
    volts = solution["Battery voltage [V]"](seconds)
    rest = float(np.ravel(solution["Battery open-circuit voltage [V]"](0.0))[0])
    return [(rest - float(np.interp(t, seconds, volts))) / (rate * AMPERE_HOURS) for t in TIMES_S]


def main() -> None:
    """Write the table."""
    lines = [f"# PyBaMM {pybamm.__version__}, Sulzer2019, {AMPERE_HOURS:g} Ah, 12 V, 21.7 degC, full"]
    lines.append("c_rate," + ",".join(f"ohm_{t:g}s" for t in TIMES_S))
    lines += [f"{rate:g}," + ",".join(f"{ohm:.5f}" for ohm in pulse(rate)) for rate in RATES]
    Path(__file__).with_suffix(".csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
