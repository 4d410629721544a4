"""Laws i(v) of the elements that answer at once, for all samples and phases (B, K, count); parameters in ``direct``."""

from __future__ import annotations

import numpy as np

from dossier.circuit.direct import Direct
from dossier.circuit.elements import Array
from dossier.frozen import dataclass

OPEN_S = 1e-6  # S, what an open switch and a blocking diode still conduct; keeps isolated nodes regular
KNEE_V = 0.005  # V, width w of a diode's knee
STOP_BAND_V = 0.2  # V above min_input over which a converter fades in
LEAST_INPUT_V = 1.0  # V, guard of a converter's input law


@dataclass(frozen=True, slots=True)
class ConverterPhases:
    """Parameters of the converters shaped for (B, K, count)."""

    vset: Array
    per_ohm: Array
    imax: Array
    efficiency: Array
    min_input: Array
    full_above: Array  # V of input from which nothing of the law fades


@dataclass(frozen=True, slots=True)
class DirectPhases:
    """Parameters of converters and power elements shaped for (B, K, count), computed once for many stages."""

    elements: Direct
    others: int  # ports before the loads
    converters: ConverterPhases
    loads: int  # the first of the power elements; what they ask has no end
    ask: Array
    root: Array | None
    limit: Array
    follows: Array | None
    mod: Array  # on times modulation within the cycle; the idle power is not modulated
    idle: Array
    vref: Array
    v_low: Array
    half_power: Array

    def at(self, level: float) -> DirectLaw:
        """The laws at one level."""
        ask = self.ask * level
        ask[..., : self.loads] = np.inf
        root = None if self.root is None else self.root * np.sqrt(level)
        limit = self.limit if self.follows is None else self.limit * (1.0 + self.follows * (level - 1.0))
        return DirectLaw(self, ask, root, limit)


def at_phases(direct: Direct, wave: Array) -> DirectPhases:
    """What stays the same from stage to stage at phases with cos = ``wave`` (K,) of the ripple."""
    c, p = direct.converters, direct.powers
    return DirectPhases(
        elements=direct,
        others=direct.others,
        converters=ConverterPhases(
            vset=c.vset[:, None],
            per_ohm=1.0 / c.rd[:, None],
            imax=c.imax[:, None],
            efficiency=c.efficiency[:, None],
            min_input=c.min_input[:, None],
            full_above=np.maximum(c.min_input + STOP_BAND_V, LEAST_INPUT_V)[:, None],
        ),
        loads=p.ask.shape[1] - direct.amplifiers,
        ask=p.ask[:, None],
        root=p.root[:, None] if p.root.any() else None,
        limit=p.limit[:, None],
        follows=p.follows[:, None] if p.follows.any() else None,
        mod=direct.on[:, None] * (1.0 - p.ripple[:, None] * wave[:, None]),
        idle=(p.idle * direct.on)[:, None],
        vref=p.vref[:, None],
        v_low=p.v_low[:, None],
        half_power=0.5 * p.limit_power[:, None],
    )


Cross = list[tuple[int, int, Array]]


@dataclass(frozen=True, slots=True)
class DirectLaw:
    """i(v) of every element without memory within one stage."""

    phases: DirectPhases
    ask: Array
    root: Array | None
    limit: Array

    @property
    def others(self) -> int:
        """How many ports stand before the loads."""
        return self.phases.others

    def currents(self, v: Array) -> tuple[Array, Array, Cross]:
        """Currents p to n and slopes di/dv, both (B, K, n), at voltages v (B, K, n).

        The third item holds slopes of one port's current on another port's voltage: (row, column, values (B, K)).
        """
        others = self.others
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
        c = self.phases.converters
        count = c.vset.shape[2]
        if not count:
            return None
        pairs = slice(self.others - 2 * count, self.others)
        v_in, v_out = v[..., pairs][..., ::2], v[..., pairs][..., 1::2]
        drop_in, drop_out = drop[..., pairs][..., ::2], drop[..., pairs][..., 1::2]
        asked = (c.vset - v_out) * c.per_ohm / np.maximum(c.imax, 1e-9)
        fade = (v_in - c.min_input) / STOP_BAND_V
        shares = [_to_the_middle(asked, drop_out * c.per_ohm / np.maximum(c.imax, 1e-9))]
        shares.append(_to_the_middle(fade, -drop_in / STOP_BAND_V))
        share: Array = np.minimum(*shares).min((1, 2))
        return None if bool((share >= 1.0).all()) else share

    def _power(self, v: Array) -> tuple[Array, Array]:
        p = self.phases
        held = np.maximum(v, p.v_low)
        bend = (held / p.vref) ** p.half_power
        limit = self.limit * bend * bend
        root = 0.0 if self.root is None else self.root * bend
        ask = self.ask + root
        power = p.idle + p.mod * np.minimum(ask, limit)
        rises = p.mod * p.half_power * np.where(limit < ask, limit + limit, root)  # v d(power)/dv
        square = held * held
        return power * v / square, np.where(v < p.v_low, power, rises - power) / square

    def _others(self, v: Array, i: Array, d: Array) -> Cross:
        """Writes currents and slopes of switches, diodes, sensing ports and converters; gives the cross slopes."""
        p, others = self.phases.elements, self.others
        diodes = p.diodes
        a = p.switch_s.shape[1]
        b = a + diodes.drop.shape[1]
        c = b + p.sensing
        i[..., b:others] = d[..., b:others] = 0.0
        if a:
            d[..., :a] = np.where(p.closed, p.switch_s, OPEN_S)[:, None]
            i[..., :a] = d[..., :a] * v[..., :a]
        if b > a:
            above = v[..., a:b] - diodes.drop[:, None]
            root = np.sqrt(above * above + KNEE_V**2)
            d[..., a:b] = 0.5 * diodes.siemens[:, None] * (1.0 + above / root) + OPEN_S
            i[..., a:b] = 0.5 * diodes.siemens[:, None] * (above + root) + OPEN_S * v[..., a:b]
        converters = (others - c) // 2
        if not converters:
            return []
        given, drawn, in_on_out, out_on_in, own_out, own_in = self._convert(v[..., c::2], v[..., c + 1 :: 2])
        i[..., c:others:2], i[..., c + 1 : others : 2] = drawn, -given
        d[..., c:others:2], d[..., c + 1 : others : 2] = own_in, own_out
        cross: Cross = []
        for k in range(converters):
            at = c + 2 * k
            cross += [(at, at + 1, in_on_out[..., k]), (at + 1, at, out_on_in[..., k])]
        return cross

    def _convert(self, v_in: Array, v_out: Array) -> tuple[Array, Array, Array, Array, Array, Array]:
        """Output and input current; slopes of input on v_out, of output port on v_in, and of each port on itself."""
        c = self.phases.converters
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
