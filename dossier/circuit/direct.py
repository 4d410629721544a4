"""Elements that answer at once, as arrays: switches, diodes, converters, loads and amplifiers; laws in ``direct_law``.

Order of the ports here: switches, diodes, sensing pairs, converters (in, out, in, out, ...), loads, amplifiers.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import TypeVar

import numpy as np

from dossier.circuit.elements import (
    LEAST_OHMS,
    Amplifier,
    Array,
    Converter,
    Diode,
    Fixed,
    Load,
    Mask,
    Switch,
    Values,
    VoltageSensing,
)
from dossier.circuit.network import Network, spread
from dossier.frozen import dataclass

Columns = TypeVar("Columns")
Row = dict[str, Values]  # of one element: a value for every field of its kind


@dataclass(frozen=True, slots=True)
class Diodes:
    """Parameters of the diodes, (B, count)."""

    drop: Array
    siemens: Array


@dataclass(frozen=True, slots=True)
class Converters:
    """Parameters of the converters, (B, count)."""

    vset: Array
    rd: Array
    imax: Array
    efficiency: Array
    min_input: Array


@dataclass(frozen=True, slots=True)
class Powers:
    """Parameters of loads, then amplifiers, (B, count).

    They draw idle + mod min(ask + root x^(limit_power/2), limit x^limit_power), x = v/vref; of a load only the limit.
    """

    idle: Array
    ask: Array  # W of input at level 1 that goes with the level
    root: Array  # W of it that goes with the root of the level
    limit: Array
    limit_power: Array
    vref: Array
    v_low: Array
    follows: Array  # 1 where the level multiplies the limit (a load that follows the programme)
    ripple: Array


@dataclass(frozen=True, slots=True)
class Outputs:
    """What the amplifiers give their loudspeakers, (B, count)."""

    ask: Array  # W of output at level 1
    limit: Array
    power: Array


@dataclass(frozen=True, slots=True)
class Direct:
    """Parameters of all elements without memory, and the states in which they are; see ``gather``."""

    switch_s: Array  # (B, count) S when closed
    diodes: Diodes
    sensing: int
    converters: Converters
    powers: Powers
    outputs: Outputs
    closed: Mask  # of the switches
    on: Array  # of loads and amplifiers, 1 or 0

    @property
    def others(self) -> int:
        """How many ports stand before the loads."""
        switches, diodes = self.switch_s.shape[1], self.diodes.drop.shape[1]
        return int(switches + diodes + self.sensing + 2 * self.converters.vset.shape[1])

    @property
    def amplifiers(self) -> int:
        """How many amplifiers there are; their ports are the last."""
        return int(self.outputs.ask.shape[1])

    def output(self, level: Array, wave: Array, v: Array, on: Array) -> Array:
        """Power into the loudspeakers [W], (T, B, K, amplifiers), at amplifier voltages v of that shape.

        ``level`` (T,); ``on`` (T, B, amplifiers).
        """
        drawn, given = self.powers, self.outputs
        first = drawn.vref.shape[1] - self.amplifiers
        vref, v_low = drawn.vref[:, None, first:], drawn.v_low[:, None, first:]
        allowed = given.limit[:, None] * (np.maximum(v, v_low) / vref) ** given.power[:, None]
        out = np.minimum(given.ask[:, None] * level[:, None, None, None], allowed)
        return out * on[:, :, None] * (1.0 - drawn.ripple[:, None, first:] * wave[:, None])


def gather(network: Network) -> Direct:
    """Parameters of all elements without memory, amplifiers on and switches as they start."""
    n = network.samples
    switches, loads, amps = network.of(Switch), network.of(Load), network.of(Amplifier)
    closed = [s.control.closed if isinstance(s.control, Fixed) else s.control.initially_closed for s in switches]
    return Direct(
        switch_s=_columns([_siemens(s.ohms) for s in switches], n),
        diodes=_stacked(Diodes, (_diode(d) for d in network.of(Diode)), n),
        sensing=sum(isinstance(s.control, VoltageSensing) for s in switches),
        converters=_stacked(Converters, (_converter(c) for c in network.of(Converter)), n),
        powers=_stacked(Powers, [*map(_load, loads), *map(_amplifier, amps)], n),
        outputs=_stacked(Outputs, map(_output, amps), n),
        closed=np.broadcast_to(np.array(closed, dtype=bool), (n, len(switches))).copy(),
        on=np.ones((n, len(loads) + len(amps))),
    )


def _siemens(ohms: Values) -> Values:
    return 1.0 / np.maximum(ohms, LEAST_OHMS)


def _diode(d: Diode) -> Row:
    return {"drop": d.drop, "siemens": _siemens(d.ohms)}


def _converter(c: Converter) -> Row:
    return {
        "vset": c.vset,
        "rd": np.maximum(c.rd, LEAST_OHMS),
        "imax": c.imax,
        "efficiency": c.efficiency,
        "min_input": c.min_input,
    }


def _load(load: Load) -> Row:
    return {
        "idle": 0.0,
        "ask": 0.0,
        "root": 0.0,
        "limit": load.watts,
        "limit_power": load.alpha,
        "vref": load.vref,
        "v_low": load.v_low,
        "follows": float(load.follows_programme),
        "ripple": 0.0,
    }


def _amplifier(a: Amplifier) -> Row:
    """Of out = min(drive ask, drive rated x^e): ((1 - s) out + s sqrt(out rated x^e))/efficiency, s = root_share."""
    drive, share, asked = _drive(a), np.asarray(a.root_share), np.asarray(a.ask_w)
    return {
        "idle": a.idle_w,
        "ask": (1.0 - share) * drive * asked / a.efficiency,
        "root": share * np.sqrt(drive * asked * a.rated_w) / a.efficiency,
        "limit": ((1.0 - share) * drive + share * np.sqrt(drive)) * a.rated_w / a.efficiency,
        "limit_power": a.exponent,
        "vref": a.vref,
        "v_low": a.v_low,
        "follows": 0.0,
        "ripple": a.ripple_fraction,
    }


def _output(a: Amplifier) -> Row:
    return {"ask": _drive(a) * np.asarray(a.ask_w), "limit": _drive(a) * np.asarray(a.rated_w), "power": a.exponent}


def _drive(a: Amplifier) -> float:
    return 2.0 if a.clipped else 1.0


def _stacked(kind: type[Columns], rows: Iterable[Row], samples: int) -> Columns:
    """The rows of the elements of one kind side by side."""
    known = list(rows)
    return kind(**{f.name: _columns([row[f.name] for row in known], samples) for f in fields(kind)})  # type: ignore[arg-type]


def _columns(values: list[Values], samples: int) -> Array:
    return np.stack([spread(v, samples) for v in values], axis=-1) if values else np.zeros((samples, 0))
