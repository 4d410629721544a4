"""Ripple fractions worked out from the alternating volts that a multimeter showed at the amplifiers' terminals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np

from dossier.assessment.sag.samples import TAIL, Values
from dossier.buildfile.model import Basis, Build, Quantity
from dossier.buildfile.recorded import MeterReading
from dossier.circuit.elements import Values as Number
from dossier.circuit.sampler import InputSampler, Samples
from dossier.circuit.small_signal import ripple_fractions
from dossier.circuit.wiring import wire
from dossier.equipment.installed import installed, running
from dossier.equipment.value import Subject, Value
from dossier.frozen import dataclass
from dossier.reference.instruments import LOWEST_AC_HZ, SEES
from dossier.results.ripple import RippleReading

AC_SPREAD = 0.05  # of a meter's AC volts near 100 Hz: 1 to 2 %, digits, and reading a moving display; judgement
MOST, NEARLY = 1.0, 0.999  # a swing as large as the mean: no storage in the amplifier at all
LEAST_HALF = 0.02  # of the fraction's band
SAMPLES = 64  # for the band of the fraction


@dataclass(frozen=True, slots=True)
class _Pair:
    """A reading of alternating volts and the mean volts read with it."""

    amplifier: str
    case: str
    tone: float
    ac: MeterReading
    dc: MeterReading | None
    why_not: str


def with_measured_ripple(build: Build) -> tuple[Build, tuple[RippleReading, ...]]:
    """The build with the ripple fractions that its readings tell, as measured values, and what each reading said.

    A ripple fraction that the build file states stays as it is.
    """
    pairs = _pairs(build)
    if not pairs:
        return build, ()
    found = _fractions(build, [p for p in pairs if not p.why_not], Samples(SAMPLES))
    rows = tuple(_row(build, pair, found.get(pair.amplifier)) for pair in pairs)
    amplifiers = dict(build.amplifiers)
    for row in rows:
        if row.fraction is not None and row.lowest is not None and row.highest is not None:
            half = max(row.fraction - row.lowest, row.highest - row.fraction, LEAST_HALF)
            percent = f"{100.0 * row.fraction:.0f} %"
            stated = Quantity(row.fraction, percent, _path(row.amplifier), Basis.MEASURED, half)
            amplifiers[row.amplifier] = replace(amplifiers[row.amplifier], ripple_fraction=stated)
    return replace(build, amplifiers=MappingProxyType(amplifiers)), rows


def _row(build: Build, pair: _Pair, values: Values | None) -> RippleReading:
    """What a reading said, with the fractions (1 + B,) worked out from it, if it could be used."""
    row = RippleReading(
        reading=pair.ac.id,
        amplifier=pair.amplifier,
        title=build.amplifiers[pair.amplifier].title,
        case=build.load_cases[pair.case].title,
        tone=pair.tone,
        ac=_volts(pair.ac),
        dc=None if pair.dc is None else _volts(pair.dc),
        fraction=None,
        lowest=None,
        highest=None,
        words=pair.why_not,
    )
    if values is None:
        return row
    low, high = (float(np.quantile(values[1:], p)) for p in (TAIL, 1.0 - TAIL))
    words = "more than the stated resistances can explain: 1 is used" if values[0] >= NEARLY else "used as measured"
    return replace(row, fraction=float(values[0]), lowest=low, highest=high, words=words)


class Explained(Samples):
    """Samples in which the ripple fraction is what explains the reading in the resistances of the same sample.

    What was measured is the ripple itself: a sample of less resistance has more ripple current. ``build`` is the build
    the reading was taken on; an option keeps the fractions, whatever it changes of the resistances.
    """

    def __init__(self, build: Build, count: int, seed: int) -> None:
        super().__init__(count, seed)
        pairs = [p for p in _pairs(build) if not p.why_not]
        found = _fractions(build, pairs, Samples(count, seed))
        self._explained = {_path(p.amplifier): found[p.amplifier] for p in pairs}
        self._read = {_path(p.amplifier): _ac_value(p.ac).path for p in pairs}

    def __call__(self, value: Value) -> Number:
        """As other samples; the ripple fraction as worked out, (1 + count,)."""
        if value.basis == Basis.MEASURED.value and value.path in self._explained:
            return self._explained[value.path]
        return super().__call__(value)

    def strata(self, path: str) -> Values:
        """The draw of one input; of a ripple fraction, that of the reading it was worked out from."""
        return super().strata(self._read.get(path, path))


def carried_over(build: Build, made: Build, changes: Mapping[str, Any]) -> Build:
    """An option's build with the fractions worked out on the build as it stands, where it keeps the amplifier."""
    touched = changes.get("amplifiers", {})
    amplifiers = dict(made.amplifiers)
    for id_, amplifier in build.amplifiers.items():
        if id_ in amplifiers and id_ not in touched and not _stated(build, id_):
            amplifiers[id_] = replace(amplifiers[id_], ripple_fraction=amplifier.ripple_fraction)
    return replace(made, amplifiers=MappingProxyType(amplifiers))


