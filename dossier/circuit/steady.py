"""What flows when everything has settled, at one level of the programme: for hours, not for seconds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from dossier.circuit import direct, storage
from dossier.circuit.companion import cut
from dossier.circuit.elements import Battery, Capacitor, Element, Switch, VoltageSensing
from dossier.circuit.network import Network, fold, reference_conductance
from dossier.circuit.newton import ConvergenceError
from dossier.circuit.settle import STEPS_S, settled
from dossier.circuit.time_step import TimeStep
from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Steady:
    """By port: volts, and amperes p to n inside the element (a source's are negative)."""

    volts: Mapping[str, float]
    amps: Mapping[str, float]


def steady(asked: Sequence[Sequence[Element]], ground: str, level: float = 1.0) -> list[Steady | None]:
    """The operating points in which batteries keep their state of charge and all else is settled; None where none is.

    Switches and amplifiers stay as they start; nothing trips. Networks of the same elements are solved side by side.

    Args:
        asked: the elements of each network, every parameter one number.
        ground: node that all of them are measured against.
        level: of the programme.

    Raises:
        NetworkError: as ``transient.simulate``.
    """
    alike: dict[object, list[int]] = {}
    for index, parts in enumerate(asked):
        alike.setdefault(tuple(_kind(part) for part in parts), []).append(index)
    found: list[Steady | None] = [None] * len(asked)
    for indices in alike.values():
        answers = _side_by_side([asked[index] for index in indices], ground, level)
        for index, answer in zip(indices, answers, strict=True):
            found[index] = answer
    return found


def _side_by_side(asked: Sequence[Sequence[Element]], ground: str, level: float) -> list[Steady | None]:
    network = Network([_merged(column) for column in zip(*asked, strict=True)], ground)
    g0 = reference_conductance(network)
    stored = storage.gather(network)
    m = len(network.of(Battery)) + len(network.of(Capacitor)) + int(stored.vset.shape[1])
    time_step = TimeStep(stored, direct.gather(network), cut(fold(network, g0).z, g0, m), lambda _: level)
    for steps in (STEPS_S[-1:], STEPS_S):  # Newton's method mostly finds it from open circuit alone
        try:
            point = settled(network, time_step, level, steps)
            break
        except ConvergenceError:
            continue
    else:
        if len(asked) == 1:
            return [None]
        return [answer for one in asked for answer in _side_by_side([one], ground, level)]
    ids = [port.id for port in network.ports]
    rows = zip(point.v[:, 0].tolist(), point.i[:, 0].tolist(), strict=True)
    samples = [Steady(dict(zip(ids, v, strict=True)), dict(zip(ids, i, strict=True))) for v, i in rows]
    return [samples[min(index, len(samples) - 1)] for index in range(len(asked))]  # all the same: one sample


def _kind(part: Element) -> tuple[object, ...]:
    sensing = isinstance(part, Switch) and isinstance(part.control, VoltageSensing) and part.control.initially_closed
    return type(part), part.id, sensing


def _merged(column: Iterable[Element]) -> Element:
    """One element with the numbers of all of them as samples."""
    first, *others = column
    if all(other is first for other in others):
        return first
    changed = {}
    for name in type(first).__dataclass_fields__:
        values = [getattr(one, name) for one in (first, *others)]
        if isinstance(values[0], float) and any(value != values[0] for value in values):
            changed[name] = np.array(values)
    return replace(first, **changed)  # type: ignore[arg-type]  # numbers stay numbers
