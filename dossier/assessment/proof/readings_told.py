"""Which recorded figures count, and what they say of the samples that are played anyway."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from dossier.assessment.inputs import input_of
from dossier.assessment.proof.ensemble import CHI2_99, LEAST_SAMPLES, MOST, Ensemble, ensemble
from dossier.assessment.proof.figures_read import Figure, figures, fuse_read, shown
from dossier.assessment.proof.meter_errors import ReadingError, covariance, error_of, last_digit
from dossier.assessment.proof.ripple_readings import is_explained
from dossier.assessment.sag.sampled import Sampled
from dossier.assessment.sag.samples import Flags, Told, Values, band_of
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import JointReading, MeterReading
from dossier.circuit.sampler import Samples
from dossier.equipment.value import Value
from dossier.frozen import dataclass
from dossier.reference.instruments import SEES, WORDS
from dossier.results.readings import MovedInput, Use
from dossier.results.sag import Band

MOVED = 0.7  # sd with the readings over that before, under which an input counts as moved
TOGETHER = 0.9  # correlation from which two inputs are told only together
POINTED = 3  # inputs named for a reading that no sample explains
EDGE = 1.645  # standard deviations from the mean to the 5 and 95 % points of a normal


@dataclass(frozen=True, slots=True)
class Word:
    """What becomes of one figure, why if it is not used, and its prediction with its band before any reading."""

    use: Use
    why: str = ""
    band: Band | None = None
    nominal: float | None = None


Words = Mapping[tuple[str, str], Word]  # path and unit of the figure
NO_WORDS: Words = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class _Seen:
    """A recorded figure with what every sample shows there (B,)."""

    figure: Figure
    error: ReadingError
    shown: Values


@dataclass(frozen=True, slots=True)
class Together:
    """The readings that count, against the samples that hold wherever something was read."""

    seen: tuple[_Seen, ...]
    kept: Flags
    ensemble: Ensemble

    @property
    def told(self) -> Told:
        """What the samples become; not to be asked where no sample explains the readings."""
        return Told(self.kept, self.ensemble.told)

    @property
    def furthest(self) -> int:
        """Which reading lies furthest from what the others say."""
        return int(np.argmax(np.abs(self.ensemble.apart)))

    @property
    def against(self) -> int | None:
        """The reading that excludes the furthest one: each alone fits the samples, no sample shows both."""
        first = self.furthest
        others = [k for k in range(len(self.seen)) if k != first and self._misfit(k) <= CHI2_99[0]]
        if not others or self._misfit(first) > CHI2_99[0]:
            return None
        most = max(others, key=lambda k: self._misfit(first, k))
        return most if self._misfit(first, most) > CHI2_99[1] else None

    def _misfit(self, *which: int) -> float:
        """Of some readings alone."""
        at, e = list(which), self.ensemble
        return ensemble(e.predicted[:, at], e.read[at], e.errors[np.ix_(at, at)]).misfit

    def points_at(self, inputs: Mapping[str, Value], samples: Samples) -> tuple[Value, ...]:
        """The inputs that move the furthest reading most."""
        shown = self.ensemble.predicted[:, self.furthest]
        known = {path: abs(np.corrcoef(samples.strata(path)[self.kept], shown)[0, 1]) for path in inputs}
        return tuple(inputs[path] for path in sorted(known, key=lambda p: -known[p])[:POINTED])

    def moved(self, inputs: Mapping[str, Value], samples: Samples) -> tuple[MovedInput, ...]:
        """The inputs that the readings tell more of, the most first."""
        found: list[tuple[float, Value, Value, Values]] = []
        for path, value in inputs.items():
            place = 2.0 * samples.strata(path)[self.kept] - 1.0
            mean, before, after = self.ensemble.closed(place)
            if after < MOVED * before:
                edges = (_at(value, mean + side * EDGE * after) for side in (-1.0, 1.0))
                low, high = edges
                told = replace(value, low=min(low, high), high=max(low, high))
                found.append((after / before, value, told, self.ensemble.told(place)))
        found.sort(key=lambda one: one[0])
        with_others = np.atleast_2d(np.corrcoef([one[3] for one in found])) if found else np.zeros((0, 0))
        made = []
        for k, (left, _, told, _) in enumerate(found):
            shown = input_of(told)
            others = tuple(
                f"{found[j][1].device}: {found[j][1].quantity}"
                for j in range(len(found))
                if j != k and abs(with_others[k, j]) > TOGETHER
            )
            made.append(
                MovedInput(shown.path, shown.device, shown.quantity, shown.value, shown.low, shown.high, left, others)
            )
        return tuple(made)


def words_before(build: Build, values: Sequence[Value]) -> Words:
    """What can be said of every figure before any sample is played; ``USED`` is what may be used.

    Args:
        build: the build.
        values: every number of its devices, for those that rest on a reading already.
    """
    fitted_to = build.kept.measurements.logs.values() if any(v.basis == "fitted" for v in values) else ()
    fitted_cases = {log.load_case for log in fitted_to}
    return {figure.key: _word(build, figure, values, fitted_cases) for figure in figures(build)}


def _word(build: Build, figure: Figure, values: Sequence[Value], fitted_cases: set[str]) -> Word:
    meter, one = build.kept.instruments.get(figure.taken.instrument), figure.source
    if figure.taken.revision not in ("", build.record.revision):
        return Word(Use.NOT_USED, f"taken on revision {figure.taken.revision}")
    if meter is None:
        return Word(Use.NOT_USED, "no instrument named")
    early = _of_joint(build, one) if isinstance(one, JointReading) else _of_reading(build, one, figure.unit, meter.kind)
    if early is not None:
        return early
    if error_of(figure, meter) is None:
        return Word(Use.CHECKED, "how far such an instrument may be off is not known")
    if figure.case in fitted_cases:
        return Word(Use.CHECKED, "fitted values rest on a log of this load case already")
    digit = 0.02 * figure.value if isinstance(one, JointReading) else last_digit(figure.quantity)
    where = f"cables.{one.cable}." if isinstance(one, JointReading) else ""
    basis = (v for v in values if v.basis == "measured" and v.unit == figure.unit and v.path.startswith(where))
    known = next((v for v in basis if abs(v.nominal - figure.value) <= 0.51 * digit), None)
    return Word(Use.USED) if known is None else Word(Use.CHECKED, f"already the measured value of {known.path}")


def _of_joint(build: Build, one: JointReading) -> Word | None:
    """Why millivolts across something are not used; None where they may be."""
    if one.cable not in build.cables:
        return Word(Use.NOT_USED, "no cable named")
    if one.across == "joint":
        return Word(Use.CHECKED, "one joint is a part of its cable")
    if one.across == "fuse" and fuse_read(build, one) is None:
        return Word(Use.NOT_USED, "which of its fuses is not said")
    return None


def _of_reading(build: Build, one: MeterReading, unit: str, kind: str) -> Word | None:
    """Why a reading is not used; None where it may be."""
    case = build.load_cases.get(one.load_case)
    if case is None:
        return Word(Use.NOT_USED, "no load case named")
    if one.shows not in SEES[kind]:
        return Word(Use.NOT_USED, f"this instrument shows {WORDS[kind]}")
    if one.shows == "ripple_rms":
        worked = is_explained(build, one)
        return Word(Use.CHECKED, "the ripple fraction is worked out from it" if worked else "alternating volts")
    known = one.amplifier in build.amplifiers
    if unit == "A" and not ((known or one.cable) and one.shows == "mean"):
        return Word(Use.NOT_USED, "only mean currents of amplifiers and cables are predicted")
    if case.signal.kind == "music" and one.moment != "rest" and (
        unit == "A" or one.cable or one.moment != "playing" or one.shows == "output_rms"
    ):
        return Word(Use.CHECKED, "the samples play the most demanding stretch of the music, not all of it")
    if one.shows == "output_rms" and not (known and one.moment != "rest" and case.signal.kind == "tone"):
        return Word(Use.NOT_USED, "only the output of an amplifier that plays a steady tone is predicted")
    if one.shows != "mean" and one.moment in ("rest", "end", "mean") and one.shows != "output_rms":
        return Word(Use.NOT_USED, "only the mean is predicted at that moment")
    if not known and not one.cable and (one.at not in build.locations or one.shows != "mean"):
        return Word(Use.NOT_USED, "only the mean is predicted there" if one.at else "no place named")
    return None


def read_cases(words: Words, build: Build) -> frozenset[str]:
    """The load cases whose samples are compared with readings: the first where only resistances were read."""
    used = [figure.case for figure in figures(build) if words[figure.key].use is Use.USED]
    return frozenset(used) - {""} or frozenset(list(build.load_cases)[:1] if used else ())


def together(build: Build, words: Words, cases: Mapping[str, Sampled]) -> tuple[Words, Together | None]:
    """Every figure that may be used against the samples.

    Args:
        build: the build.
        words: of ``words_before``.
        cases: the samples of (at least) every load case that was read.

    Returns:
        the words with bands, and the readings that count together; None where there are none, or too few samples hold.
    """
    made = dict(words)
    seen: list[_Seen] = []
    for figure in figures(build):
        word = words[figure.key]
        if word.use is not Use.USED:
            continue
        case = cases[figure.case] if figure.case else next(iter(cases.values()))
        values = shown(build, case, figure)
        error = error_of(figure, build.kept.instruments[figure.taken.instrument])
        if values is None or error is None:
            made[figure.key] = Word(Use.NOT_USED, "no current can flow there in this engine state")
            continue
        band = band_of(values[1:], ~case.holds, case.batch.inputs)
        nominal = float(values[0]) if np.isinf(case.batch.fails[0]) else None
        word = replace(word, band=band, nominal=nominal)
        if np.ptp(values[1:][case.holds]) <= 1e-6 * abs(values[0]) if case.holds.any() else False:
            word = replace(word, use=Use.CHECKED, why="nothing with a band moves it")
        elif len(seen) == MOST:
            word = replace(word, use=Use.CHECKED, why=f"the first {MOST} readings are used")
        else:
            seen.append(_Seen(figure, error, values[1:]))
        made[figure.key] = word
    if not seen:
        return made, None
    kept = np.logical_and.reduce([cases[s.figure.case].holds for s in seen if s.figure.case])
    kept = np.logical_and.reduce([kept & np.isfinite(s.shown) for s in seen])
    if int(kept.sum()) < LEAST_SAMPLES:
        few = f"only {int(kept.sum())} samples hold in every load case that was read"
        for s in seen:
            made[s.figure.key] = replace(made[s.figure.key], use=Use.CHECKED, why=few)
        return made, None
    predicted = np.column_stack([s.shown[kept] for s in seen])
    read = np.array([s.figure.value for s in seen])
    return made, Together(tuple(seen), kept, ensemble(predicted, read, covariance([s.error for s in seen])))


def _at(value: Value, place: float) -> float:
    """The value of an input at a place of its band, -1 low, 0 nominal, 1 high; it may leave the band a little."""
    half = value.nominal - value.low if place < 0.0 else value.high - value.nominal
    made = value.nominal + place * half
    return max(made, 0.05 * value.nominal) if value.nominal > 0.0 else made
