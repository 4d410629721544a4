"""Options side by side: volts against note length, where one overtakes another, and what each costs in sound."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Final

from dossier.frozen import dataclass
from dossier.results.sag import Band, Kept, Reading, Trace
from dossier.results.units import Amperes, Key, Kilograms, Seconds, Unit, Volts

ASKING_LESS: Final = "asking_less"  # id of the row that changes nothing but the level
NO_LOSS_DB: Final = 0.05  # half of the last decimal that is printed


@dataclass(frozen=True, slots=True)
class NoteReading:
    """The worst amplifier at the end of a note of one length.

    Attributes:
        seconds: length of the note [s].
        mean: cycle mean at that instant (a voltmeter); ``trough`` the lowest within the cycle then (an oscilloscope).
        lowest: the lowest cycle mean up to then: lower where the voltage comes back within the note.
        output_db: lowest output of the worst amplifier against its rated output [dB]; None after a collapse.
        gain: mean here minus mean of the build as it stands, sample by sample [V]; None for the build itself,
            without bands, or where no sample holds in both.
    """

    seconds: Annotated[float, Key("note_s")]
    mean: Reading
    trough: Reading | None
    output_db: float | None
    gain: Band | None = None
    lowest: Reading | None = None


@dataclass(frozen=True, slots=True)
class MusicReading:
    """The worst amplifier while the music plays.

    Attributes:
        mean: lowest cycle mean.
        trough: lowest instant, a bound: as if the tone that carries the music crested with every peak of it.
    """

    mean: Reading
    trough: Reading


@dataclass(frozen=True, slots=True)
class NoteCurve:
    """Mean at the worst amplifier against note length: (L,) s, (L,) V, NaN once it cannot be held."""

    seconds: Annotated[Trace, Key("note_s")]
    mean: Annotated[Trace, Unit("v")]
    trough: Annotated[Trace, Unit("v")]
    low: Annotated[Trace | None, Unit("v")] = None
    high: Annotated[Trace | None, Unit("v")] = None


@dataclass(frozen=True, slots=True)
class SoundCost:
    """What sag costs one amplifier in one load case [W], [dB]; None after a collapse."""

    case: str
    amplifier: str
    asked_w: float
    output_w: float | None
    lost_db: float | None

    @property
    def is_nothing(self) -> bool:
        """Whether the loss is below half of what is printed."""
        return self.lost_db is not None and abs(self.lost_db) < NO_LOSS_DB


@dataclass(frozen=True, slots=True)
class Use:
    """One way to go in one load case of the build.

    Attributes:
        case: id of the load case; ``title`` in words.
        mean: lowest mean at the worst amplifier that plays.
        gain: that with nominal values, less the same of the build as it stands [V]; None where one cannot hold.
        kept: whether every limit stated for the load case counts as kept, and by what; None where none is stated
            and it holds.
        short: by how much the limit that is missed most is missed with nominal values [V]; 0 where all are kept, None
            where the load case cannot be held.
        kept_share: share of the samples that keep all of them [0..1]; None without samples.
        best_share: share of the samples in which no other option holds more [0..1]; None without, and of the build.
    """

    case: str
    title: str
    mean: Reading
    gain: Volts | None = None
    kept: Kept | None = None
    short: Volts | None = None
    kept_share: float | None = None
    best_share: float | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """Where another option holds more in a load case, as the impedance of the loudspeakers under power rises.

    Attributes:
        case: id of the load case.
        best: id of the option that holds most at the nominal load; ``then`` of the one that does from ``rise`` on.
        rise: impedance under power over nominal; all of them that nobody stated, together.
    """

    case: str
    best: str
    then: str
    rise: float


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One way to go, the build as it stands included.

    Attributes:
        kind: build | option (of the build file) | automatic (a row nobody has to write).
        what: what it changes, in words.
        worst: title of the amplifier with the lowest voltage at the end of the long note.
        short, long: the note at its two lengths; ``music`` the lowest while the music plays.
        collapse_share: share of samples that cannot hold the long note (collapse or shut-down) [0..1].
        fails_at: when the nominal long note collapses or shuts an amplifier down [s]; None if it holds.
        balance_idle, balance_cruise: supply less vehicle less music at 1/8 power [A].
        engine_off: play at 1/8 power with the engine stopped, start kept [s].
        fault_current: largest prospective current at a fuse [A]; None where it is not computed.
        adds, cures: findings (stop and caution) that appear and disappear, in words; of an automatic row with the note
            as the only load case, and none where only less is asked.
        stops: what of ``adds`` is a stop.
        uses: every load case of the build, in order; empty for automatic rows.
        drop_kept: whether the voltage-drop limit is kept, with nominal values; None where none is stated.
        mass: added [kg]; ``cost`` in ``currency``; None where not stated.
        cost_per_volt_short, cost_per_volt_long: cost over the gain in mean [per V]; None where it gains nothing
            that can be told from nought (under 0.1 V).
        sound: per load case and amplifier; empty for automatic rows.
    """

    id: str
    title: str
    kind: str
    what: str
    worst: str
    short: NoteReading
    long: NoteReading
    music: MusicReading
    collapse_share: float | None
    fails_at: Seconds | None
    balance_idle: Amperes
    balance_cruise: Amperes
    engine_off: Seconds | None
    fault_current: Amperes | None
    adds: tuple[str, ...]
    cures: tuple[str, ...]
    mass: Kilograms | None
    cost: float | None
    currency: str
    cost_per_volt_short: float | None
    cost_per_volt_long: float | None
    curve: NoteCurve
    sound: tuple[SoundCost, ...] = ()
    stops: tuple[str, ...] = ()
    uses: tuple[Use, ...] = ()
    drop_kept: bool | None = None

    @property
    def missed(self) -> tuple[Use, ...]:
        """The load cases in which a limit is missed, or which cannot be held."""
        return tuple(use for use in self.uses if use.kept is Kept.NOT)

    @property
    def keeps_all(self) -> bool:
        """Whether every limit counts as kept in every load case."""
        return not self.missed and self.drop_kept is not False and any(use.kept for use in self.uses)

    def is_no_use(self, base: OptionRow, name: str) -> bool:
        """Whether it costs something and gains nothing in the ``short`` or ``long`` note, both of which hold."""
        here, there = getattr(self, name).mean.volts, getattr(base, name).mean.volts
        return bool(self.cost) and None not in (here, there) and getattr(self, f"cost_per_volt_{name}") is None

    @property
    def is_judged(self) -> bool:
        """Whether its findings were looked at: not of the build itself, nor where only less is asked."""
        return self.kind == "option" or (self.kind == "automatic" and self.fault_current is not None)


