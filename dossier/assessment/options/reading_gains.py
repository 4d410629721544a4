"""What a reading would narrow, before it is taken: from the samples alone, whatever it will read."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot

import numpy as np

from dossier.assessment.proof.ensemble import LEAST_SAMPLES, left_after
from dossier.assessment.proof.meter_errors import RECTANGULAR
from dossier.assessment.sag.sampled import Sampled
from dossier.reference.instruments import ERRORS
from dossier.results.readings import ReadingGain
from dossier.results.sag import LoadCaseResult

SHOWN = 0.9  # of the spread left, over which a reading is not worth naming
MOST = 4


def reading_gains(cases: tuple[LoadCaseResult, ...], made: Mapping[str, Sampled]) -> tuple[ReadingGain, ...]:
    """The multimeter readings at amplifiers that would narrow the lowest mean voltage of the build most, best first."""
    held = [case for case in cases if case.id in made]
    if not held:
        return ()
    kept = np.logical_and.reduce([made[case.id].holds for case in held])
    if int(kept.sum()) < LEAST_SAMPLES:
        return ()
    shown = {}
    for case in held:
        for one in case.amplifiers:
            mean, trough, _ = made[case.id].of_amplifier(one.id)
            shown[case.id, one.id, "rest"] = mean[0][kept]
            shown[case.id, one.id, "lowest"] = made[case.id].lowest(mean, trough)["mean"][kept]
    worst = min(held, key=lambda case: float(np.mean(shown[case.id, case.worst, "lowest"])))
    target = shown[worst.id, worst.worst, "lowest"]
    titles = {(case.id, one.id): f"{one.title}, {case.title}" for case in held for one in case.amplifiers}
    usual = ERRORS["multimeter"]
    found = []
    for (case_id, id_, moment), volts in shown.items():
        repeat = usual.rest if moment == "rest" else usual.playing
        sd = hypot(usual.share * float(volts.mean()) / RECTANGULAR, repeat, 0.01 / RECTANGULAR)
        left = left_after(volts[:, None], target, np.array([[sd**2]]))
        words = "before the sound" if moment == "rest" else "lowest while it plays"
        if left < SHOWN:
            found.append(ReadingGain(f"{titles[case_id, id_]}, {words}", left))
    return tuple(sorted(found, key=lambda one: one.left)[:MOST])
