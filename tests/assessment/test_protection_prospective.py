"""Fault currents of whole builds: closed forms and ngspice."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from small_builds import build_of, computed
from superposition import conductance_matrix, fault_current

from dossier.assessment.protection.prospective import FAULT, LEAK, FaultNet, fault_nets, fuse_fault, source_resistance
from dossier.assessment.supply.engine_states import states_of
from dossier.electrical.prospective import CurrentSource, VoltageSource, faulted
from dossier.equipment.installed import installed, running

THREE = {
    "supplies": {
        "alternator": {"kind": "alternator", "at": "bay", "rated_current": "120 A", "charging_voltage": "14.4 V"}
    },
    "batteries": {
        "rear": {"at": "boot", "chemistry": "lto", "cells": 6, "capacity": "40 Ah", "internal_resistance": "2 mohm"}
    },
    "capacitor_banks": {
        "bank": {
            "at": "boot",
            "series": 6,
            "cell": {"capacitance": "3000 F", "esr": "0.3 mohm", "rated_voltage": "2.7 V"},
        }
    },
}


def nets_of(patch: dict[str, object]) -> tuple[object, object, object]:
    """Build, devices and fault networks."""
    build = build_of(patch)
    fit = installed(build)
    states = {e.state: running(build, e) for e in states_of(build)}
    return build, fit, fault_nets(build, fit, states)


def netlist(net: FaultNet, location: str) -> str:
    """The same network in the words of ngspice."""
    lines = ["fault"]
    size = net.matrix.shape[0]
    lines += [f"RL{k} n{k} 0 {1.0 / LEAK}" for k in range(size)]
    lines += [f"RE{k} n{a} n{b} {ohms:.12g}" for k, (_, a, b, ohms) in enumerate(net.edges.values())]
    for k, source in enumerate(net.sources):
        if isinstance(source, VoltageSource):
            lines += [
                f"V{k} s{k} n{source.minus} {source.emf:.12g}",
                f"RS{k} s{k} n{source.plus} {source.resistance:.12g}",
            ]
        else:
            assert isinstance(source, CurrentSource)
            lines.append(f"I{k} n{source.minus} n{source.plus} {source.current:.12g}")
    plus, minus = net.nodes[location], net.returns[location]
    lines += [
        f"VF n{plus} f 0",
        f"RF f n{minus} {FAULT}",
        ".control",
        "op",
        "set numdgt=12",
        "print i(VF)",
        ".endc",
        ".end",
    ]
    return "\n".join(lines) + "\n"


@pytest.mark.independent
@pytest.mark.parametrize("location", ["bay", "boot"])
@pytest.mark.parametrize("kind", ["most", "likely"])
def test_against_ngspice(location: str, kind: str, tmp_path: Path) -> None:
    """Two batteries, a bank and an alternator over real cables: ngspice's operating point agrees within 0.01 %."""
    if shutil.which("ngspice") is None:
        pytest.skip("ngspice is not installed")
    _, _, nets = nets_of(THREE)
    net: FaultNet = getattr(nets, kind)
    file = tmp_path / "fault.cir"
    file.write_text(netlist(net, location))
    out = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=60, check=False).stdout
    amperes = float(next(line for line in out.splitlines() if "i(vf)" in line.lower()).split("=")[1])
    assert float(net.fault_shares(location, net.matrix, net.sources).sum()) == pytest.approx(amperes, rel=1e-4)


@pytest.mark.analytic
def test_one_battery_at_its_terminals() -> None:
    """E/r of the battery alone, with nothing else on the bus."""
    _, fit, nets = nets_of({})
    battery = fit.batteries["starter"]  # type: ignore[attr-defined]
    place = next(p for p in computed().protection.places if p.location == "bay")
    for kind, value in (("most", place.most), ("likely", place.likely)):
        net: FaultNet = getattr(nets, kind)
        emf = next(s.emf for s in net.sources if isinstance(s, VoltageSource))
        assert value == pytest.approx(emf / (source_resistance(battery, kind) + FAULT), rel=1e-3)
    assert place.least is not None
    assert place.least < place.likely < place.most


@pytest.mark.analytic
def test_a_fuse_behind_a_cable() -> None:
    """The smallest fault at the far end is E over the whole loop, each resistance at its high end."""
    _, fit, nets = nets_of({})
    conductor = fit.conductors["feed"]  # type: ignore[attr-defined]
    net: FaultNet = nets.least  # type: ignore[attr-defined]
    source = net.sources[0]
    assert isinstance(source, VoltageSource)
    loop = source.resistance + sum(e[3] for e in net.edges.values()) + FAULT
    fault = fuse_fault(nets, conductor, "bay", shared=False)  # type: ignore[arg-type]
    assert fault.least == pytest.approx(source.emf / loop, rel=1e-3)


@pytest.mark.analytic
def test_runs_share_the_smallest_fault_and_feed_the_largest() -> None:
    """Of two runs each fuse sees half the fault at the far end; a shared fuse sees all of it."""
    _, fit, nets = nets_of({"cables": {"feed": {"runs": 2}}})
    conductor = fit.conductors["feed"]  # type: ignore[attr-defined]
    one = fuse_fault(nets, conductor, "bay", shared=False)  # type: ignore[arg-type]
    both = fuse_fault(nets, conductor, "bay", shared=True)  # type: ignore[arg-type]
    assert one.least is not None
    assert both.least == pytest.approx(2.0 * one.least, rel=1e-6)


@pytest.mark.analytic
def test_shares_of_node_voltages_equal_superposition_by_thevenin() -> None:
    """Node voltages source by source give the same shares as Thévenin's theorem."""
    passive = conductance_matrix(2, [(0, 1, 0.002)])
    sources: list[VoltageSource | CurrentSource] = [
        VoltageSource("a", 0, -1, 12.7, 0.005),
        VoltageSource("b", 1, -1, 12.9, 0.0043),
        CurrentSource("c", 0, -1, 200.0),
    ]
    volts = faulted(passive, sources, 1, -1, 0.0005)
    shares = volts[1] / 0.0005
    expected = fault_current(passive, sources, 1, -1, 0.0005).shares
    assert np.allclose(shares, [expected[s.name] for s in sources], rtol=1e-9)


@pytest.mark.practice
def test_the_recalled_share_of_a_measured_battery_is_an_assumption() -> None:
    """A measured resistance is of 1 to 10 s: the share that answers a fault at once is recalled, printed with its band.

    Its low end makes the largest current.
    """
    measured = {"value": "5 mohm", "basis": "measured", "tolerance": "1 %"}
    patch: dict[str, object] = {"batteries": {"starter": {"internal_resistance": measured}}}
    shares = [i for i in computed(patch).inputs if i.path == "batteries.starter.ohmic_share"]
    assert [(i.basis, i.value, i.low, i.high, i.source) for i in shares] == [
        ("assumed", "0.8", "0.6", "0.95", "usual value, not checked against the document")
    ]
    _, fit, _ = nets_of(patch)
    battery = fit.batteries["starter"]  # type: ignore[attr-defined]
    assert source_resistance(battery, "most") == pytest.approx(0.6 * 5e-3 + battery.terminals.low, rel=1e-3)
    assert source_resistance(battery, "likely") == pytest.approx(0.8 * 5e-3 + battery.terminals.nominal)
