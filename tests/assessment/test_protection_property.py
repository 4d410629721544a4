"""Random builds: nothing dangerous passes in silence, and what is said to pass does."""

from __future__ import annotations

from itertools import pairwise
from math import exp, log, sqrt
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.assessment.assess import assess_nominal
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import read_build_text
from dossier.diagnostic import Diagnostic, Severity

TRIED = {
    "builds": 0,
    "fuses above ampacity": 0,
    "unfused from a source": 0,
    "interrupting below fault": 0,
    "patches applied": 0,
    "no remedy": 0,
}

# 33 CFR 183.425 Table 5 again, by hand: area mm2, then the 60, 75, 90, 105 and 125 degC columns [A]
TABLE = (
    (0.823, 10, 10, 20, 20, 25),
    (2.08, 20, 20, 30, 35, 40),
    (3.31, 25, 25, 40, 45, 50),
    (5.26, 40, 40, 55, 60, 70),
    (8.37, 55, 65, 70, 80, 90),
    (13.3, 80, 95, 100, 120, 125),
    (21.15, 105, 125, 135, 160, 170),
    (33.6, 140, 170, 180, 210, 225),
    (53.5, 195, 230, 245, 285, 305),
    (67.4, 225, 265, 285, 330, 355),
    (107.2, 300, 360, 385, 445, 475),
)
SIZES = ("0.5 mm2", "2.5 mm2", "6 mm2", "16 mm2", "35 mm2", "70 mm2", "150 mm2", "4 AWG", "1/0 AWG")
COLUMN = {60: 1, 75: 2, 90: 3, 105: 4, 125: 5}
BUNDLED = {1: 1.0, 2: 1.0, 4: 0.8, 8: 0.7}  # NEC 310.15(B)(3)(a), read second-hand
MADE = {"bolt_in": (5, 10, 20), "strip": (3, 5, 6), "cartridge": (5, 20, 50)}  # kA; common practice, no source
METAL = {"copper": 1.0, "cca_10": 0.793}
OPEN_CIRCUIT = {"agm": 12.6, "flooded": 12.5, "lifepo4": 13.0}


def published(area: float, insulation: int, air: float, material: str, bundled: int) -> float:
    """Allowed current of one conductor by a calculation of its own, on the high side by 10 %."""
    if air >= insulation:
        return 0.0
    k = COLUMN[insulation]
    area = min(max(area, TABLE[0][0]), TABLE[-1][0])
    for low, high in pairwise(TABLE):
        if low[0] <= area <= high[0]:
            base = exp(log(low[k]) + log(high[k] / low[k]) * log(area / low[0]) / log(high[0] / low[0]))
            break
    factor = min(1.0, sqrt((insulation - air) / (insulation - 30.0)))
    # between rows of the full table this short one may be 7 % low
    return 1.10 * base * factor * METAL[material] * BUNDLED[bundled]


