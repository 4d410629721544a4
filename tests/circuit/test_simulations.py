"""Simulations side by side: the same bytes whoever plays them, each played once, and nothing that hangs."""

from __future__ import annotations

import multiprocessing
import os
import signal
from multiprocessing.connection import wait
from pathlib import Path

import numpy as np
import pytest
from reference_circuits import Case, load

from dossier.circuit import elements as el
from dossier.circuit.network import Network, NetworkError
from dossier.circuit.run import Run
from dossier.circuit.settings import Settings
from dossier.circuit.simulations import Simulations, current, each_once, side_by_side
from dossier.circuit.trace import Transient
from dossier.circuit.transient import simulate

METHODS = ("fork", "spawn")


@pytest.fixture
def circuits() -> tuple[Case, Case]:
    """Two that take tenths of a second."""
    return load("d_burst"), load("a1")


def bytes_of(run: Transient) -> bytes:
    """All numbers of a run."""
    cycles = [c for c in (run.volts, run.amps, run.node_volts, run.branch_amps) if c is not None]
    arrays = [run.t, run.output, run.ended]
    arrays += [getattr(cycle, name) for cycle in cycles for name in ("mean", "trough", "crest", "rms")]
    return b"".join(np.ascontiguousarray(a).tobytes() for a in arrays)


def answered(simulations: Simulations) -> None:
    """Wait until another process has sent word of a result."""
    assert wait([connection for _, connection in simulations._helpers], timeout=60.0)


@pytest.mark.parametrize("method", METHODS)
def test_another_process_gives_the_same_bytes(circuits: tuple[Case, Case], method: str) -> None:
    """What another process plays is, byte for byte and read-only, what this one plays; the network is our own."""
    network, programme = circuits[0].network, circuits[0].programme
    alone = Run(network, programme, Settings(), None).go()
    with side_by_side(2, method) as both:
        both.ask(network, programme, Settings())
        answered(both)
        found = simulate(network, programme)
        assert not both._asked
    assert bytes_of(found) == bytes_of(alone)
    assert found.network is network
    assert found.outcomes == alone.outcomes
    for cycle in (found.volts, found.node_volts):
        assert cycle is not None
        with pytest.raises(ValueError, match="read-only"):
            cycle.mean[0] = 0.0


@pytest.mark.parametrize("method", METHODS)
def test_an_error_in_another_process_is_raised_here(circuits: tuple[Case, Case], method: str) -> None:
    """A network in which a node hangs on a source of current alone is refused as it is without other processes."""
    hanging = el.Alternator("hanging", "nowhere", "gnd", 14.0, 0.01, 100.0, 0.1)
    network = Network([*circuits[0].network.elements, hanging])
    with side_by_side(2, method) as both:
        both.ask(network, circuits[0].programme, Settings())
        answered(both)
        with pytest.raises(NetworkError, match="current sources only") as raised:
            simulate(network, circuits[0].programme)
    assert "nowhere" in raised.value.nodes


def test_each_is_played_once_and_forgotten(circuits: tuple[Case, Case], monkeypatch: pytest.MonkeyPatch) -> None:
    """The same question within one computation is played once, in the next one again, and other settings anew."""
    played: list[Settings] = []
    whole = Run.go

    def counted(run: Run) -> Transient:
        played.append(run.settings)
        return whole(run)

    monkeypatch.setattr(Run, "go", counted)
    network, programme = circuits[1].network, circuits[1].programme
    with each_once():
        first = simulate(network, programme)
        assert simulate(Network(network.elements, network.ground), programme) is first
        simulate(network, programme, settings=Settings(tol_v=1e-3))
    assert len(played) == 2
    with each_once():
        simulate(network, programme)
    assert len(played) == 3


@pytest.mark.parametrize("method", METHODS)
def test_a_process_that_is_killed_stops_nothing(circuits: tuple[Case, Case], method: str) -> None:
    """What a killed process had begun is played here."""
    network, programme = circuits[0].network, circuits[0].programme
    with side_by_side(2, method) as both:
        process = both._helpers[0][0]
        assert process.pid is not None
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        both.ask(network, programme, Settings())
        assert both._place is not None
        (both._place / "0.asked").rename(both._place / "0.begun")  # as it would be if it had died at work
        found = simulate(network, programme)
    assert bytes_of(found) == bytes_of(Run(network, programme, Settings(), None).go())


def test_without_processes_it_does_the_same_alone(
    circuits: tuple[Case, Case], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where no process can be started, and with one allowed, this one plays."""

    def refused(_method: str | None = None) -> None:
        raise OSError("no processes here")

    monkeypatch.setattr(multiprocessing, "get_context", refused)
    for processes in (1, 4):
        with side_by_side(processes) as alone:
            assert not alone.helped
            alone.ask(circuits[1].network, circuits[1].programme, Settings())
            assert simulate(circuits[1].network, circuits[1].programme).steps > 0


@pytest.mark.parametrize("method", METHODS)
def test_nothing_is_left_behind(circuits: tuple[Case, Case], method: str) -> None:
    """When it ends, with questions open, its processes and files are gone."""
    with side_by_side(3, method) as three:
        place = three._place
        for case in circuits:
            three.ask(case.network, case.programme, Settings())
        assert isinstance(place, Path)
    assert not place.exists()
    assert not [p for p in multiprocessing.active_children() if "_work" in str(getattr(p, "_target", ""))]
    assert not current().helped
