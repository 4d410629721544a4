"""Protection: fault currents, what each fuse does about them, what is left unprotected, and what would pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum
from typing import Annotated, Any

from dossier.frozen import dataclass
from dossier.results.units import Amperes, Celsius, Decibels, Key, Metres, Ohms, Unit, Volts, Watts

Points = tuple[tuple[float, float], ...]  # (current [A], time [s]), rising current


@dataclass(frozen=True, slots=True)
class Share:
    """What one source adds to the largest fault current [A], and what that rests on."""

    source: str
    title: str
    amperes: Annotated[float, Key("current_a")]
    words: str = ""


@dataclass(frozen=True, slots=True)
class PlaceFault:
    """Prospective short-circuit current between positive and negative of a location [A].

    Attributes:
        most: every source, lowest plausible resistances; for breaking capacity on the safe side.
        likely: every source, nominal resistances.
        least: the weakest battery alone, aged and low, hot cables; None where no battery reaches.
        shares: of ``most``, by superposition.
        cranking: cold-cranking current of the lead-acid batteries on its bus, stated or from their capacity; infinite
            where lithium is among them (no such rating), None where no battery is.
        table_main, table_branch: least breaking capacity that a published table asks of a main and of a branch device.
    """

    location: str
    title: str
    most: Amperes
    likely: Amperes
    least: Amperes | None
    shares: tuple[Share, ...]
    cranking: Amperes | None = None
    table_main: Amperes | None = None
    table_branch: Amperes | None = None


class Reply(StrEnum):
    """What a question comes to; ``MAYBE`` is no as far as it is known, but not surely."""

    YES = "yes"
    MAYBE = "maybe"
    NO = "no"
    NOT_JUDGED = "not judged"
    NOT_KNOWN = "not known"
    NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True)
class Answer:
    """A verdict on one question, and why, with numbers."""

    verdict: Reply
    words: str


@dataclass(frozen=True, slots=True)
class FuseCheck:
    """One fuse: everything that is asked of it. Currents in A, lengths in m, times in s.

    Attributes:
        needed: smallest rating that carries the load with the usual margin; ``supply`` what alternators can send
            through it, 0 if there is none.
        allowed: one run of the conductor; ``allowed_at_best`` if everything not stated were favourable.
        most, likely, least: fault currents that it must interrupt, and the smallest it must notice.
        asked_breaking: breaking capacity to look for on a data sheet; ``asked_words`` the class of fuse that has it, or
            how the current comes below one that exists.
        table_breaking: least that a published table asks for here, None where no battery is connected.
        rule, rule_length: the distance rule it is judged by; ``trade_length`` the trade's.
        carries, protects, clears, survives, interrupts, placed: the questions; ``clears`` within five seconds,
            ``passes`` all of ``supply``.
        thin: the conductor is thinner than 12 AWG and the fuse of a slow style: also a bolted fault may burn it.
    """

    cable: str
    cable_title: str
    fuse: str
    near: str
    near_title: str
    style: str
    rating: Amperes
    distance: Metres | None
    breaking: Amperes | None
    needed: Amperes
    supply: Amperes
    allowed: Amperes
    allowed_at_best: Amperes
    assumed_insulation: bool
    size: str
    most: Amperes
    likely: Amperes
    least: Amperes | None
    asked_breaking: Amperes
    rule: str
    rule_length: Metres
    trade_length: Metres
    carries: Answer
    passes: Answer
    protects: Answer
    clears: Answer
    survives: Answer
    interrupts: Answer
    placed: Answer
    holder: Answer
    path: str
    thin: bool = False
    asked_words: str = ""
    table_breaking: Amperes | None = None


@dataclass(frozen=True, slots=True)
class ConductorEnd:
    """One end of a feed: what can feed a fault in it from there, and what protects it.

    Attributes:
        answer: yes (a fuse at this end, or one upstream that protects this conductor, or nothing feeds it), maybe
            (upstream fuse above ampacity up to 150 %, insulation not stated, or a source that limits itself), no.
        feeders: sources that reach it past every fuse that would protect it.
        most_rating: largest fuse rating that would protect it [A].
        self_limiting: what feeds it past every fuse limits itself, as an alternator does: no fuse is asked for.
    """

    cable: str
    title: str
    location: str
    location_title: str
    answer: Answer
    feeders: tuple[str, ...]
    most_rating: Amperes
    self_limiting: bool = False


@dataclass(frozen=True, slots=True)
class Selectivity:
    """Whether the fuse of a branch opens before the main; ``ratio`` of the ratings."""

    main: str
    branch: str
    ratio: float
    answer: Answer


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A load case on the time-current figure: rms current through the fuse [A], how long [s], its title."""

    amperes: Annotated[float, Key("current_a")]
    seconds: Annotated[float, Key("time_s")]
    words: str


