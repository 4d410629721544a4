"""What recorded readings say of the samples: what each was used for, and what changed."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

from dossier.frozen import dataclass
from dossier.results.units import Amperes, Volts

PRINTED_V: Final = 0.1  # V: less is nobody's fault


class Use(StrEnum):
    """What became of a reading."""

    USED = "used"
    CHECKED = "checked only"
    NOT_USED = "not used"


@dataclass(frozen=True, slots=True)
class MovedInput:
    """An input that the readings tell more of, on the condition that the others lie within their bands.

    Attributes:
        path, device, quantity: which.
        value: as the build is computed, in words with unit.
        low, high: 5 to 95 % with the readings, in words.
        left: its standard deviation with the readings, as a share of that before.
        only_with: devices and quantities that the readings tell only together with this one.
    """

    path: str
    device: str
    quantity: str
    value: str
    low: str
    high: str
    left: float
    only_with: tuple[str, ...] = ()


class Culprit(StrEnum):
    """Where volts can be lost."""

    SOURCE = "source"
    FEED = "copper of the feed"
    RETURN = "return"
    DEMAND = "demand"


@dataclass(frozen=True, slots=True)
class Part:
    """What one of them costs.

    ``volts``: more than a sound one, mean of the samples as the readings tell them [V]; ``share`` of the samples in
    which it costs most, and more than is printed.
    """

    culprit: Culprit
    volts: Volts
    share: float


@dataclass(frozen=True, slots=True)
class Symptom:
    """Why a voltage that was read at an amplifier is as low as it is.

    Attributes:
        case, amplifier: titles of where it was read; ``read`` what was read.
        parts: all four, the likeliest first.
        balance: supply less vehicle less music at 1/8 power in that engine state [A]; None where nothing supplies.
        measure: the reading that would tell best between the first two, in words; empty where none would.
        words: all of it in sentences.
    """

    case: str
    amplifier: str
    read: Volts
    parts: tuple[Part, ...]
    balance: Amperes | None
    measure: str
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadingsTold:
    """What the readings say together.

    Attributes:
        used: ids of the readings and joints that count; they narrow nothing where ``explained`` is false.
        samples: how many of the samples hold in every load case that was read.
        misfit, limit: squared distance of the readings from all samples together, and the most that chance gives in
            99 of 100 cases.
        explained: whether any sample can be what was read.
        furthest, apart: the reading that lies furthest from what the others say, and by how many standard deviations;
            ``furthest_path`` its place in the build file, ``furthest_title`` its title.
        against: the reading that it excludes, in words with its line, where no sample shows these two; else empty.
        points_at: devices and quantities that move that reading most; ``measure`` how they are measured.
        moved: inputs of which less than 0.7 of the standard deviation is left.
        symptom: why the lowest voltage that was read at an amplifier is as low; None where none was read.
        unread: engine states of load cases in which nothing was read.
    """

    used: tuple[str, ...]
    samples: int
    misfit: float
    limit: float
    explained: bool
    furthest: str
    apart: float
    points_at: tuple[str, ...]
    measure: str
    moved: tuple[MovedInput, ...]
    unread: tuple[str, ...]
    furthest_path: str = ""
    furthest_title: str = ""
    against: str = ""
    symptom: Symptom | None = None


@dataclass(frozen=True, slots=True)
class ReadingGain:
    """What a reading that nobody has taken would leave of the band of the lowest mean voltage.

    ``left``: standard deviation after it, as a share of that before; ``what`` in words.
    """

    what: str
    left: float
