"""Elements that answer at once: switches, diodes, converters, loads and amplifiers as laws i(v).

Order of the ports here: switches, diodes, sensing pairs, converters (in, out, in, out, ...), loads, amplifiers.
"""

from __future__ import annotations

from dataclasses import dataclass

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

OPEN_S = 1e-6  # S, what an open switch and a blocking diode still conduct; keeps isolated nodes regular
KNEE_V = 0.005  # V, width w of a diode's knee
STOP_BAND_V = 0.2  # V above min_input over which a converter fades in
LEAST_INPUT_V = 1.0  # V, guard of a converter's input law


@dataclass(frozen=True, slots=True)
class Direct:
    """Parameters and discrete states of all elements without memory; arrays (B, count). See ``gather``.

    Power elements (loads, then amplifiers) draw idle + mod min(ask x^ask_power, limit x^limit_power), x = v/vref.
    """

    switch_s: Array  # S when closed
    closed: Mask
    drop: Array
    diode_s: Array
    sensing: int
    vset: Array
    rd: Array
    imax: Array
    efficiency: Array
    min_input: Array
    idle: Array
    ask: Array  # W of input at level 1
    ask_power: Array
    limit: Array
    limit_power: Array
    vref: Array
    v_low: Array
    follows: Array  # (count,) 1 where the level multiplies the limit (a load that follows the programme)
    level_power: Array  # (count,) ask goes with level to this power: 0 loads, 1 class D, 1/2 class AB
    ripple: Array
    on: Array  # 1 or 0
    out_ask: Array  # of the amplifiers only: W of output at level 1
    out_limit: Array
    out_power: Array

    @property
    def others(self) -> int:
        """How many ports stand before the loads."""
        return int(self.switch_s.shape[1] + self.drop.shape[1] + self.sensing + 2 * self.vset.shape[1])

    def played(self, wave: Array) -> Played:
        """What stays the same from stage to stage at phases with cos = ``wave`` (K,) of the ripple."""
        class_d = np.where(self.level_power == 1.0, self.ask, 0.0)
        class_ab = np.where(self.level_power == 0.5, self.ask, 0.0)
        fixed = np.where(self.level_power == 0.0, self.ask, 0.0)
        return Played(
            elements=self,
            others=self.others,
            converters=Shaped(
                vset=self.vset[:, None],
                per_ohm=1.0 / self.rd[:, None],
                imax=self.imax[:, None],
                efficiency=self.efficiency[:, None],
                min_input=self.min_input[:, None],
                full_above=np.maximum(self.min_input + STOP_BAND_V, LEAST_INPUT_V)[:, None],
            ),
            ask_d=class_d[:, None],
            ask_ab=class_ab[:, None],
            ask_fixed=fixed[:, None],
            mixed=bool(class_ab.any()),
            limit=self.limit[:, None],
            follows=bool(self.follows.any()),
            mod=self.on[:, None] * (1.0 - self.ripple[:, None] * wave[:, None]),
            idle=(self.idle * self.on)[:, None],
            vref=self.vref[:, None],
            v_low=self.v_low[:, None],
            ask_power=self.ask_power[:, None],
            limit_power=self.limit_power[:, None],
            bent=bool(self.ask_power.any()),
        )

    def output(self, level: Array, wave: Array, v: Array, on: Array) -> Array:
        """Power into the loudspeakers [W], (T, B, K, amplifiers), at amplifier voltages v of that shape.

        ``level`` (T,); ``on`` (T, B, amplifiers).
        """
        count = self.out_ask.shape[1]
        first = self.vref.shape[1] - count
        vref, v_low = self.vref[:, None, first:], self.v_low[:, None, first:]
        allowed = self.out_limit[:, None] * (np.maximum(v, v_low) / vref) ** self.out_power[:, None]
        out = np.minimum(self.out_ask[:, None] * level[:, None, None, None], allowed)
        return out * on[:, :, None] * (1.0 - self.ripple[:, None, first:] * wave[:, None])


@dataclass(frozen=True, slots=True)
class Shaped:
    """Parameters of the converters for (B, K, count)."""

    vset: Array
    per_ohm: Array
    imax: Array
    efficiency: Array
    min_input: Array
    full_above: Array  # V of input from which nothing of the law fades


@dataclass(frozen=True, slots=True)
class Played:
    """Parameters of converters and power elements shaped for (B, K, count), computed once for many stages."""

    elements: Direct
    others: int  # ports before the loads
    converters: Shaped
    ask_d: Array
    ask_ab: Array
    ask_fixed: Array
    mixed: bool
    limit: Array
    follows: bool
    mod: Array  # on times modulation within the cycle; the idle power is not modulated
    idle: Array
    vref: Array
    v_low: Array
    ask_power: Array
    limit_power: Array
    bent: bool

    def stage(self, level: float) -> DirectLaw:
        """The laws at one level."""
        ask = self.ask_d * level + self.ask_fixed
        if self.mixed:
            ask = ask + self.ask_ab * np.sqrt(level)
        limit = self.limit * (1.0 + self.elements.follows * (level - 1.0)) if self.follows else self.limit
        return DirectLaw(self, ask, limit)