@dataclass(frozen=True, slots=True)
class TimeCurrent:
    """What the time-current figure of a run shows; currents through one fuse and one run [A], times [s].

    Attributes:
        opens_within, holds_for: the fuse's band, longest and shortest time; may be empty.
        recalled: the band is the usual one of the style, not from a data sheet: drawn as such, nothing is judged
            from it.
        damage: adiabatic limit (k S)^2/I^2 up to 5 s; ``rating_line`` when the insulation reaches its rating.
        allowed: continuous.
        runs_words: how many equal fuses share the current.
    """

    cable: str
    title: str
    fuse: str
    rating: Amperes
    opens_within: Annotated[Points, Unit("a_s")]
    holds_for: Annotated[Points, Unit("a_s")]
    recalled: bool
    band_source: str
    damage: Annotated[Points, Unit("a_s")]
    rating_line: Annotated[Points, Unit("a_s")]
    allowed: Amperes
    loads: tuple[CurvePoint, ...]
    least: Amperes | None
    most: Amperes


@dataclass(frozen=True, slots=True)
class SpeakerLeadRow:
    """A speaker lead: current at full output [A rms], resistance both ways [ohm], loss [W] and level [dB].

    What it may; ``allowed_below`` is what it may surely not where it is thinner than every published size [A].
    """

    id: str
    title: str
    amplifier: str
    size: str
    length: Metres
    amperes: Annotated[float, Key("current_a")]
    programme: Amperes
    resistance: Ohms
    loss: Watts
    level: Decibels
    allowed: Amperes | None
    allowed_below: Amperes | None = None


@dataclass(frozen=True, slots=True)
class RemoteLeadRow:
    """The lead that switches an amplifier on: what it may carry [A], its fuse [A] if stated."""

    amplifier: str
    title: str
    size: str
    allowed: Amperes | None
    fuse: Amperes | None


@dataclass(frozen=True, slots=True)
class CouplingRow:
    """A coupling: lasting and peak current of the load cases against its ratings [A]."""

    id: str
    title: str
    kind: str
    lasting: Amperes
    peak: Amperes
    continuous_rating: Amperes | None
    peak_rating: Amperes | None


@dataclass(frozen=True, slots=True)
class CrankedCable:
    """One cable while cranking: its part of the cold current, drop, and temperature after the longest try."""

    cable: str
    title: str
    amperes: Annotated[float, Key("current_a")]
    drop: Volts
    hottest: Celsius | None
    insulation: Celsius | None


@dataclass(frozen=True, slots=True)
class CrankedFuse:
    """One fuse while cranking: whether it carries its part of the cold current [A]; no if it surely opens."""

    title: str
    path: str
    amperes: Annotated[float, Key("current_a")]
    rating: Amperes
    carries: Answer


@dataclass(frozen=True, slots=True)
class Cranking:
    """The starter's current, and what is left of the voltage.

    Attributes:
        place: location where its cable ends, with its title.
        warm, cold: its current with the warm and with the cold engine, stated or assumed [A].
        way: between the posts that it hangs on and the starter, both conductors, as others share them [ohm].
        at_starter: with the warm engine and the battery as it stands [V].
        limited: current of the starter at which the management of a battery that starts the engine opens [A], or None.
    """

    place: str
    title: str
    warm: Amperes
    cold: Amperes
    way: Ohms
    at_starter: Volts
    limited: Amperes | None
    cables: tuple[CrankedCable, ...]
    fuses: tuple[CrankedFuse, ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """What would pass, for the findings of one conductor.

    Attributes:
        cures: (code, path) of the findings that it clears.
        words: for print; ``none: ...`` when no standard size does it.
        patch: JSON Merge Patch over the build file, None when there is no remedy.
        drop: voltage drop at the peak current as it is and with the remedy [V].
    """

    cable: str
    title: str
    cures: tuple[tuple[str, str], ...]
    words: str
    patch: Mapping[str, Any] | None
    drop: Volts
    drop_after: Volts | None


@dataclass(frozen=True, slots=True)
class Protection:
    """Everything about faults, fuses and conductors."""

    places: tuple[PlaceFault, ...] = ()
    fuses: tuple[FuseCheck, ...] = ()
    ends: tuple[ConductorEnd, ...] = ()
    selectivity: tuple[Selectivity, ...] = ()
    curves: tuple[TimeCurrent, ...] = ()
    speaker_leads: tuple[SpeakerLeadRow, ...] = ()
    remote_leads: tuple[RemoteLeadRow, ...] = ()
    couplings: tuple[CouplingRow, ...] = ()
    cranking: Cranking | None = None
    remedies: tuple[Remedy, ...] = field(default=())
