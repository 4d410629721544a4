"""Why a voltage that was read is as low as it is: source, feed, return or demand, how sure, and what to read next.

Each input's share in the lowest mean at the amplifier is its effect across its band (one at a time) at the place where
the readings put it in each sample. A sound feed and return lose at most ``SOUND_V``, a sound source gives the mean of
what is known of it without the readings, a sound demand is the nominal one, which is the most that is stated.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from dossier.assessment.conductors.warming import with_metal
from dossier.assessment.options.reading_gains import Candidate, candidates
from dossier.assessment.options.sensitivity import drawn_inputs
from dossier.assessment.proof.ensemble import left_after
from dossier.assessment.proof.readings_told import Together
from dossier.assessment.sag.sampled import Sampled, sampled
from dossier.assessment.sag.samples import Values
from dossier.buildfile.model import Build
from dossier.buildfile.recorded import MeterReading
from dossier.circuit.sampler import Edges, Samples
from dossier.circuit.wiring import negative, positive
from dossier.equipment.installed import Installed, home, running
from dossier.results.overview import Results
from dossier.results.readings import PRINTED_V, Culprit, Part, Symptom

SOUND_V: Final = {Culprit.FEED: 0.3, Culprit.RETURN: 0.2}  # V a sound one loses at most, of 12 V; common practice
TELLS: Final = 0.95  # of the doubt left, over which a further reading is not worth naming
LIKELY: Final = 0.2  # share of the samples from which a part is named
SURE: Final = 0.95  # from which nothing further need be read
SAME: Final = 0.995  # correlation from which a candidate is one of the readings already taken


def symptom(
    build: Build, results: Results, fit: Installed, found: Together, made: Mapping[str, Sampled], samples: Samples
) -> Symptom | None:
    """The answer where volts were read at an amplifier while it played; None where none were."""
    read = _lowest_read(build, found)
    if read is None:
        return None
    asked = build.load_cases[read.load_case]
    case = next(c for c in results.load_cases if c.id == asked.id)
    warm, run = with_metal(fit, case.warm_metal), running(build, asked.engine)
    inputs = drawn_inputs(build, warm, run, asked)
    edges = sampled(build, warm, run, asked, case, Edges(tuple(inputs)), detail=True)
    shares = _shares(build, edges, read.amplifier, tuple(inputs), samples, found)
    lost = np.stack([shares[one] for one in Culprit])
    first = np.argmax(lost, axis=0)
    parts = sorted(
        (
            Part(one, float(lost[k].mean()), float(np.mean((first == k) & (lost[k] > PRINTED_V))))
            for k, one in enumerate(Culprit)
        ),
        key=lambda part: (-part.share, -part.volts),
    )
    if parts[0].volts < PRINTED_V:
        parts.sort(key=lambda part: -part.volts)
    doubt = shares[parts[0].culprit] - shares[parts[1].culprit]
    balance = next((s.balances[0] for s in results.budget.states if s.state == asked.engine.state), None)
    balance = balance if any(supply.running for supply in run.supplies) else None
    assert read.voltage is not None  # see _lowest_read
    played = [c for c in results.load_cases if c.id in made]
    made_of = Symptom(
        case=case.title,
        amplifier=build.amplifiers[read.amplifier].title,
        read=read.voltage.si,
        parts=tuple(parts),
        balance=balance,
        measure=_next(candidates(played, made), found, doubt),
    )
    return replace(made_of, words=_words(made_of))


def _words(one: Symptom) -> tuple[str, ...]:
    """What is wrong, how sure that is, and what to read next."""
    said, likely = [], [part for part in one.parts if part.share >= LIKELY and part.volts >= PRINTED_V]
    start = f"Why {one.read:.1f} V at {one.amplifier} ({one.case}):"
    if likely:
        named = " or ".join(
            f"the {p.culprit} ({100.0 * p.share:.0f} % sure, {p.volts:.1f} V more than a sound one costs)"
            for p in likely
        )
        others = ", ".join(f"{p.culprit} {p.volts:+.1f} V" for p in one.parts if p not in likely)
        said.append(f"{start} {named}." + (f" Beside that: {others}." if others else ""))
    else:
        said.append(f"{start} nothing costs clearly more than in a sound installation of what is stated.")
    if one.balance is not None and one.balance < 0.0:
        said.append(
            f"What is asked is more than the supply gives: {-one.balance:.0f} A are missing in that engine state with "
            "music at 1/8 power, so the battery empties and the voltage follows it."
        )
    if likely and one.measure and one.parts[0].share < SURE:
        said.append(f"To tell further, read next: {one.measure[0].lower()}{one.measure[1:]}.")
    return tuple(said)


def _lowest_read(build: Build, found: Together) -> MeterReading | None:
    """The lowest volts that were read at an amplifier while it played."""
    read = [s.figure for s in found.seen if isinstance(s.figure.source, MeterReading) and s.figure.unit == "V"]
    here = [
        f for f in read
        if isinstance(f.source, MeterReading) and f.source.amplifier in build.amplifiers
        and f.source.moment != "rest" and f.source.shows == "mean" and not f.source.cable
    ]  # fmt: skip
    lowest = min(here, key=lambda f: f.value, default=None)
    return lowest.source if lowest is not None and isinstance(lowest.source, MeterReading) else None


def _shares(
    build: Build, edges: Sampled, amplifier: str, paths: tuple[str, ...], samples: Samples, found: Together
) -> dict[Culprit, Values]:
    """Volts that each part costs more than a sound one, per sample as the readings tell it, (kept,)."""
    run = edges.batch.transient
    mean, _, failed = edges.of_amplifier(amplifier, 0)
    inside = np.where(edges.inside[:, None], mean, np.inf)
    lows = np.where(failed, np.nan, inside.min(0))
    lows = np.where(np.isnan(lows), np.nanmin(lows), lows)
    at, place = int(np.argmin(inside[:, 0])), build.amplifiers[amplifier].at
    made = {one: np.zeros(int(found.kept.sum())) for one in Culprit}
    for one, node, sign in ((Culprit.FEED, positive, 1.0), (Culprit.RETURN, negative, -1.0)):
        ends = (run.node_voltage(node(where)).mean[at, 0] for where in (home(build), place))
        start, end = ends
        made[one] += sign * (start - end) - SOUND_V[one] * build.vehicle.over_12_v
    for k, path in enumerate(paths):
        culprit = _culprit(build, path)
        if culprit is not None:
            down, up = lows[1 + 2 * k] - lows[0], lows[2 + 2 * k] - lows[0]
            z = 2.0 * samples.strata(path)[found.kept] - 1.0
            before, after = (np.where(at < 0.0, -at * down, at * up) for at in (z, found.ensemble.told(z)))
            made[culprit] -= after - before.mean() if culprit is Culprit.SOURCE else after
    return made


def _culprit(build: Build, path: str) -> Culprit | None:
    """Which part an input belongs to; None for what is nobody's fault, like the air."""
    kind, _, rest = path.partition(".")
    if kind == "cables":
        return Culprit.RETURN if build.cables[rest.partition(".")[0]].role == "return" else Culprit.FEED
    if kind == "couplings":
        return Culprit.FEED
    if kind in ("batteries", "supplies", "capacitor_banks"):
        return Culprit.SOURCE
    return Culprit.DEMAND if kind in ("amplifiers", "speakers") or path.startswith("vehicle.base_load") else None


def _next(every: Iterator[Candidate], found: Together, doubt: Values) -> str:
    """The reading that would tell best between the two likeliest parts, as far as it is not taken already."""
    left: dict[str, float] = {}
    for one in every:
        shown = one.shown[found.kept]
        if not np.isfinite(shown).all() or shown.std() == 0.0:
            continue
        if any(abs(np.corrcoef(shown, read)[0, 1]) > SAME for read in found.ensemble.predicted.T):
            continue
        told = found.ensemble.told(shown)
        left[one.what] = left_after(told[:, None], doubt, np.array([[one.sd**2]]))
    best = min(left, key=lambda what: left[what], default="")
    return best if best and left[best] < TELLS else ""
