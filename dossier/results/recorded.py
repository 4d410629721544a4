"""What a record says and what follows from it: measurements beside predictions, settings, checklist, due dates."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from dossier.frozen import dataclass
from dossier.results.options import Feed
from dossier.results.readings import ReadingsTold, Use
from dossier.results.ripple import RippleReading
from dossier.results.units import Amperes, Decibels, Hertz, Key, Metres, Ohms, Seconds, Volts, Watts


@dataclass(frozen=True, slots=True)
class Origin:
    """Who measured, with what, when, where, on which revision; words, empty where not recorded."""

    instrument: str
    kind: str
    sees: str
    date: str
    place: str
    by: str
    revision: str
    note: str


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading beside its prediction.

    ``value`` and ``predicted`` in ``unit`` (V or A); ``difference`` = value - predicted, None where there is nothing
    to compare; ``remark`` says why, or what the comparison means.
    """

    id: str
    title: str
    where: str
    case: str
    shows: str
    unit: str
    value: float
    predicted: float | None
    difference: float | None
    visible: bool  # the instrument can see this figure
    inside_band: bool | None  # None = no band was computed
    remark: str
    origin: Origin
    predicted_low: float | None = None  # 5 and 95 % of the samples before any reading; None where they collapse
    predicted_high: float | None = None
    use: Use | None = None  # None = no samples were played


@dataclass(frozen=True, slots=True)
class JointRow:
    """A joint: V at A gives ohm; ``at_peak`` is its drop [V] at the largest computed current of its cable [A]."""

    id: str
    title: str
    cable: str
    drop: Volts
    current: Amperes
    resistance: Ohms
    peak: Amperes | None
    at_peak: Volts | None
    origin: Origin
    predicted: Ohms | None = None  # of what was read across, where it is an input; with its band before any reading
    predicted_low: Ohms | None = None
    predicted_high: Ohms | None = None
    use: Use | None = None  # None = no samples were played
    remark: str = ""


@dataclass(frozen=True, slots=True)
class ProofRow:
    """Insulation, continuity or torque: value in words, whether it is as it should be, and against what."""

    id: str
    kind: str  # insulation | continuity | torque
    title: str
    value: str
    asked: str
    good: bool | None
    origin: Origin


class Ceiling(StrEnum):
    """What leaves no time at all by a criterion."""

    NONE = "none"
    PEAK = "peak"
    LEVEL = "level"


class PeakBasis(StrEnum):
    """What a sound pressure peak rests on; that of music is not told by its level."""

    READ = "read as a peak"
    TONE = "a tone, whose peak lies 3 dB above its rms"


class Heard(StrEnum):
    """What was played for a sound-level run."""

    TONE = "tone"
    MUSIC = "music"


@dataclass(frozen=True, slots=True)
class PermittedRow:
    """Time [s] by one criterion, without protection.

    Attributes:
        seconds: permitted, or until an action value is reached; None where a ceiling is exceeded: no time at all.
        exceeds: which ceiling; ``level`` [dB(A)] and ``peak`` [dB] of the criterion, None where it has none.
        peak_weighting: of that peak.
        action: an action value, at which something has to be done, and no permission.
        at_ear: counted at the ear below its protection.
    """

    criterion: str
    seconds: Annotated[float | None, Key("permitted_s")]
    source: str
    exceeds: Ceiling
    level: Decibels | None
    peak: Decibels | None
    peak_weighting: str
    action: bool
    at_ear: bool


@dataclass(frozen=True, slots=True)
class SoundRow:
    """One sound-level run.

    ``gap`` is target minus level [dB]; ``power_now`` and ``power_needed`` the output of the amplifiers in that load
    case [W]; ``fed`` whether the electrical system as it is could feed that, in words (``feed``: in numbers), empty
    where that was not computed; ``a_weighted`` [dB(A)], ``peak`` [dB(C)] and ``permitted`` are empty where ``refusal``
    says why. ``peak_basis`` says what the peak rests on; ``current``: taken on the revision of this record.
    """

    id: str
    title: str
    position: str
    level: Decibels
    weighting: str
    detector: str
    frequency: Hertz | None
    duration: Seconds | None
    volts: Annotated[float | None, Key("supply_v")]
    predicted_volts: Annotated[float | None, Key("predicted_v")]
    target: Decibels | None
    gap: Decibels | None
    power_ratio: float | None
    power_now: Watts | None
    power_needed: Watts | None
    fed: str
    a_weighted: Decibels | None
    permitted: tuple[PermittedRow, ...]
    refusal: str
    origin: Origin
    peak: Decibels | None = None
    peak_basis: PeakBasis | None = None
    current: bool = True
    signal: Heard = Heard.TONE
    entered_in: str = ""  # class of the competition
    feed: Feed | None = None

    @property
    def over_peak(self) -> bool:
        """Whether its peak leaves no time by any criterion."""
        limits = [row.exceeds for row in self.permitted if not row.action]
        return bool(limits) and all(one is Ceiling.PEAK for one in limits)


@dataclass(frozen=True, slots=True)
class BesideEntry:
    """One revision in a comparison; ``difference`` is measured minus predicted."""

    revision: str
    measured: float
    predicted: float | None
    date: str


@dataclass(frozen=True, slots=True)
class BesideRow:
    """The same thing measured on several revisions, oldest first, in ``unit`` (V, A or dB)."""

    what: str
    unit: str
    entries: tuple[BesideEntry, ...]


@dataclass(frozen=True, slots=True)
class SettingsRow:
    """How an amplifier is set; ``computed`` = sqrt(P Z) [V rms] of its rated output into its load."""

    id: str
    title: str
    computed: Volts | None
    rated_w: float
    load_ohm: float
    recorded: Volts | None
    above_db: float | None  # recorded against computed
    tone: str
    input: str
    high_pass: str
    low_pass: str
    boost: str
    phase: str
    note: str


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One point of the checklist; ``state`` is empty where nothing is recorded."""

    id: str
    group: str
    words: str
    state: str
    by: str
    date: str
    note: str


@dataclass(frozen=True, slots=True)
class DueRow:
    """One maintenance task: when it is due first, and how often after that."""

    id: str
    task: str
    due_date: str
    due_at: Metres | None  # m on the odometer
    every: str
    by: str
    stated: bool  # by the build file; otherwise common practice


@dataclass(frozen=True, slots=True)
class Recorded:
    """Everything of the record sections that is printed with a judgement."""

    readings: tuple[ReadingRow, ...] = ()
    joints: tuple[JointRow, ...] = ()
    proofs: tuple[ProofRow, ...] = ()
    sound: tuple[SoundRow, ...] = ()
    beside: tuple[BesideRow, ...] = ()
    settings: tuple[SettingsRow, ...] = ()
    checklist: tuple[CheckRow, ...] = ()
    due: tuple[DueRow, ...] = ()
    ripples: tuple[RippleReading, ...] = ()
    told: ReadingsTold | None = None