@st.composite
def trees(draw: st.DrawFn) -> dict[str, Any]:
    """A build: a chain of two or three locations, sources at any of them, cables and fuses good and bad."""
    places = ["bay", "boot", "shelf"][: draw(st.integers(2, 3))]
    air = {p: draw(st.sampled_from([30, 45, 60, 85])) for p in places}
    batteries: dict[str, Any] = {
        "starter": {
            "at": "bay",
            "chemistry": draw(st.sampled_from(["agm", "flooded"])),
            "capacity": "70 Ah",
            "internal_resistance": f"{draw(st.sampled_from([3, 5, 8]))} mohm",
            "starts_engine": True,
        }
    }
    if draw(st.integers(0, 2)):
        batteries["rear"] = {
            "at": draw(st.sampled_from(places[1:])),
            "chemistry": draw(st.sampled_from(["agm", "lifepo4"])),
            "capacity": "60 Ah",
            "internal_resistance": f"{draw(st.sampled_from([1, 6]))} mohm",
        }
    if len(places) == 3 and draw(st.integers(0, 2)) == 0:
        batteries["middle"] = {
            "at": "boot",
            "chemistry": "agm",
            "capacity": "80 Ah",
            "internal_resistance": "4 mohm",
        }
    cables: dict[str, Any] = {}
    for k, (start, end) in enumerate(pairwise(places)):
        cable: dict[str, Any] = {
            "role": "feed",
            "from": start,
            "to": end,
            "size": draw(st.sampled_from(SIZES)),
            "length": f"{draw(st.sampled_from([0.6, 2, 5]))} m",
            "material": draw(st.sampled_from(["copper", "copper", "cca_10"])),
            "runs": draw(st.sampled_from([1, 1, 2, 3])),
        }
        bundled = draw(st.sampled_from([None, None, 4, 8]))
        if bundled:
            cable["bundled"] = bundled
        insulation = draw(st.sampled_from([None, 75, 90, 105, 125]))
        if insulation:
            cable["insulation"] = f"{insulation} degC"
        fuses = {}
        for name, near in (("front", start), ("rear", end)):
            if draw(st.integers(0, 3)) > (0 if name == "front" else 1):
                fuse: dict[str, Any] = {
                    "near": near,
                    "style": draw(st.sampled_from(["bolt_in", "strip", "cartridge"])),
                    "rating": f"{draw(st.sampled_from([30, 60, 100, 150, 300]))} A",
                }
                if cable["runs"] > 1 and draw(st.integers(0, 3)) == 0:
                    fuse["shared"] = True
                breaking = draw(st.sampled_from([None, 1, 2, *MADE[fuse["style"]]]))
                if breaking:
                    fuse["breaking_capacity"] = f"{breaking} kA"
                distance = draw(st.sampled_from([None, 100, 300, 550]))
                if distance:
                    fuse["distance"] = f"{distance} mm"
                fuses[name] = fuse
        if fuses:
            cable["fuses"] = fuses
        cables[f"feed_{k}"] = cable
        back: dict[str, Any] = {"role": "return", "chassis": True, "from": end, "to": start}
        if draw(st.booleans()):
            back = {"role": "return", "from": end, "to": start, "length": cable["length"]}
            back["size"] = draw(st.sampled_from([cable["size"], "16 mm2", "50 mm2"]))
            back["insulation"] = draw(st.sampled_from(["75 degC", "105 degC"]))
        cables[f"body_{k}"] = back
    tree: dict[str, Any] = {
        "format": 1,
        "record": {"number": "R", "title": "Random", "stage": "design", "date": "2026-01-02"},
        "vehicle": {"description": "Random car", "base_load": {"at": "bay", "stopped": "4 A"}},
        "locations": {p: {"ambient": f"{t} degC"} for p, t in air.items()},
        "batteries": batteries,
        "amplifiers": {
            "amp": {
                "at": places[-1],
                "supply": draw(st.sampled_from(["regulated", "unregulated"])),
                "rated": {"2 ohm": f"{draw(st.sampled_from([100, 400, 1000, 2500, 5000]))} W"},
            }
        },
        "speakers": {"sub": {"amplifier": "amp", "coil_impedance": "2 ohm"}},
        "cables": cables,
        "load_cases": {"note": {"engine": "stopped", "signal": {"tone": "40 Hz", "for": "1 s"}}},
    }
    if draw(st.booleans()):
        tree["supplies"] = {
            "alternator": {"kind": "alternator", "at": "bay", "rated_current": "120 A", "charging_voltage": "14.4 V"}
        }
    if draw(st.integers(0, 3)) == 0:
        tree["capacitor_banks"] = {
            "bank": {
                "at": places[-1],
                "series": 6,
                "cell": {"capacitance": "3000 F", "esr": "0.3 mohm", "rated_voltage": "2.7 V"},
            }
        }
    return tree


def assessed(tree: dict[str, Any]) -> tuple[tuple[Diagnostic, ...], Any]:
    """Findings and protection of a tree."""
    build = read_build_text(yaml.safe_dump(tree, sort_keys=False).encode(), "random", "random.yaml")
    results = assess_nominal(build)
    return results.findings, results.protection


def said(findings: tuple[Diagnostic, ...], code: str, path: str) -> bool:
    """Whether a stop or caution with a code stands at a path or inside it."""
    return any(f.code == code and f.severity >= Severity.CAUTION and f.path.startswith(path) for f in findings)


