"""Whether current can flow: islands, couplings, converters and returns, in words of the build file."""

from __future__ import annotations

import pytest

from dossier.buildfile.reader import BuildFileError, read_build_text

FRAME = """
format: 1
record: {number: T-1, title: Wiring, stage: design, date: 2026-01-31}
vehicle: {description: Hatchback%(base)s}
locations: {front: {}, middle: {}, boot: {}, stud: {}}
batteries: {starter: {at: front, chemistry: agm, capacity: 70 Ah}%(batteries)s}
supplies: {%(supplies)s}
couplings: {%(couplings)s}
amplifiers: {bass: {at: boot, supply: regulated, rated: {2 ohm: 900 W}}}
speakers: {sub: {amplifier: bass, coil_impedance: 2 ohm}}
cables: {%(cables)s}
load_cases: {note: {engine: stopped, signal: {tone: 40 Hz, for: 5 s}}}
"""
SECOND = ", rear: {at: boot, chemistry: agm, capacity: 70 Ah}"
CONVERTER = "charge: {kind: dc_dc, from: middle, at: boot, rated_current: 40 A}"
RELAY = "link: {kind: ignition_relay, from: middle, to: boot}"
SWITCH = "cut: {kind: switch, from: middle, to: boot, closed: false}"


def feed(start: str, end: str) -> str:
    """A feed cable."""
    return f"{start}_{end}: {{role: feed, from: {start}, to: {end}, size: 35 mm2, length: 1 m}}"


def back(start: str, end: str) -> str:
    """A return over the body."""
    return f"{start}_{end}_back: {{role: return, chassis: true, from: {start}, to: {end}}}"


def complaints(
    *cables: str, batteries: str = "", supplies: str = "", couplings: str = "", base: str = ""
) -> list[tuple[str, str]]:
    """Code and path of every complaint about a build with these cables."""
    parts = {"batteries": batteries, "supplies": supplies, "couplings": couplings, "base": base}
    text = FRAME % {**parts, "cables": ", ".join(cables)}
    try:
        read_build_text(text.encode(), "x", "x.yaml")
    except BuildFileError as error:
        return [(d.code, d.path) for d in error.diagnostics]
    return []


@pytest.mark.analytic
@pytest.mark.parametrize(
    "cables",
    [
        [feed("front", "boot"), back("boot", "front")],
        [feed("boot", "front"), back("front", "boot")],  # direction of writing does not matter
        [feed("front", "middle"), feed("middle", "boot"), back("boot", "stud"), back("front", "stud")],
    ],
)
def test_closed_loops(cables: list[str]) -> None:
    """A loop from a source through feeds to the amplifier and back is accepted, whatever it leads over."""
    assert complaints(*cables) == []


def test_no_feed() -> None:
    """An amplifier whose positive no source reaches is named."""
    assert complaints(back("boot", "front")) == [("no-feed", "amplifiers.bass")]
    assert complaints(feed("front", "middle"), back("boot", "front")) == [("no-feed", "amplifiers.bass")]


def test_no_return() -> None:
    """An amplifier without a way back is named."""
    assert complaints(feed("front", "boot")) == [("no-return", "amplifiers.bass")]
    assert complaints(feed("front", "boot"), back("boot", "stud")) == [("no-return", "amplifiers.bass")]


def test_couplings_carry() -> None:
    """Relays and switches join positives, also when they are open as found; they are no returns."""
    for device in (RELAY, SWITCH):
        assert complaints(feed("front", "middle"), back("boot", "front"), couplings=device) == []
    assert complaints(feed("front", "middle"), couplings=RELAY) == [("no-return", "amplifiers.bass")]


def test_converter_carries_one_way() -> None:
    """A converter feeds what lies behind it if its own input is fed; its negative needs the return."""
    cables = (feed("front", "middle"), back("boot", "front"))
    assert complaints(*cables, supplies=CONVERTER) == []
    assert complaints(back("boot", "front"), supplies=CONVERTER) == [
        ("no-feed", "supplies.charge"),
        ("no-feed", "supplies.charge.from"),
        ("no-feed", "amplifiers.bass"),
    ]
    assert complaints(feed("front", "middle"), supplies=CONVERTER)[0][0] == "no-return"
    reverse = "charge: {kind: dc_dc, from: boot, at: front, rated_current: 40 A}"
    assert ("no-feed", "amplifiers.bass") in complaints(back("boot", "front"), supplies=reverse)


def test_separate_islands() -> None:
    """Two systems that share nothing are two systems; joined by a feed alone they lack a return."""
    assert complaints(batteries=SECOND) == []
    assert complaints(feed("front", "boot"), batteries=SECOND) == [("no-return", "batteries.starter")]


def test_base_load_is_fed() -> None:
    """The vehicle's own loads need a source as well."""
    base = ", base_load: {at: middle, idle: 40 A}"
    loop = (feed("front", "boot"), back("boot", "front"))
    assert complaints(*loop, base=base) == [("no-feed", "vehicle.base_load")]
    assert complaints(*loop, feed("front", "middle"), back("middle", "front"), base=base) == []