Cross = list[tuple[int, int, Array]]


@dataclass(frozen=True, slots=True)
class DirectLaw:
    """i(v) of every element without memory within one stage."""

    played: Played
    ask: Array
    limit: Array

    @property
    def elements(self) -> Direct:
        """The elements themselves."""
        return self.played.elements

    def currents(self, v: Array) -> tuple[Array, Array, Cross]:
        """Currents p to n and slopes di/dv, both (B, K, n), at voltages v (B, K, n).

        The third item holds slopes of one port's current on another port's voltage: (row, column, values (B, K)).
        """
        others = self.played.others
        if not others:
            return *self._power(v), []
        i, d = np.empty_like(v), np.empty_like(v)
        i[..., others:], d[..., others:] = self._power(v[..., others:])
        return i, d, self._others(v[..., :others], i, d)

    def share_of_step(self, v: Array, drop: Array) -> Array | None:
        """Share (B,) of a Newton step v - drop that no converter jumps over a piece of its law with; None: the whole.

        A converter between idle and its limit, or between stopped and running, is first put onto the piece in between:
        jumping over it would throw it to and fro for ever against a battery that takes little charge.
        """
        p = self.elements
        if not p.vset.shape[1]:
            return None
        c, pairs = self.played.converters, slice(p.others - 2 * p.vset.shape[1], p.others)
        v_in, v_out = v[..., pairs][..., ::2], v[..., pairs][..., 1::2]
        drop_in, drop_out = drop[..., pairs][..., ::2], drop[..., pairs][..., 1::2]
        asked = (c.vset - v_out) * c.per_ohm / np.maximum(c.imax, 1e-9)
        fade = (v_in - c.min_input) / STOP_BAND_V
        shares = [_to_the_middle(asked, drop_out * c.per_ohm / np.maximum(c.imax, 1e-9))]
        shares.append(_to_the_middle(fade, -drop_in / STOP_BAND_V))
        share: Array = np.minimum(*shares).min((1, 2))
        return None if bool((share >= 1.0).all()) else share

    def _power(self, v: Array) -> tuple[Array, Array]:
        p = self.played
        held = np.maximum(v, p.v_low)
        x = held / p.vref
        ask = self.ask * x**p.ask_power if p.bent else self.ask
        limit = self.limit * x**p.limit_power
        limited = limit < ask
        exponent = np.where(limited, p.limit_power, p.ask_power)
        shaped = p.mod * np.minimum(ask, limit)
        power = p.idle + shaped
        square = held * held
        return power * v / square, np.where(v < p.v_low, power, shaped * exponent - power) / square

    def _others(self, v: Array, i: Array, d: Array) -> Cross:
        """Writes currents and slopes of switches, diodes, sensing ports and converters; gives the cross slopes."""
        p = self.elements
        a = p.switch_s.shape[1]
        b = a + p.drop.shape[1]
        c = b + p.sensing
        others = self.played.others
        i[..., b:others] = d[..., b:others] = 0.0
        if a:
            d[..., :a] = np.where(p.closed, p.switch_s, OPEN_S)[:, None]
            i[..., :a] = d[..., :a] * v[..., :a]
        if b > a:
            above = v[..., a:b] - p.drop[:, None]
            root = np.sqrt(above * above + KNEE_V**2)
            d[..., a:b] = 0.5 * p.diode_s[:, None] * (1.0 + above / root) + OPEN_S
            i[..., a:b] = 0.5 * p.diode_s[:, None] * (above + root) + OPEN_S * v[..., a:b]
        if not p.vset.shape[1]:
            return []
        given, drawn, in_on_out, out_on_in, own_out, own_in = self._convert(v[..., c::2], v[..., c + 1 :: 2])
        i[..., c:others:2], i[..., c + 1 : others : 2] = drawn, -given
        d[..., c:others:2], d[..., c + 1 : others : 2] = own_in, own_out
        cross: Cross = []
        for k in range(p.vset.shape[1]):
            at = c + 2 * k
            cross += [(at, at + 1, in_on_out[..., k]), (at + 1, at, out_on_in[..., k])]
        return cross

    def _convert(self, v_in: Array, v_out: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        """Output and input current; slopes of input on v_out, of output port on v_in, and of each port on itself."""
        c = self.played.converters
        raw = (c.vset - v_out) * c.per_ohm
        most = np.minimum(np.maximum(raw, 0.0), c.imax)
        d_most = np.where(most == raw, -c.per_ohm, 0.0)
        held = np.maximum(v_in, LEAST_INPUT_V)
        seen = c.efficiency * held
        if (v_in > c.full_above).all():  # all of them run: nothing fades
            drawn = v_out * most / seen
            return most, drawn, (most + v_out * d_most) / seen, np.zeros_like(most), -d_most, -drawn / held
        rate = (v_in - c.min_input) / STOP_BAND_V
        share = np.minimum(np.maximum(rate, 0.0), 1.0)
        d_share = np.where((rate > 0.0) & (rate < 1.0), 1.0 / STOP_BAND_V, 0.0)
        given = share * most
        drawn = v_out * given / seen
        in_on_out = (given + v_out * share * d_most) / seen
        in_on_in = v_out * d_share * most / seen - np.where(v_in > LEAST_INPUT_V, drawn / held, 0.0)
        return given, drawn, in_on_out, -d_share * most, -share * d_most, in_on_in


def _to_the_middle(at: Array, step: Array) -> Array:
    """Share of a step that ends in the middle of 0..1 where it would cross the whole of it; 1 elsewhere."""
    after = at + step
    crosses = ((at <= 0.0) & (after >= 1.0)) | ((at >= 1.0) & (after <= 0.0))
    return np.where(crosses, (0.5 - at) / np.where(crosses, step, 1.0), 1.0)


def _columns(values: list[Values], samples: int) -> Array:
    return np.stack([spread(v, samples) for v in values], axis=-1) if values else np.zeros((samples, 0))


def gather(network: Network) -> Direct:
    """Parameters of all elements without memory, amplifiers on and switches as they start."""
    n = network.samples
    switches, diodes, converters = network.of(Switch), network.of(Diode), network.of(Converter)
    loads, amps = network.of(Load), network.of(Amplifier)
    starts = [
        s.control.closed if isinstance(s.control, Fixed) else s.control.initially_closed for s in switches
    ]
    drive = [2.0 if a.clipped else 1.0 for a in amps]
    zeros: list[Values] = [0.0] * len(loads)
    # class AB draws sqrt(out allowed)/eff: asked, sqrt(drive ask rated x^e)/eff; limited, sqrt(drive) rated x^e/eff
    ask = [
        (np.sqrt(k * np.asarray(a.ask_w) * a.rated_w) if a.class_ab else k * np.asarray(a.ask_w)) / a.efficiency
        for a, k in zip(amps, drive, strict=True)
    ]
    limit = [
        (np.sqrt(k) if a.class_ab else k) * np.asarray(a.rated_w) / a.efficiency
        for a, k in zip(amps, drive, strict=True)
    ]
    return Direct(
        switch_s=_columns([1.0 / np.maximum(s.ohms, LEAST_OHMS) for s in switches], n),
        closed=np.broadcast_to(np.array(starts, dtype=bool), (n, len(switches))).copy(),
        drop=_columns([d.drop for d in diodes], n),
        diode_s=_columns([1.0 / np.maximum(d.ohms, LEAST_OHMS) for d in diodes], n),
        sensing=sum(isinstance(s.control, VoltageSensing) for s in switches),
        vset=_columns([c.vset for c in converters], n),
        rd=_columns([np.maximum(c.rd, LEAST_OHMS) for c in converters], n),
        imax=_columns([c.imax for c in converters], n),
        efficiency=_columns([c.efficiency for c in converters], n),
        min_input=_columns([c.min_input for c in converters], n),
        idle=_columns(zeros + [a.idle_w for a in amps], n),
        ask=_columns([np.inf] * len(loads) + list(ask), n),
        ask_power=_columns(zeros + [np.asarray(a.exponent) / 2.0 if a.class_ab else 0.0 for a in amps], n),
        limit=_columns([load.watts for load in loads] + list(limit), n),
        limit_power=_columns([load.alpha for load in loads] + [a.exponent for a in amps], n),
        vref=_columns([x.vref for x in loads] + [a.vref for a in amps], n),
        v_low=_columns([x.v_low for x in loads] + [a.v_low for a in amps], n),
        follows=np.array([float(load.follows_programme) for load in loads] + [0.0] * len(amps)),
        level_power=np.array([0.0] * len(loads) + [0.5 if a.class_ab else 1.0 for a in amps]),
        ripple=_columns(zeros + [a.ripple_fraction for a in amps], n),
        on=np.ones((n, len(loads) + len(amps))),
        out_ask=_columns([k * np.asarray(a.ask_w) for a, k in zip(amps, drive, strict=True)], n),
        out_limit=_columns([k * np.asarray(a.rated_w) for a, k in zip(amps, drive, strict=True)], n),
        out_power=_columns([a.exponent for a in amps], n),
    )
