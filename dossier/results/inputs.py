"""What the computation rests on: stated inputs by basis, and every assumption with its source."""

from __future__ import annotations

from dossier.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Input:
    """One number the computation used.

    Attributes:
        path: dotted path in the build file, also for a value it does not state.
        device: the device it belongs to, in words.
        quantity: what it is, in words.
        value, low, high: value used and its plausible band, in words with unit.
        basis: measured | datasheet | estimated | fitted | assumed.
        source: published source or "common practice"; empty for stated values.
    """

    path: str
    device: str
    quantity: str
    value: str
    low: str
    high: str
    basis: str
    source: str


@dataclass(frozen=True, slots=True)
class MusicStatistics:
    """The music envelope as realised."""

    crest_db: float
    mean: float
    rms: float
    peak: float
    share_at_full: float
    words: str