@dataclass(frozen=True, slots=True)
class Crossover:
    """Where one option overtakes another as the note gets longer.

    Attributes:
        early, late: ids of what holds more at short notes and of what holds more at long ones.
        statistic: mean | trough.
        at: note length at which it happens with nominal values [s]; None if it does not within the long note.
        low, high: 5 and 95 % of the samples in which it happens [s]; None without bands or too rare to tell.
        share: share of samples in which ``late`` overtakes ``early`` within the long note [0..1].
        early_always, late_always: shares in which one is ahead at every length.
    """

    early: str
    late: str
    statistic: str
    at: Seconds | None
    low: Seconds | None = None
    high: Seconds | None = None
    share: float | None = None
    early_always: float | None = None
    late_always: float | None = None


class FeedLimit(StrEnum):
    """What forbids a note at a higher power."""

    NONE = "none"
    SUPPLY = "supply"
    CONDUCTOR = "conductor"
    FUSE = "fuse"


@dataclass(frozen=True, slots=True)
class Feed:
    """Whether an electrical system could feed a note at a higher power.

    Attributes:
        limit: what forbids it first, after ``seconds`` of it; at the longest length where nothing does.
        words: the same for the reader.
        missing_db: output missing from what is wanted then [dB]; None where the note is not held or is fed.
        part: conductor, or conductor.fuse, that forbids it; through it ``amperes`` [A], ``allowed`` [A].
    """

    limit: FeedLimit
    seconds: Annotated[float, Key("note_s")]
    words: str
    missing_db: float | None = None
    part: str = ""
    amperes: Annotated[float | None, Key("current_a")] = None
    allowed: Amperes | None = None


@dataclass(frozen=True, slots=True)
class TargetGap:
    """Power to close a gap to a level, and whether the electrical system could feed it.

    Attributes:
        words: which gap.
        gap_db: dB.
        amplifier_w: rated output all amplifiers together would need [W]; ``input_a`` what they draw then [A].
        feeds: per way to go, title and whether its note at that power holds: words; ``answers`` in numbers.
    """

    words: str
    gap_db: float
    amplifier_w: float
    input_a: float
    feeds: tuple[tuple[str, str], ...]
    answers: tuple[Feed, ...] = ()


@dataclass(frozen=True, slots=True)
class Combination:
    """Options bought together, with nominal values.

    Attributes:
        options: their ids in the order of the build file; empty: nothing is bought.
        title: their titles in words.
        cost: of all of them, in the currency of the budget.
        kept: in how many load cases every limit is kept.
        margin: the least voltage above a limit in any load case, negative where one is missed; where none is stated the
            lowest mean of all [V]. None where a load case cannot be held.
        adds: stops and cautions it brings; ``stops`` those of them that are stops.
        kept_share: of the best with bands, share of the samples in which every limit of every load case is kept [0..1].
        on_front: whether nothing that costs as little keeps as many load cases with as much margin.
    """

    options: tuple[str, ...]
    title: str
    cost: float
    kept: int
    margin: Volts | None
    adds: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    on_front: bool = False
    kept_share: float | None = None


@dataclass(frozen=True, slots=True)
class WithinBudget:
    """What can be bought for a sum.

    Attributes:
        amount: in ``currency``.
        fit: how many combinations fit, nothing bought included; ``played`` how many of them were computed.
        combinations: those computed, cheapest first.
        best: ids of the combination to buy.
        words: the answer in sentences, in which order to buy, and what was left out.
    """

    amount: float
    currency: str
    fit: int
    played: int
    combinations: tuple[Combination, ...]
    best: tuple[str, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OptionComparison:
    """The whole comparison.

    Attributes:
        conditions: engine state, level, tone and statistic in words.
        music_conditions: what music was played, in which engine state, and the tone that carries it.
        samples: how many per row; 0 = nominal values only.
        rows: the build first, then its options in order, then the automatic ones.
        verdict: plain sentences, each naming its conditions.
        answer: what to buy, in a sentence or two.
        by_use: a sentence for each load case.
        turns: where the best option changes with the impedance of the loudspeakers under power.
        within_budget: what can be bought for the budget; None where none is stated.
        with_readings: whether bands and shares are those that recorded readings leave.
    """

    conditions: str
    music_conditions: str
    samples: int
    rows: tuple[OptionRow, ...]
    crossovers: tuple[Crossover, ...]
    verdict: tuple[str, ...]
    gaps: tuple[TargetGap, ...] = ()
    answer: tuple[str, ...] = ()
    by_use: tuple[str, ...] = ()
    turns: tuple[Turn, ...] = ()
    within_budget: WithinBudget | None = None
    with_readings: bool = False
