"""An sRGB colour profile made here: fixed bytes, no date inside, no licence question (ICC.1:2001-04, version 2)."""

from __future__ import annotations

import struct
from functools import lru_cache

IDENTIFIER = "sRGB IEC61966-2.1"
_CURVE_POINTS = 1024
# Media white and primaries seen from D50 (IEC 61966-2-1 chromaticities after Bradford adaptation; not checked,
# the same values as in widely used sRGB profiles).
_WHITE = (0.9642, 1.0, 0.8249)
_RED, _GREEN, _BLUE = (0.43607, 0.22249, 0.01392), (0.38515, 0.71687, 0.09708), (0.14307, 0.06061, 0.71410)


@lru_cache(maxsize=1)
def srgb_profile() -> bytes:
    """The profile as embedded."""
    tags = [
        (b"desc", _description("sRGB")),
        (b"cprt", b"text\0\0\0\0No rights reserved\0"),
        (b"wtpt", _xyz(_WHITE)),
        (b"rXYZ", _xyz(_RED)),
        (b"gXYZ", _xyz(_GREEN)),
        (b"bXYZ", _xyz(_BLUE)),
        (b"rTRC", _curve()),
        (b"gTRC", b""),  # the same curve again
        (b"bTRC", b""),
    ]
    offset = 128 + 4 + 12 * len(tags)
    table, body, curve = struct.pack(">I", len(tags)), b"", (0, 0)
    for name, data in tags:
        if data:
            place = (offset + len(body), len(data))
            body += data + b"\0" * (-len(data) % 4)
            curve = place
        table += name + struct.pack(">II", *(place if data else curve))
    size = offset + len(body)
    head = struct.pack(
        ">I4sI4s4s4s6H4s4sI4s4sQI3I4s",
        size,
        b"\0" * 4,
        0x02100000,
        b"mntr",
        b"RGB ",
        b"XYZ ",
        2000,
        1,
        1,
        0,
        0,
        0,
        b"acsp",
        b"\0" * 4,
        0,
        b"\0" * 4,
        b"\0" * 4,
        0,
        0,
        *(round(one * 65536) for one in _WHITE),
        b"\0" * 4,
    )
    return head + b"\0" * (128 - len(head)) + table + body


def _xyz(value: tuple[float, float, float]) -> bytes:
    return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(one * 65536) for one in value))


def _description(words: str) -> bytes:
    text = words.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(text)) + text + b"\0" * (4 + 4 + 2 + 1 + 67)


def _curve() -> bytes:
    """IEC 61966-2-1 decoding, sampled."""
    points = []
    for index in range(_CURVE_POINTS):
        value = index / (_CURVE_POINTS - 1)
        linear = value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        points.append(round(linear * 65535))
    return b"curv\0\0\0\0" + struct.pack(f">I{_CURVE_POINTS}H", _CURVE_POINTS, *points)