def nothing_dangerous_is_silent(tree: dict[str, Any], findings: tuple[Diagnostic, ...]) -> None:
    """Each danger, found by a rule of thumb of its own, has its stop or caution."""
    held = {b["at"] for b in tree["batteries"].values()} | {b["at"] for b in tree.get("capacitor_banks", {}).values()}
    for id_, cable in tree["cables"].items():
        if cable["role"] != "feed":
            continue
        text = cable["size"]
        area = {"4 AWG": 21.15, "1/0 AWG": 53.5}.get(text) or float(text.split()[0])
        air = max(float(tree["locations"][cable[end]]["ambient"].split()[0]) for end in ("from", "to"))
        insulation = int(cable.get("insulation", "60 degC").split()[0])
        allowed = published(area, insulation, air, cable["material"], cable.get("bundled", 1))
        fuses = cable.get("fuses", {})
        for name, fuse in fuses.items():
            path = f"cables.{id_}.fuses.{name}"
            if float(fuse["rating"].split()[0]) > allowed:
                TRIED["fuses above ampacity"] += 1
                assert said(findings, "fuse-above-ampacity", path), (path, allowed)
            for battery in tree["batteries"].values():
                if battery["at"] != fuse["near"]:
                    continue
                ohm = float(battery["internal_resistance"].split()[0]) / 1000.0
                current = OPEN_CIRCUIT[battery["chemistry"]] / (ohm + 0.0005)
                if "breaking_capacity" in fuse and float(fuse["breaking_capacity"].split()[0]) * 1000.0 < current:
                    TRIED["interrupting below fault"] += 1
                    assert said(findings, "breaking-capacity-below-fault", path), (path, current)
                if "breaking_capacity" not in fuse:
                    assert said(findings, "breaking-capacity-not-stated", path)
        for end in ("from", "to"):
            if cable[end] in held and not any(f["near"] == cable[end] for f in fuses.values()):
                TRIED["unfused from a source"] += 1
                assert said(findings, "conductor-unprotected", f"cables.{id_}")


def worst_of(findings: tuple[Diagnostic, ...]) -> dict[tuple[str, str], Severity]:
    """Code and path -> worst severity: both ends of a conductor may have the same finding."""
    return {(f.code, f.path): f.severity for f in sorted(findings, key=lambda f: f.severity)}


def remedies_work(tree: dict[str, Any], findings: tuple[Diagnostic, ...], protection: Any) -> None:
    """Each patch, applied alone, clears its findings and brings no caution or stop; a fuse asks for its data sheet."""
    before = worst_of(findings)
    for remedy in protection.remedies:
        if remedy.patch is None:
            TRIED["no remedy"] += 1
            assert remedy.words.startswith("none")
            continue
        TRIED["patches applied"] += 1
        after, _ = assessed(merge_patch(tree, remedy.patch))
        left = worst_of(after)
        assert not set(remedy.cures) & set(left), (remedy.words, set(remedy.cures) & set(left))
        new = {key: s for key, s in left.items() if s >= Severity.CAUTION and s > before.get(key, Severity.OK)}
        asked = {"clearing-not-judged": "data sheet", "bank-without-pre-charge": "resistor"}  # of a new fuse, as a note
        assert all(asked.get(code, "nothing") in remedy.words for code, _ in new), (remedy.words, new)


def examine(tree: dict[str, Any]) -> None:
    """Both promises on one build."""
    TRIED["builds"] += 1
    findings, protection = assessed(tree)
    nothing_dangerous_is_silent(tree, findings)
    remedies_work(tree, findings, protection)


CHECKS = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much]


@pytest.mark.published
@settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=CHECKS, database=None)
@given(trees())
def test_random_builds(tree: dict[str, Any]) -> None:
    """A few random builds against 33 CFR 183.425 Table 5, E/r, and the graph; and their remedies."""
    examine(tree)


@pytest.mark.long
@pytest.mark.published
def test_many_random_builds(capsys: pytest.CaptureFixture[str]) -> None:
    """Four hundred more; prints what was tried."""

    @settings(max_examples=400, deadline=None, derandomize=True, suppress_health_check=CHECKS, database=None)
    @given(trees())
    def many(tree: dict[str, Any]) -> None:
        examine(tree)

    many()
    with capsys.disabled():
        print("\ntried:", ", ".join(f"{n} {what}" for what, n in TRIED.items()))
    assert TRIED["builds"] >= 400
    assert min(TRIED[key] for key in TRIED if key != "no remedy") > 20