def is_explained(build: Build, reading: MeterReading) -> bool:
    """Whether a reading is the one that the ripple fraction of its amplifier was worked out from."""
    return any(p.ac.id == reading.id and not p.why_not for p in _pairs(build))


def _pairs(build: Build) -> list[_Pair]:
    """Every reading of alternating volts of this revision at an amplifier during a tone."""
    readings = build.kept.measurements.readings.values()
    made: list[_Pair] = []
    for one in readings:
        case = build.load_cases.get(one.load_case)
        if one.shows != "ripple_rms" or one.voltage is None or case is None or not _counts(build, one):
            continue
        tone = case.signal.tone
        if one.amplifier not in build.amplifiers or tone is None or any(p.amplifier == one.amplifier for p in made):
            continue
        mean = next((r for r in readings if _goes_with(build, r, one)), None)
        why = ""
        if _stated(build, one.amplifier):
            why = "not used: the build file states the ripple fraction itself"
        elif 2.0 * tone.si < LOWEST_AC_HZ:
            why = (
                f"not used: AC ranges of meters begin at about {LOWEST_AC_HZ:.0f} Hz, this ripple is at "
                f"{2.0 * tone.si:.0f} Hz"
            )
        elif mean is None:
            why = "not used: the mean volts of the same moment are missing (a reading that shows: mean)"
        made.append(_Pair(one.amplifier, case.id, tone.si, one, mean, why))
    return made


def _path(amplifier: str) -> str:
    return f"amplifiers.{amplifier}.ripple_fraction"


def _stated(build: Build, amplifier: str) -> bool:
    """Whether the build file itself states the fraction."""
    return "ripple_fraction" in build.tree.get("amplifiers", {}).get(amplifier, {})


def _counts(build: Build, one: MeterReading) -> bool:
    """Whether a reading is of this revision, while it plays, with an instrument that shows it."""
    kind = build.kept.instruments[one.taken.instrument].kind if one.taken.instrument in build.kept.instruments else ""
    return (
        (one.taken.revision or build.record.revision) == build.record.revision
        and one.moment == "playing"
        and one.shows in SEES.get(kind, frozenset())
    )


def _goes_with(build: Build, mean: MeterReading, ripple: MeterReading) -> bool:
    same = mean.amplifier == ripple.amplifier and mean.load_case == ripple.load_case
    return same and mean.shows == "mean" and mean.voltage is not None and _counts(build, mean)


def _volts(one: MeterReading) -> float:
    assert one.voltage is not None  # see _pairs
    return one.voltage.si


def _fractions(build: Build, pairs: list[_Pair], draw: InputSampler) -> dict[str, Values]:
    """Ripple fractions, 0..1, nominal and one per sample; those read in one load case together."""
    fit, made = installed(build), {}
    for id_ in dict.fromkeys(p.case for p in pairs):
        case, here = build.load_cases[id_], [p for p in pairs if p.case == id_]
        network = wire(build, fit, running(build, case.engine), case, draw).network
        mean = {f"amplifiers.{p.amplifier}": _volts(p.dc) for p in here if p.dc is not None}
        ac = {f"amplifiers.{p.amplifier}": draw(_ac_value(p.ac)) for p in here}
        found = ripple_fractions(network, 2.0 * here[0].tone, mean, ac)
        for p in here:
            made[p.amplifier] = _at_lowest(build, found[f"amplifiers.{p.amplifier}"], p.tone)
    return made


def _at_lowest(build: Build, k: Values, tone: float) -> Values:
    """The fraction at the lowest tone of the build's load cases, where it is below the tone of the reading.

    Storage behind a resistance: k = 1/sqrt(1 + x^2), x in proportion to the tone. A higher tone gets no credit.
    """
    lowest = min((c.signal.tone.si for c in build.load_cases.values() if c.signal.tone), default=tone)
    held = np.clip(k, 1e-3, MOST)
    x = np.sqrt(1.0 / held**2 - 1.0) * min(lowest / tone, 1.0)
    scaled: Values = 1.0 / np.sqrt(1.0 + x * x)
    return scaled


def _ac_value(one: MeterReading) -> Value:
    assert one.voltage is not None  # see _pairs
    return Subject(f"measurements.readings.{one.id}", one.title).stated(
        one.voltage, "alternating volts", "V", spread=AC_SPREAD
    )

