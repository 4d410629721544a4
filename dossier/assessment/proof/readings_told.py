"""Which recorded readings count, and what they say of the samples that are played anyway."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from dossier.assessment.inputs import input_of
from dossier.assessment.proof.ensemble import LEAST_SAMPLES, MOST, Ensemble, ensemble
from dossier.assessment.proof.meter_errors import ReadingError, covariance, error_of, last_digit
from dossier.assessment.proof.ripple_readings import is_explained
from dossier.assessment.sag.sampled import Flags, Sampled, Told
from dossier.assessment.sag.samples import Values, band_of
from dossier.buildfile.model import Build, Quantity
from dossier.buildfile.recorded import MeterReading
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
    """What becomes of one reading, why if it is not used, and the band of its prediction before any reading."""

    use: Use
    why: str = ""
    band: Band | None = None


Words = Mapping[tuple[str, str], Word]  # id of the reading, unit
NO_WORDS: Words = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class _Seen:
    """A figure of a reading with what every sample shows there (B,)."""

    one: MeterReading
    unit: str
    value: float
    error: ReadingError | None
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


def figures(build: Build) -> tuple[tuple[MeterReading, str, Quantity], ...]:
    """Every recorded figure: its reading, its unit (V or A), and what was read."""
    return tuple(
        (one, unit, value)
        for one in build.kept.measurements.readings.values()
        for unit, value in (("V", one.voltage), ("A", one.current))
        if value is not None
    )


def words_before(build: Build, values: Sequence[Value]) -> Words:
    """What can be said of every figure before any sample is played; ``USED`` is what may be used.

    Args:
        build: the build.
        values: every number of its devices, for those that rest on a reading already.
    """
    fitted_to = build.kept.measurements.logs.values() if any(v.basis == "fitted" for v in values) else ()
    fitted_cases = {log.load_case for log in fitted_to}
    return {(one.id, unit): _word(build, one, unit, q, values, fitted_cases) for one, unit, q in figures(build)}


def _word(
    build: Build, one: MeterReading, unit: str, q: Quantity, values: Sequence[Value], fitted_cases: set[str]
) -> Word:
    meter = build.kept.instruments.get(one.taken.instrument)
    case = build.load_cases.get(one.load_case)
    if one.taken.revision not in ("", build.record.revision):
        return Word(Use.NOT_USED, f"taken on revision {one.taken.revision}")
    if meter is None or case is None:
        return Word(Use.NOT_USED, "no instrument named" if meter is None else "no load case named")
    if one.shows not in SEES[meter.kind]:
        return Word(Use.NOT_USED, f"this instrument shows {WORDS[meter.kind]}")
    if one.shows == "ripple_rms":
        worked = is_explained(build, one)
        return Word(Use.CHECKED, "the ripple fraction is worked out from it" if worked else "alternating volts")
    if error_of(one, q, unit, meter) is None:
        return Word(Use.CHECKED, "how far such an instrument may be off is not known")
    if unit == "A" and (one.amplifier not in build.amplifiers or one.shows != "mean" or one.moment == "rest"):
        return Word(Use.NOT_USED, "only the mean input current of an amplifier is predicted")
    if unit == "A" and case.signal.kind == "music":
        return Word(Use.CHECKED, "the samples play the most demanding stretch of the music, not all of it")
    if one.amplifier not in build.amplifiers and (one.at not in build.locations or one.shows != "mean"):
        return Word(Use.NOT_USED, "only the mean is predicted there" if one.at else "no place named")
    if one.load_case in fitted_cases:
        return Word(Use.CHECKED, "fitted values rest on a log of this load case already")
    digit = last_digit(q)
    basis = (v for v in values if v.basis == "measured" and v.unit == unit and abs(v.nominal - q.si) <= 0.51 * digit)
    if (known := next(basis, None)) is not None:
        return Word(Use.CHECKED, f"already the measured value of {known.path}")
    return Word(Use.USED)


def read_cases(words: Words, build: Build) -> frozenset[str]:
    """The load cases whose samples are compared with readings."""
    readings = build.kept.measurements.readings
    return frozenset(readings[id_].load_case for (id_, _), word in words.items() if word.use is Use.USED)


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
    for one, unit, q in figures(build):
        word = words[one.id, unit]
        if word.use is not Use.USED:
            continue
        case = cases[one.load_case]
        shown = _shown(case, one, unit)
        band = band_of(shown, ~case.holds, case.batch.inputs)
        if len(seen) == MOST:
            made[one.id, unit] = Word(Use.CHECKED, f"the first {MOST} readings are used", band)
            continue
        made[one.id, unit] = replace(word, band=band)
        error = error_of(one, q, unit, build.kept.instruments[one.taken.instrument])
        seen.append(_Seen(one, unit, q.si, error, shown))
    if not seen:
        return made, None
    kept = np.logical_and.reduce([cases[s.one.load_case].holds & np.isfinite(s.shown) for s in seen])
    if int(kept.sum()) < LEAST_SAMPLES:
        few = f"only {int(kept.sum())} samples hold in every load case that was read"
        for s in seen:
            made[s.one.id, s.unit] = Word(Use.CHECKED, few, made[s.one.id, s.unit].band)
        return made, None
    predicted = np.column_stack([s.shown[kept] for s in seen])
    errors = covariance([s.error for s in seen if s.error is not None])
    return made, Together(tuple(seen), kept, ensemble(predicted, np.array([s.value for s in seen]), errors))


def _shown(case: Sampled, one: MeterReading, unit: str) -> Values:
    """What every sample shows there (B,)."""
    if unit == "A":
        return case.amperes(one.amplifier)
    at_amplifier = one.amplifier in case.fit.amplifiers
    mean, trough, _ = case.of_amplifier(one.amplifier) if at_amplifier else case.of_location(one.at)
    return mean[0] if one.moment == "rest" else case.lowest(mean, trough)[one.shows]


def _at(value: Value, place: float) -> float:
    """The value of an input at a place of its band, -1 low, 0 nominal, 1 high; it may leave the band a little."""
    half = value.nominal - value.low if place < 0.0 else value.high - value.nominal
    made = value.nominal + place * half
    return max(made, 0.05 * value.nominal) if value.nominal > 0.0 else made
