"""Options beside the build: the same samples for all, so that differences are sharper than levels."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from dossier.assessment.options.answers import answer, by_use
from dossier.assessment.options.combinations import changed_findings, within_budget
from dossier.assessment.options.crossover import crossovers
from dossier.assessment.options.sound_cost import closing_gaps, less_asked, sound_costs
from dossier.assessment.options.uses import ask_lows, lows_of, risen, turns, uses_of
from dossier.assessment.options.variants import Variant, variants
from dossier.assessment.options.verdicts import verdicts
from dossier.assessment.sag.bands import Lows
from dossier.assessment.sag.excerpt import Stretch, worst_stretch
from dossier.assessment.sag.full_level_tone import (
    LENGTHS,
    LONG_S,
    SHORT_S,
    Note,
    as_told,
    ask_note,
    gain_band,
    note_case,
    play_note,
    reading,
)
from dossier.assessment.sag.load_cases import ask_cases
from dossier.assessment.sag.programmes import programme_of
from dossier.assessment.sag.samples import BATCH, Play, Progress, Told, Values, edges_in_time
from dossier.assessment.sag.traces import frozen
from dossier.assessment.supply.budget import least_balance, load_budget
from dossier.assessment.supply.engine_states import engine_words, states_of
from dossier.buildfile.model import Build, Engine, LoadCase, Quantity, Signal
from dossier.circuit.sampler import InputSampler
from dossier.circuit.simulations import current
from dossier.equipment.installed import Installed, installed, running
from dossier.findings.voltage import DROP
from dossier.frozen import dataclass
from dossier.results.budget import EngineBudget, LoadBudget
from dossier.results.options import ASKING_LESS, MusicReading, NoteCurve, NoteReading, OptionComparison, OptionRow, Use
from dossier.results.overview import Results
from dossier.results.sag import Band, Reading

MUSIC_SHARE = 1.0 / 8.0
LEAST_GAIN_V = 0.1  # a gain below what is printed has no price
DEFAULT_CREST_DB = 9.0  # where the build file plays no music: heavy bass music, common practice
DEFAULT_MUSIC_S = 30.0
CARRIED = replace(BATCH, phases=3)  # full level is short in music: against nine phases no reading moves by 10 mV


@dataclass(frozen=True, slots=True)
class PlayedOption:
    """A variant with everything that was computed of it."""

    variant: Variant
    fit: Installed
    note: Note
    music: MusicReading
    results: Results  # of an automatic row: with the note alone
    against: Results | None  # what its findings are set against; None: they are not looked at
    budget: LoadBudget
    share: float  # of rated output that is asked in the note
    asks: float = 1.0  # of what the build's own load cases ask


@dataclass(frozen=True, slots=True)
class Plan:
    """What is played to compare: one note and one stretch of music of every variant, and the builds beside them.

    Attributes:
        note, music: the load cases.
        tone_hz: what carries the music.
        stretch: the part of the music that is played.
        alone: the build with the note as its only load case.
        variants: with their devices, and the build of which findings are made (None: none).
    """

    note: LoadCase
    music: LoadCase
    tone_hz: float
    stretch: Stretch
    alone: Build
    variants: tuple[tuple[Variant, Installed, Build | None], ...]

    def ask(self, draw: InputSampler) -> None:
        """Have all of it played ahead, where other processes can."""
        if not current().helped:
            return
        ask_cases(self.alone, installed(self.alone))
        for variant, fit, judged in self.variants:
            build = variant.build
            ask_note(build, fit, running(build, self.note.engine), self.note, draw)
            if judged is not None:
                ask_cases(judged, installed(judged))
            run = running(build, self.music.engine)
            Play(build, fit, run, self.music, self.stretch.programme, draw, CARRIED).ask()


def plan(build: Build, results: Results) -> Plan:
    """What is played to compare a build of which ``results`` are known with its variants."""
    note, music = note_case(build), music_case(build)
    assert note.signal.tone is not None  # see note_case
    carried = replace(programme_of(music), tone_hz=note.signal.tone.si)
    judged: dict[str, Callable[[Variant], Build | None]] = {
        "build": lambda _: None,
        "option": lambda variant: variant.build,
        "automatic": lambda variant: _alone(variant.build, note),
    }
    return Plan(
        note,
        music,
        note.signal.tone.si,
        worst_stretch(carried, _worst_instant(music, results)),
        _alone(build, note),
        tuple((v, installed(v.build), judged[v.kind](v)) for v in variants(build)),
    )


def compare(
    build: Build,
    results: Results,
    compute: Callable[[Build], Results],
    plan: Plan,
    draw: InputSampler,
    count: int,
    progress: Progress,
    told: Told | None = None,
) -> OptionComparison:
    """The build, its options and the automatic rows side by side.

    Args:
        build: the build.
        results: what was computed of it.
        compute: takes an option's build to its nominal results.
        plan: what is played.
        draw: the samples, or ``nominal``.
        count: how many samples ``draw`` gives, 0 for nominal.
        progress: told what is being computed.
        told: what readings say of the samples; None where they say nothing.
    """
    case, music, stretch, every = plan.note, plan.music, plan.stretch, plan.variants
    asked = 1.0 if case.level is None else case.level.si
    alone = compute(plan.alone)
    made: list[Results] = []
    for k, (variant, _, judged) in enumerate(every):
        progress(f"option: {variant.title}", 0.3 * k / len(every))
        made.append(results if judged is None else compute(judged))
    sampled = [(v, own) for (v, *_), own in zip(every, made, strict=True) if v.kind != "automatic"] if count else []
    for variant, own in sampled:
        ask_lows(variant.build, own, (draw, risen))
    played: list[PlayedOption] = []
    for k, ((variant, fit, judged), own) in enumerate(zip(every, made, strict=True)):
        progress(f"option: {variant.title}", 0.3 + 0.7 * k / (len(every) + 1))
        note = as_told(play_note(variant.build, fit, running(variant.build, case.engine), case, draw), told)
        against = None if judged is None else results if variant.kind == "option" else alone
        budget = results.budget if variant.kind == "build" else _budget(variant.build, fit)
        soft = play_music(variant.build, fit, music, stretch, draw, told)
        played.append(PlayedOption(variant, fit, note, soft, own, against, budget, asked))
    base = played[0]
    lows = {variant.id: lows_of(variant.build, own, draw, told) for variant, own in sampled}
    rising = {variant.id: lows_of(variant.build, own, risen) for variant, own in sampled if variant.kind == "option"}
    turned = turns(rising, list(build.load_cases))
    uses = {
        p.variant.id: uses_of(p.results, results, lows.get(p.variant.id, {}), options)
        for p in played
        for options in [[lows[id_] for id_ in rising] if p.variant.kind == "option" else []]
        if p.variant.kind != "automatic"
    }
    progress("asking less", len(every) / (len(every) + 1))
    less = less_asked(build, base.fit, case, draw)
    if less is not None:
        quieter, level = as_told(less[0], told), less[1]
        variant = Variant(ASKING_LESS, f"Asking {-level:.0f} dB less", "automatic", "level only", build)
        soft = play_music(build, base.fit, _at_level(music, level), stretch, draw, told)
        softer = 10.0 ** (level / 10.0)
        played.append(
            PlayedOption(variant, base.fit, quieter, soft, results, None, results.budget, asked * softer, softer)
        )
    rows = tuple(_row(p, base, case, uses.get(p.variant.id, ()), banded=count > 0) for p in played)
    notes = {p.variant.id: p.note for p in played}
    written = [p.variant.id for p in played if p.variant.kind == "option"]
    crossed = crossovers(notes, written)
    run = running(build, case.engine)

    def every_low(made_of: Build, own: Results) -> Mapping[str, Lows]:
        return lows_of(made_of, own, draw, told)

    conditions = (
        f"engine {engine_words(run.engine, run.speed.nominal)}; {case.signal.tone.si:g} Hz tone at "  # type: ignore[union-attr]
        f"{_level_words(case)}{', clipped' if case.drive == 'clipped' else ''}; worst amplifier"
    )
    idling = running(build, music.engine)
    limit = build.amplifier_limit.mean
    said = verdicts(rows, crossed, conditions, limit.si if limit else None)
    return OptionComparison(
        conditions=conditions,
        music_conditions=f"engine {engine_words(music.engine, idling.speed.nominal)}, crest factor "
        f"{music.signal.crest_factor.si:g} dB, carried by a {plan.tone_hz:g} Hz tone",  # type: ignore[union-attr]
        samples=count if told is None else int(told.kept.sum()),
        with_readings=told is not None,
        rows=rows,
        crossovers=crossed,
        verdict=said,
        answer=answer(rows) or said[:2],
        by_use=by_use(rows, turned),
        turns=turned,
        within_budget=within_budget(build, results, rows, compute, progress, every_low if count else None),
        gaps=closing_gaps(build, case, [(p.variant, p.fit, p.note) for p in played if p.variant.kind != "automatic"]),
    )


def music_case(build: Build) -> LoadCase:
    """The music of the build file, or heavy bass music in the engine state of the note."""
    for case in build.load_cases.values():
        if case.signal.kind == "music":
            return case
    crest = Quantity(DEFAULT_CREST_DB, f"{DEFAULT_CREST_DB:g} dB", "")
    signal = Signal(crest_factor=crest, duration=Quantity(DEFAULT_MUSIC_S, f"{DEFAULT_MUSIC_S:g} s", ""))
    return LoadCase(id="music", title="Music", engine=note_case(build).engine, signal=signal, level=None, amplifiers=())


def _worst_instant(music: LoadCase, results: Results) -> float | None:
    """When the full run of the music had its lowest voltage [s from the start of the sound], where one was made."""
    case = next((c for c in results.load_cases if c.id == music.id), None)
    return None if case is None else next(a.mean_minimum.at for a in case.amplifiers if a.id == case.worst)


def _budget(build: Build, fit: Installed) -> LoadBudget:
    return load_budget(build, fit, {engine.state: running(build, engine) for engine in states_of(build)})


def _alone(build: Build, case: LoadCase) -> Build:
    """The build with the note as its only load case: enough to see what an automatic row does to fuses and charging."""
    return replace(build, load_cases=MappingProxyType({case.id: case}))


def _at_level(case: LoadCase, level_db: float) -> LoadCase:
    share = 10.0 ** (level_db / 10.0) * (case.level.si if case.level else 1.0)
    return replace(case, level=Quantity(share, f"{level_db:.0f} dB", ""))


def _level_words(case: LoadCase) -> str:
    return "rated output" if case.level is None else f"{10.0 * np.log10(case.level.si):+.0f} dB".replace("-", "−")


def play_music(
    build: Build, fit: Installed, case: LoadCase, stretch: Stretch, draw: InputSampler, told: Told | None = None
) -> MusicReading:
    """The lowest at the worst amplifier in the most demanding stretch of the music."""
    batch = Play(build, fit, running(build, case.engine), case, stretch.programme, draw, CARRIED).batch()
    mean, trough, _ = batch.worst()
    t = batch.transient.t
    inside = (t >= stretch.start) & (t <= stretch.end)
    failed = np.isfinite(batch.fails)

    def lowest(values: Values) -> Reading:
        found = np.where(failed, np.nan, values[inside].min(0))
        if told is None:
            return reading(found, stretch.end, batch.inputs)
        return reading(told.beside_nominal(found), stretch.end, batch.inputs[told.kept])

    return MusicReading(lowest(mean), lowest(trough))


def _row(p: PlayedOption, base: PlayedOption, case: LoadCase, uses: tuple[Use, ...], *, banded: bool) -> OptionRow:
    note, v = p.note, p.variant
    own = None if p is base else base.note
    short, long = (_note_reading(note, own, s, banded, p.share) for s in (SHORT_S, LONG_S))
    states = {state.state: state for state in p.budget.states}
    adds, cures, stops = changed_findings(p.results.findings, p.against.findings) if p.against else ((), (), ())
    fails = float(note.fails[0])
    return OptionRow(
        id=v.id,
        title=v.title,
        kind=v.kind,
        what=v.what,
        worst=p.fit.amplifiers[note.worst].title,
        short=short,
        long=long,
        music=p.music,
        collapse_share=long.mean.band.collapse_share if long.mean.band else None,
        fails_at=fails if np.isfinite(fails) else None,
        balance_idle=_balance(p, states["idle"]),
        balance_cruise=_balance(p, states["cruise"]),
        engine_off=p.budget.engine_off[0].seconds if p.asks == 1.0 else None,
        fault_current=_largest_fault(p) if p.against or p is base else None,
        adds=adds,
        stops=stops,
        cures=cures,
        mass=v.mass,
        cost=v.cost,
        currency=v.currency,
        cost_per_volt_short=_price(v, short, base.note, note, SHORT_S),
        cost_per_volt_long=_price(v, long, base.note, note, LONG_S),
        curve=_curve(note, banded),
        sound=sound_costs(p.results) if v.kind != "automatic" else (),
        uses=uses,
        drop_kept=None if v.build.voltage_drop is None else all(f.code != DROP.code for f in p.results.findings),
    )


def _largest_fault(p: PlayedOption) -> float | None:
    """Largest current that a fuse may have to interrupt [A]."""
    return max((fuse.most for fuse in p.results.protection.fuses), default=None)


def _balance(p: PlayedOption, state: EngineBudget) -> float:
    """Of the bus with least to spare: supply less vehicle less music at 1/8 of what is asked [A]."""
    if p.asks == 1.0:
        return state.balances[0]
    build = p.variant.build
    return least_balance(build, p.fit, running(build, Engine(state.state, None)), MUSIC_SHARE * p.asks)


def _note_reading(note: Note, base: Note | None, seconds: float, banded: bool, share: float) -> NoteReading:
    k = note.index(seconds)
    kept = float(note.kept[k, 0]) * share
    gain: Band | None = None
    if base is not None and banded:
        gain = gain_band(note.mean[k], base.mean[k], note.inputs)
    return NoteReading(
        seconds,
        reading(note.mean[k], seconds, note.inputs),
        reading(note.trough[k], seconds, note.inputs),
        None if np.isnan(kept) else 10.0 * float(np.log10(max(kept, 1e-6))),
        gain,
        reading(note.lowest[k], seconds, note.inputs),
    )


def _price(v: Variant, found: NoteReading, base: Note, note: Note, seconds: float) -> float | None:
    """Cost over nominal gain in mean; None where there is no cost, no gain, or nothing to compare with."""
    before = float(base.mean[base.index(seconds), 0])
    if v.cost is None or found.mean.volts is None or np.isnan(before):
        return None
    gain = found.mean.volts - before
    return v.cost / gain if gain >= LEAST_GAIN_V else None


def _curve(note: Note, banded: bool) -> NoteCurve:
    low = high = None
    if banded:
        low, high = (frozen(edge) for edge in edges_in_time(note.mean[:, 1:], np.isnan(note.mean[:, 1:])))
    return NoteCurve(frozen(LENGTHS.copy()), frozen(note.mean[:, 0]), frozen(note.trough[:, 0]), low, high)
