"""One mutant from text to results, under a clock: what came of it, or an assertion that fails."""

from __future__ import annotations

import math
import signal
import warnings
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from types import FrameType

from dossier.assessment.assess import assess
from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.diagnostic import Diagnostic, Severity
from dossier.record.results_json import results_json
from dossier.results.overview import Results

PATIENCE = 5.0  # s for one mutant
PATIENCE_WHOLE = 20.0  # s with options, levels and sensitivity: what a whole dossier may take
WHOLE = 20  # every so many mutants are computed with everything that takes longer


class TooSlowError(Exception):
    """A mutant took longer than it may."""


@contextmanager
def clock(seconds: float) -> Iterator[None]:
    """Ends the body when it takes too long, by the processor's time: another program's work is not ours."""

    def ring(_number: int, _frame: FrameType | None) -> None:
        raise TooSlowError(f"more than {seconds} s")

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def outcome(text: bytes, *, whole: bool = False) -> str:
    """``refused`` or ``computed``; anything else is an exception.

    Args:
        text: a mutant.
        whole: whether to compare options and find what moves the voltage as well, which takes longer.

    Raises:
        AssertionError: a refusal without a position, or a voltage no source could have given.
        TooSlowError: more than five seconds, twenty with everything.
    """
    with clock(PATIENCE_WHOLE if whole else PATIENCE), warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            build = read_build_text(text, "mutant", "mutant.yaml")
            results = assess(build, options=whole)
        except BuildFileError as error:
            refused = error.diagnostics or (Diagnostic("", Severity.ERROR, ""),)
            assert all(d.where is not None and d.where.line >= 1 and d.headline for d in refused)
            return "refused"
        results_json(results, build=build.name, program="fuzz")
        assert believable(build, results)
    return "computed"


def believable(build: Build, results: Results) -> bool:
    """No amplifier sees more than the highest voltage any source could hold, nor less than nothing."""
    highest = max(
        [v.si for s in build.supplies.values() for v in s.charging_voltage.values()]
        + [b.open_circuit_voltage.si * b.series for b in build.batteries.values() if b.open_circuit_voltage]
        + [b.cells * 3.65 * b.series for b in build.batteries.values() if b.cells]
        + [32.0]  # what a 24 V system may reach by the documented defaults
    )
    lows = [a.mean_minimum.volts for case in results.load_cases for a in case.amplifiers]
    return all(volts is None or (math.isfinite(volts) and -0.5 <= volts <= highest + 0.5) for volts in lows)


def tally(texts: Iterable[bytes]) -> tuple[Counter[str], list[tuple[str, bytes]]]:
    """Counts of outcomes, and every failure with the text that caused it."""
    counts: Counter[str] = Counter()
    failures = []
    for number, text in enumerate(texts):
        try:
            counts[outcome(text, whole=number % WHOLE == 0)] += 1
        except Exception as problem:  # every kind is a failure to be shown, none ends the count
            counts["failed"] += 1
            failures.append((f"{type(problem).__name__}: {problem}", text))
    return counts, failures
