"""results.json: plain numbers, units in the names, a stable order."""

from __future__ import annotations

import json
import re
import typing
from dataclasses import fields, is_dataclass
from typing import Any, get_args

from sample_results import sample_results

from dossier.record.results_json import results_json
from dossier.results.overview import Results
from dossier.results.schedule import ConductorRow, Warmth
from dossier.results.units import keys_of

UNIT = re.compile(
    r"_(v|a|w|ohm|m|mm2|s|as|j|db|degc|rpm|hz|f|kg|kn|ah|l|k|a_s|n|n_m|d|m3_per_h|g)$|^(at|value|low|high)_(v|s)$|_a_(mean|peak)$"
)
NO_UNIT = {  # shares, factors, statistics of a normalised envelope, counts
    "fraction",
    "share",
    "collapse_share",
    "kept_share",
    "best_share",
    "rise",  # impedance under power over nominal
    "amount",  # of a budget, in the currency beside it
    "kept_share_with_readings",
    "predicted_low",  # and high, misfit: as the row names, or statistics
    "predicted_high",
    "misfit",
    "limit",
    "apart",
    "left",
    "lowest",  # and highest: the band of a fraction
    "highest",
    "value",
    "mean",
    "rms",
    "peak",
    "share_at_full",
    "cost",  # in the currency named beside it
    "cost_per_volt_short",
    "cost_per_volt_long",
    "early_always",  # shares of the samples
    "late_always",
    "bias",  # of a logged channel, like its rms: V or A as its kind says
    "worth",
    "factor",
    "ratio",
    "efficiency",
    "spread",  # half width, relative
    "power_ratio",
    "floor",  # share of the charge that stays in a battery
    "needs",  # V, or r/min of a supply that turns too slowly, as its cause says
    "measured",  # like the next two: in the unit the row names beside it
    "predicted",
    "difference",
}


def made() -> dict[str, Any]:
    """The sample as JSON, read back."""
    tree: dict[str, Any] = json.loads(results_json(sample_results(collapse=True), build="sample", program="p 1"))
    return tree


def classes(one: Any, seen: set[type]) -> set[type]:
    """Every dataclass reachable from a type."""
    if is_dataclass(one) and isinstance(one, type) and one not in seen:
        seen.add(one)
        for kind in typing.get_type_hints(one).values():
            classes(kind, seen)
    for inner in get_args(one):
        classes(inner, seen)
    return seen


def test_every_number_says_its_unit() -> None:
    """A float field of any result has its unit in the key, or is a share, a factor or a named statistic."""
    for kind in classes(Results, set()):
        hints = typing.get_type_hints(kind)
        for field in fields(kind):
            if float in (hints[field.name], *get_args(hints[field.name])):
                key = keys_of(kind)[field.name]
                assert UNIT.search(key) or key in NO_UNIT, f"{kind.__name__}.{key}"


def test_bare_statistics_keep_their_meaning() -> None:
    """Names without a unit are only allowed where the class has none: currents called rms carry their ampere."""
    for kind in (ConductorRow, Warmth):
        assert keys_of(kind)["rms"] == "rms_a"


def test_the_same_results_give_the_same_bytes() -> None:
    """Order and rounding are fixed."""
    a = results_json(sample_results(), build="b", program="p")
    assert a == results_json(sample_results(), build="b", program="p")
    assert a.endswith(b"}\n")


def test_after_a_collapse_there_is_no_number() -> None:
    """None becomes null; NaN never appears."""
    text = results_json(sample_results(collapse=True), build="b", program="p").decode()
    assert "NaN" not in text
    assert "Infinity" not in text
    first = made()["load_cases"][0]["amplifiers"][0]
    assert first["mean_minimum"]["value_v"] is None
    assert first["outcome"]["kind"] == "no_operating_point"
    assert first["outcome"]["demand_w"] == 5200.0


def test_keys_are_there_for_every_part() -> None:
    """Verdict, findings and schedule can be read by another program."""
    tree = made()
    assert tree["verdict"]["severity"] == "stop"
    assert tree["findings"][0]["code"] == "fuse-far-from-source"
    assert tree["findings"][0]["line"] == 62
    assert tree["schedule"][0]["fuses"][0]["rating_a"] == 150.0
    assert tree["budget"]["states"][0]["demands"][0]["current_a"] > 0
