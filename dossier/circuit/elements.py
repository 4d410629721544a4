"""What a network is made of: one frozen class per kind of element.

Every parameter is a float or an array of shape (B,), one value per sample; floats serve all samples. Units are
V, A, W, ohm, F, s. "Current" of an element flows inside it from ``p`` to ``n``; a source's discharge current
leaves at ``p``. The equations are stated in each class; where they need a convention we say which.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from dossier.frozen import dataclass

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Indices = NDArray[np.intp]
Values = float | Array

LEAST_OHMS = 1e-6  # ohm; anything below counts as this, so that every conductance is finite
DEFAULT_GUARD_V = 6.0  # V below which a load goes on as a fixed resistance (a guard for the numbers, not a result)


@dataclass(frozen=True, slots=True)
class Resistor:
    """A conductor, joint or fuse between nodes ``a`` and ``b``; current counts from a to b."""

    id: str
    a: str
    b: str
    ohms: Values


@dataclass(frozen=True, slots=True)
class Fixed:
    """A switch that stays as it is."""

    closed: bool


@dataclass(frozen=True, slots=True)
class VoltageSensing:
    """Closes above ``closes`` V and opens below ``opens`` V, each after ``delay`` s without interruption.

    It reads the cycle mean between ``sense_p`` and ``sense_n``.
    """

    sense_p: str
    sense_n: str
    closes: Values
    opens: Values
    delay: Values
    initially_closed: bool


@dataclass(frozen=True, slots=True)
class Switch:
    """A relay or switch: a resistance when closed, not there when open."""

    id: str
    a: str
    b: str
    ohms: Values
    control: Fixed | VoltageSensing


@dataclass(frozen=True, slots=True)
class Diode:
    """One branch of a diode isolator, conducting from ``a`` to ``b``.

    i = (u + sqrt(u^2 + w^2)) / (2 ohms), u = v - drop: a straight line with a knee of width w (see ``ports``).
    """

    id: str
    a: str
    b: str
    drop: Values
    ohms: Values


@dataclass(frozen=True, slots=True)
class Trip:
    """Limits of a lithium battery's own management. It opens and stays open.

    Opens when the discharge current exceeds ``peak_a`` for 10 ms, exceeds ``continuous_a`` for longer than
    ``peak_s``, or when the terminals fall below ``low_voltage``. It reads cycle means. Infinite or zero
    values (``inf`` amperes, 0 V) switch a limit off.
    """

    continuous_a: Values
    peak_a: Values
    peak_s: Values
    low_voltage: Values


@dataclass(frozen=True, slots=True)
class Battery:
    """A battery, or equal ones side by side already folded into one.

    v = e0 + de - r0 i - v1 - vs ;  c1 v1' = i - v1/r1 ;  cs vs' = i - vs/rs ;  c_bulk de' = -i
    (i = discharge current; rs = rs_chg while vs < 0, rs_dis while vs > 0). vs is the surface charge.
    ``r1`` = 0 leaves out the polarisation, ``c1`` = 0 makes it a plain resistance; ``cs`` = 0 leaves out the
    surface charge; ``c_bulk`` = inf keeps the open-circuit voltage constant.
    """

    id: str
    p: str
    n: str
    e0: Values
    r0: Values
    r1: Values = 0.0
    c1: Values = 0.0
    rs_dis: Values = 0.0
    rs_chg: Values = 0.0
    cs: Values = 0.0
    c_bulk: Values = np.inf
    trip: Trip | None = None


@dataclass(frozen=True, slots=True)
class Capacitor:
    """A capacitor bank with series resistance: v = vc + esr i, farads vc' = i (i = charging current).

    ``v0`` None: charged to what the network settles at.
    """

    id: str
    p: str
    n: str
    farads: Values
    esr: Values
    v0: Values | None = None


@dataclass(frozen=True, slots=True)
class Alternator:
    """A regulated alternator with lag: x' = (clip((vset - v)/rd, 0, imax) - x)/tau, delivering x.

    ``ramp`` limits the rise of x in A/s (load response control); falls are free.
    """

    id: str
    p: str
    n: str
    vset: Values
    rd: Values
    imax: Values
    tau: Values
    ramp: Values | None = None


@dataclass(frozen=True, slots=True)
class Converter:
    """A DC-DC converter with common negative.

    Delivers s clip((vset - v_out)/rd, 0, imax) and draws v_out i_out / (efficiency v_in). s falls from 1 to 0
    over the 0.2 V above ``min_input``, so that it stops there without a jump.
    """

    id: str
    in_p: str
    out_p: str
    n: str
    vset: Values
    rd: Values
    imax: Values
    efficiency: Values
    min_input: Values


@dataclass(frozen=True, slots=True)
class Load:
    """A load i = watts/v (v/vref)^alpha; alpha 0 constant power, 1 constant current, 2 resistance.

    ``follows_programme`` multiplies the power by the programme's level. Below ``v_low`` a fixed resistance.
    """

    id: str
    p: str
    n: str
    watts: Values
    vref: Values = 13.5
    alpha: Values = 1.0
    v_low: Values = DEFAULT_GUARD_V
    follows_programme: bool = False


@dataclass(frozen=True, slots=True)
class Amplifier:
    """An audio amplifier at level L of the programme.

    allowed(v) = rated_w (v/vref)^exponent (0 regulated, 2 unregulated); out = min(ask_w L, allowed(v)).
    It draws (s sqrt(out allowed(v)) + (1 - s) out)/efficiency + idle_w, s = ``root_share`` of the input at full output:
    0 the same efficiency at every level, 1 class B. ``clipped``: the drive is a square wave, out = min(2 ask_w L,
    2 allowed(v)). Within a cycle the output is multiplied by 1 - ripple_fraction cos(4 pi f t).
    ``v_low`` is the lowest working voltage: an operating point below it is a collapse, not a result.
    ``v_cut`` (None = none) is the protective shut-down, undone ``restart_delay`` s after v > ``v_restart`` (None =
    ``v_cut``). Both read the cycle mean: such protections are filtered (practice).
    """

    id: str
    p: str
    n: str
    rated_w: Values
    vref: Values
    exponent: Values
    ask_w: Values
    efficiency: Values
    idle_w: Values
    v_low: Values
    v_cut: Values | None = None
    v_restart: Values | None = None
    restart_delay: Values = 1.0
    ripple_fraction: Values = 1.0
    root_share: Values = 0.0
    clipped: bool = False


Element = Resistor | Switch | Diode | Battery | Capacitor | Alternator | Converter | Load | Amplifier
