"""A source and what it feeds in one place: no cable and no fuse is recorded between them, and that is said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from small_builds import computed, found

from dossier.assessment.options.variants import variants
from dossier.buildfile.reader import read_build, read_build_text
from dossier.buildfile.starters import STARTERS, plain_starter
from dossier.diagnostic import Severity
from dossier.findings.unrecorded import joints

DEMOS = Path(__file__).parents[2] / "demo_builds"
REAR: dict[str, Any] = {"at": "boot", "chemistry": "agm", "capacity": "80 Ah"}
BANK: dict[str, Any] = {
    "at": "boot",
    "series": 6,
    "cell": {"capacitance": "3000 F", "esr": "0.3 mohm", "rated_voltage": "2.7 V"},
}
CODE = "source-joined-without-cable"


@pytest.mark.practice
def test_a_battery_beside_its_amplifier_is_a_caution() -> None:
    """Both at one place: a caution with both names, the place and the fault current; on its own line of the file."""
    results = computed({"batteries": {"rear": REAR}})
    told = found(results, CODE)
    assert [f.severity for f in told] == [Severity.CAUTION]
    most = next(place.most for place in results.protection.places if place.location == "boot")
    for words in (
        "rear and amp",
        "both at boot",
        "without a recorded cable or fuse",
        f"{most / 1000.0:.1f} kA",
    ):
        assert words in told[0].headline
    assert told[0].path == "batteries.rear.at"
    assert told[0].where is not None


@pytest.mark.practice
def test_a_short_fused_cable_between_them_settles_it() -> None:
    """With a place of its own, a cable and a fuse the caution is gone, and the cable is judged like any other."""
    apart = {
        "locations": {"tray": {"ambient": "30 degC"}},
        "batteries": {"rear": {**REAR, "at": "tray"}},
        "cables": {
            "link": {
                "role": "feed",
                "from": "tray",
                "to": "boot",
                "size": "35 mm2",
                "insulation": "105 degC",
                "length": "0.5 m",
                "fuses": {
                    "rear": {"near": "tray", "distance": "150 mm", "style": "bolt_in", "rating": "125 A"}
                },
            },
            "link_return": {
                "role": "return",
                "from": "boot",
                "to": "tray",
                "size": "35 mm2",
                "length": "0.5 m",
            },
        },
    }
    results = computed(apart)
    assert found(results, CODE) == []
    assert "link" in {row.id for row in results.schedule}


@pytest.mark.practice
@pytest.mark.parametrize(
    ("patch", "names"),
    [
        ({"capacitor_banks": {"bank": BANK}}, "bank and amp"),
        ({"capacitor_banks": {"bank": BANK}, "batteries": {"rear": REAR}}, "rear, bank and amp"),
    ],
)
def test_a_bank_counts_like_a_battery(patch: dict[str, Any], names: str) -> None:
    """A bank gives a short circuit thousands of amperes as well; one place is told once."""
    assert [f.headline.startswith(names) for f in found(computed(patch), CODE)] == [True]


@pytest.mark.practice
def test_a_converter_counts_on_both_sides_and_the_factory_on_none() -> None:
    """A converter's input at the starter battery is named; base load and alternator there have the factory's cable."""
    converter = {
        "kind": "dc_dc",
        "from": "bay",
        "at": "boot",
        "rated_current": "30 A",
        "charging_voltage": "14.2 V",
    }
    alternator = {"kind": "alternator", "at": "bay", "rated_current": "90 A", "charging_voltage": "14.2 V"}
    both = {"supplies": {"main": alternator, "charger": converter}, "batteries": {"rear": REAR}}
    told = found(computed({**both, "cables": {"feed": None}}), CODE)
    assert [f.path for f in told] == ["batteries.starter.at", "batteries.rear.at"]
    assert all("charger" in f.headline for f in told)
    assert "main" not in told[0].headline
    assert found(computed({"supplies": {"main": alternator}}), CODE) == []


@pytest.mark.practice
@pytest.mark.parametrize("name", ["hatchback-first-amp", "estate-handover", "van-competition", "pickup-plan"])
def test_demos_and_their_options_record_every_cable(name: str) -> None:
    """No demo but the unsafe one, and no option of one, joins a source and a load without a cable."""
    for variant in variants(read_build(DEMOS / f"{name}.yaml")):
        if variant.kind in ("build", "option"):
            assert joints(variant.build) == (), variant.id


@pytest.mark.practice
@pytest.mark.parametrize("kind", STARTERS)
def test_starters_and_their_options_record_every_cable(kind: str) -> None:
    """The same for what ``dossier new`` writes."""
    for variant in variants(read_build_text(plain_starter(kind).encode(), kind, f"{kind}.yaml")):
        if variant.kind in ("build", "option"):
            assert joints(variant.build) == (), variant.id
