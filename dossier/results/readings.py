"""What recorded readings say of the samples: what each was used for, and what changed."""

from __future__ import annotations

from enum import StrEnum

from dossier.frozen import dataclass


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


@dataclass(frozen=True, slots=True)
class ReadingGain:
    """What a reading that nobody has taken would leave of the band of the lowest mean voltage.

    ``left``: standard deviation after it, as a share of that before; ``what`` in words.
    """

    what: str
    left: float
