"""Graphical symbols of IEC 60617, not checked against the document: branch horizontal, current from the left.

Each function draws one symbol around ``(x, y)`` [mm] and notes the rectangle that labels must leave free. The wire
is drawn before; a symbol that interrupts it erases what lies beneath.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from dossier import style
from dossier.pages.diagram.display import Box, Display

HALF: Final = {  # half the length of the symbol along the wire [mm]
    "alternator": 3.6,
    "charger": 4.0,
    "converter": 4.0,
    "battery": 3.4,
    "bank": 1.4,
    "amplifier": 4.0,
    "load": 4.0,
    "fuse": 3.0,
    "switch": 2.6,
    "relay": 2.6,
    "diode": 2.2,
}

UP: Final = {"fuse": 1.2, "breaker": 1.8, "switch": 1.8, "relay": 1.8, "diode": 1.3, "converter": 1.9}  # mm


def _erase(out: Display, x: float, y: float, half: float, up: float = 1.4) -> None:
    out.shape(
        (x - half, y - up),
        (x + half, y - up),
        (x + half, y + up),
        (x - half, y + up),
        stroke="",
        fill=style.WHITE,
        layer=3,
    )


def _keep(out: Display, name: str, x: float, y: float, half: float, up: float, down: float) -> None:
    out.symbols.append((name, Box(x - half, y - up, x + half, y + down)))


def _square(out: Display, x: float, y: float, half: float) -> None:
    out.shape((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half), fill=style.WHITE)


def alternator(out: Display, x: float, y: float) -> None:
    """Generator delivering direct current: circle, G, and the sign of direct current."""
    out.circle(x, y, 3.5, fill=style.WHITE)
    _letter(out, x, y)
    out.line(x - 1.3, y + 1.5, x + 1.3, y + 1.5, 0.3, layer=5)
    for start in (-1.3, -0.4, 0.5):
        out.line(x + start, y + 2.2, x + start + 0.8, y + 2.2, 0.3, layer=5)
    _keep(out, "generator", x, y, 3.6, 3.6, 3.6)


def _letter(out: Display, x: float, y: float) -> None:
    """The letter G as strokes: it belongs to the symbol, not to the text."""
    top, low, half = y - 2.2, y + 0.6, 1.15
    points = (
        (x + half, top + 0.45),
        (x + 0.5, top),
        (x - 0.5, top),
        (x - half, top + 0.6),
        (x - half, low - 0.6),
        (x - 0.5, low),
        (x + 0.5, low),
        (x + half, low - 0.5),
        (x + half, low - 1.2),
        (x + 0.2, low - 1.2),
    )
    out.shape(*points, closed=False, weight=0.42, layer=5)


def charger(out: Display, x: float, y: float) -> None:
    """Rectifier: alternating current in, direct current out."""
    _square(out, x, y, 3.6)
    out.shape((x - 3.6, y + 3.6), (x + 3.6, y - 3.6), closed=False, layer=5, weight=0.3)
    out.shape(
        (x - 2.7, y - 1.7),
        (x - 2.1, y - 2.3),
        (x - 1.5, y - 1.7),
        (x - 0.9, y - 1.1),
        (x - 0.3, y - 1.7),
        closed=False,
        layer=5,
        weight=0.3,
    )
    out.line(x + 0.6, y + 1.6, x + 2.8, y + 1.6, 0.3, layer=5)
    out.line(x + 0.6, y + 2.2, x + 2.8, y + 2.2, 0.3, layer=5)
    _keep(out, "charger", x, y, 3.8, 3.8, 3.8)


def converter(out: Display, x: float, y: float) -> None:
    """Direct-current converter: square with a diagonal and the sign of direct current on both sides."""
    half = 1.9
    _square(out, x, y, half)
    out.shape((x - half, y + half), (x + half, y - half), closed=False, layer=5, weight=0.28)
    for dx, dy in ((-1.4, -1.0), (0.3, 0.8)):
        out.line(x + dx, y + dy, x + dx + 1.1, y + dy, 0.28, layer=5)
        out.line(x + dx, y + dy + 0.45, x + dx + 1.1, y + dy + 0.45, 0.28, layer=5, dash=(0.25, 0.18))
    _keep(out, "converter", x, y, half, half, half)


def battery(out: Display, x: float, y: float) -> None:
    """Battery of cells: long thin plate positive, short thick plate negative."""
    _erase(out, x, y, 3.0)
    for plus, minus in ((-2.9, -1.7), (1.7, 2.9)):
        out.line(x + plus, y - 3.0, x + plus, y + 3.0, 0.3, layer=5)
        out.line(x + minus, y - 1.5, x + minus, y + 1.5, 0.75, layer=5)
    out.line(x - 1.7, y, x + 1.7, y, 0.3, dash=(0.8, 0.6), layer=5)
    _sign(out, x - 4.4, y - 2.0)
    _keep(out, "battery", x, y, 3.3, 3.1, 3.1)


def bank(out: Display, x: float, y: float) -> None:
    """Polarised capacitor: two plates and the sign of the positive one."""
    _erase(out, x, y, 0.7)
    for dx in (-0.7, 0.7):
        out.line(x + dx, y - 3.0, x + dx, y + 3.0, 0.6, layer=5)
    _sign(out, x - 2.3, y - 2.0)
    _keep(out, "capacitor", x, y, 1.2, 3.1, 3.1)


def _sign(out: Display, x: float, y: float) -> None:
    out.line(x - 0.6, y, x + 0.6, y, 0.25, layer=5)
    out.line(x, y - 0.6, x, y + 0.6, 0.25, layer=5)


def amplifier(out: Display, x: float, y: float) -> None:
    """Amplifier: square with the triangle pointing at its output, below."""
    _square(out, x, y, 3.6)
    out.shape((x - 2.1, y - 1.9), (x + 2.1, y - 1.9), (x, y + 2.0), layer=5)
    _keep(out, "amplifier", x, y, 3.7, 3.7, 3.7)


def load(out: Display, x: float, y: float) -> None:
    """Any other load: a rectangle."""
    out.shape((x - 4, y - 1.8), (x + 4, y - 1.8), (x + 4, y + 1.8), (x - 4, y + 1.8), fill=style.WHITE)
    _keep(out, "load", x, y, 4.1, 1.9, 1.9)


def speaker(out: Display, x: float, y: float) -> None:
    """Loudspeaker: box and horn, the lead from the left."""
    out.shape((x, y - 1.0), (x + 1.4, y - 1.0), (x + 1.4, y + 1.0), (x, y + 1.0), fill=style.WHITE)
    out.shape((x + 1.4, y - 1.0), (x + 3.2, y - 1.9), (x + 3.2, y + 1.9), (x + 1.4, y + 1.0), fill=style.WHITE)
    _keep(out, "loudspeaker", x + 1.6, y, 1.7, 1.95, 1.95)


def fuse(out: Display, x: float, y: float, colour: str = style.INK) -> None:
    """Fuse: rectangle, the conductor goes on through its middle."""
    out.shape(
        (x - 3.0, y - 1.1),
        (x + 3.0, y - 1.1),
        (x + 3.0, y + 1.1),
        (x - 3.0, y + 1.1),
        stroke=colour,
        fill=style.WHITE,
        layer=4,
    )
    out.line(x - 3.0, y, x + 3.0, y, 0.33, colour, layer=5)
    _keep(out, "fuse", x, y, 3.1, 1.2, 1.2)


def breaker(out: Display, x: float, y: float, colour: str = style.INK) -> None:
    """Circuit breaker: contact that opens, with a cross at the fixed side."""
    switch(out, x, y, colour)
    for sign in (-1, 1):
        out.line(x + 1.7, y - 0.6 * sign, x + 2.9, y + 0.6 * sign, 0.3, colour, layer=5)


def switch(out: Display, x: float, y: float, colour: str = style.INK) -> None:
    """Contact that closes."""
    _erase(out, x, y, 2.3, 0.8)
    out.shape((x - 2.3, y), (x + 1.9, y - 1.7), closed=False, stroke=colour, weight=0.45, layer=5)
    _keep(out, "switch", x, y, 2.6, 1.8, 0.8)


def relay(out: Display, x: float, y: float, colour: str = style.INK) -> None:
    """Contact with its coil below."""
    switch(out, x, y, colour)
    out.line(x - 0.2, y - 0.8, x - 0.2, y + 0.9, 0.22, colour, layer=5, dash=(0.4, 0.3))
    out.shape(
        (x - 1.3, y + 0.9),
        (x + 0.9, y + 0.9),
        (x + 0.9, y + 1.8),
        (x - 1.3, y + 1.8),
        stroke=colour,
        layer=5,
        weight=0.28,
        fill=style.WHITE,
    )
    _keep(out, "relay", x, y, 2.6, 1.8, 1.9)


def diode(out: Display, x: float, y: float, colour: str = style.INK) -> None:
    """Diode, conducting to the right."""
    out.shape((x - 1.2, y - 1.2), (x - 1.2, y + 1.2), (x + 1.2, y), stroke=colour, fill=style.WHITE, layer=5)
    out.line(x + 1.2, y - 1.2, x + 1.2, y + 1.2, 0.4, colour, layer=5)
    _keep(out, "diode", x, y, 1.5, 1.3, 1.3)


def body(out: Display, x: float, y: float) -> None:
    """Connection to the vehicle's body (frame or chassis): a bar across and three strokes."""
    out.line(x, y - 1.8, x, y + 1.8, 0.45, layer=5)
    for dy in (-1.8, 0.0, 1.8):
        out.line(x, y + dy, x + 1.3, y + dy + 0.9, 0.3, layer=5)
    _keep(out, "body connection", x + 0.6, y, 0.8, 2.0, 2.8)


Draw = Callable[[Display, float, float], None]
DEVICES: Final[dict[str, Draw]] = {
    "alternator": alternator,
    "charger": charger,
    "battery": battery,
    "bank": bank,
    "amplifier": amplifier,
    "load": load,
}
InLine = Callable[[Display, float, float, str], None]
IN_LINE: Final[dict[str, InLine]] = {
    "fuse": fuse,
    "breaker": breaker,
    "switch": switch,
    "relay": relay,
    "diode": diode,
    "converter": lambda out, x, y, _: converter(out, x, y),
}
