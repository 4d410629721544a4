"""The output of an alternator in the fuses on its way to the batteries: at either end, shared, and past a junction."""

from __future__ import annotations

from typing import Any

import pytest
from small_builds import computed, found

from dossier.results.protection import FuseCheck, Reply

CABLE = {"size": "50 mm2", "insulation": "105 degC", "length": "1 m"}
LEAD = {"role": "feed", "from": "engine", "to": "bay", **CABLE}


def fuse(near: str, rating: str = "100 A") -> dict[str, str]:
    """A fuse beside a place."""
    return {"near": near, "distance": "100 mm", "style": "bolt_in", "rating": rating, "breaking_capacity": "20 kA"}


def patched(cables: dict[str, Any], locations: tuple[str, ...] = (), at: str = "engine") -> dict[str, Any]:
    """An alternator of 160 A, and the cables between it and the battery in the bay."""
    places = {id_: {"ambient": "25 degC"} for id_ in ("engine", *locations)}
    strap = {"role": "return", "from": "engine", "to": "bay", **CABLE}
    machine = {"kind": "alternator", "at": at, "rated_current": "160 A", "charging_voltage": "14.2 V"}
    return {"locations": places, "supplies": {"alternator": machine}, "cables": {**cables, "strap": strap}}


def checks(patch: dict[str, Any]) -> dict[str, FuseCheck]:
    """Every fuse of the build by its path."""
    return {check.path: check for check in computed(patch).protection.fuses}


@pytest.mark.analytic
@pytest.mark.parametrize("near", ["bay", "engine"])
def test_both_ends_pass_the_whole_output(near: str) -> None:
    """In one lead the current is the same everywhere: 160 A through 100 A is said at either end."""
    results = computed(patched({"lead": {**LEAD, "fuses": {"link": fuse(near)}}}))
    check = next(c for c in results.protection.fuses if c.cable == "lead")
    assert check.supply == pytest.approx(160.0, abs=0.01)
    assert check.passes.verdict is Reply.MAYBE
    assert [f.path for f in found(results, "alternator-fuse-below-output")] == ["cables.lead.fuses.link.rating"]


@pytest.mark.analytic
def test_a_large_fuse_passes_it() -> None:
    """175 A in air of 25 degC needs no rerating; nothing is said."""
    assert not found(computed(patched({"lead": {**LEAD, "fuses": {"link": fuse("engine", "175 A")}}})),
                     "alternator-fuse-below-output")


@pytest.mark.analytic
def test_leads_side_by_side_share_it() -> None:
    """Two leads, one twice as long: two thirds and one third of the current by their copper (without joints)."""
    bare = {**LEAD, "joints": "0.001 mohm"}
    bare_fuse = {**fuse("engine"), "resistance": "0.001 mohm"}
    found_ = checks(patched({
        "lead": {**bare, "fuses": {"link": bare_fuse}},
        "second": {**bare, "length": "2 m", "fuses": {"link": bare_fuse}},
    }))
    assert found_["cables.lead.fuses.link"].supply == pytest.approx(160.0 * 2 / 3, rel=0.02)
    assert found_["cables.second.fuses.link"].supply == pytest.approx(160.0 / 3, rel=0.02)


@pytest.mark.analytic
def test_past_a_junction_it_is_the_same_current() -> None:
    """From the alternator to a stud, from the stud to the battery: both fuses pass all of it, the amplifier's none."""
    found_ = checks(patched({
        "first": {**LEAD, "to": "stud", "fuses": {"link": fuse("engine")}},
        "second": {**LEAD, "from": "stud", "fuses": {"link": fuse("bay")}},
        "strap_2": {"role": "return", "from": "stud", "to": "bay", **CABLE},
    }, ("stud",)))
    assert found_["cables.first.fuses.link"].supply == pytest.approx(160.0, abs=0.1)
    assert found_["cables.second.fuses.link"].supply == pytest.approx(160.0, abs=0.1)
    assert found_["cables.feed.fuses.front"].supply == pytest.approx(0.0, abs=0.1)


@pytest.mark.analytic
def test_beside_a_battery_no_fuse_parts_it() -> None:
    """An alternator at the battery's own place stays with it whatever fuse opens: no load dump to expect."""
    patch = patched({"lead": {**LEAD, "fuses": {"link": fuse("engine")}}}, at="bay")
    assert checks(patch)["cables.lead.fuses.link"].supply == 0.0
