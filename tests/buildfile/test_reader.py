"""The Build that comes out: values in SI, defaults, places, and that nothing in it can be changed."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from dossier.buildfile.model import Basis, Quantity
from dossier.buildfile.reader import BuildFileError, read_build, read_build_text
from dossier.diagnostic import Place

ROOT = Path(__file__).parents[2]
EXAMPLES = Path(__file__).parent / "examples" / "good"
ESTATE = ROOT / "demo_builds" / "estate-handover.yaml"
MINIMAL = (EXAMPLES / "minimal.yaml").read_text()


def quantities(thing: Any) -> list[Quantity]:
    """Every quantity inside a build."""
    if isinstance(thing, Quantity):
        return [thing]
    if dataclasses.is_dataclass(thing) and not isinstance(thing, (Place, type)):
        skip = ("places", "tree", "text", "changes")
        inner = [getattr(thing, f.name) for f in dataclasses.fields(thing) if f.name not in skip]
        return [found for item in inner for found in quantities(item)]
    if hasattr(thing, "values"):
        return [found for item in thing.values() for found in quantities(item)]
    if isinstance(thing, tuple):
        return [found for item in thing for found in quantities(item)]
    return []


def test_values_in_si() -> None:
    """What is written in trade units is held in SI, with its text, basis and tolerance."""
    build = read_build(EXAMPLES / "everything.yaml")
    feed = build.cables["feed"]
    assert feed.length is not None
    assert feed.length.si == pytest.approx(5.1816)
    assert feed.length.text == "17 ft"
    assert (feed.start, feed.end, feed.role, feed.material, feed.runs) == (
        "engine_bay",
        "boot",
        "feed",
        "cca_15",
        2,
    )
    assert feed.fuses["front"].shared
    assert not feed.fuses["rear"].shared
    assert build.cables["body"].chassis
    starter = build.batteries["starter"]
    resistance = starter.internal_resistance
    assert resistance is not None
    assert (resistance.text, resistance.basis) == ("4.2 mohm", Basis.FITTED)
    assert resistance.path == "batteries.starter.internal_resistance"
    assert resistance.si == pytest.approx(0.0042)
    assert resistance.tolerance == pytest.approx(0.0004)
    assert starter.capacity is not None
    assert starter.capacity.si == 70 * 3600
    assert starter.cold_cranking_standard == "sae"
    assert build.locations["engine_bay"].ambient is not None
    assert build.locations["engine_bay"].ambient.si == pytest.approx(70)
    main = build.supplies["main"]
    assert [(s.si, a.si) for s, a in main.output_at_shaft] == [(1800, 60), (6000, 120)]  # rising speed
    assert set(main.charging_voltage) == {"stopped", "auto_stop", "idle", "cruise"}
    assert main.runs_in == ("idle", "cruise")
    assert set(build.supplies["mains"].charging_voltage) == {"any"}
    assert build.supplies["mains"].charging_voltage["any"].tolerance == pytest.approx(0.144)
    assert build.supplies["converter"].input_from == "engine_bay"
    assert [(z.si, p.si) for z, p in build.amplifiers["left"].rated] == [
        (4, 500),
        (1, 1500),
    ]  # falling impedance
    assert build.speakers["subs"].amplifiers == ("left", "right")
    assert build.load_cases["bursts"].engine.speed is not None
    assert build.load_cases["bursts"].engine.speed.si == 1500
    assert build.load_cases["music"].engine.state == "auto_stop"
    assert [build.load_cases[name].signal.kind for name in ("tone", "bursts", "music")] == [
        "tone",
        "bursts",
        "music",
    ]
    assert build.load_cases["tone"].level is not None
    assert build.load_cases["tone"].level.si == pytest.approx(0.501187, rel=1e-6)
    assert build.load_cases["tone"].amplifiers == ("left", "right")
    assert build.amplifier_limit.mean is not None
    assert build.options["lighter"].currency == "EUR"
    assert build.record.number == "0123"
    assert build.notes[1] == "A note of\ntwo lines: with a colon, {braces} and [brackets].\n"


def test_defaults() -> None:
    """What is left out has the schema's default, or is None: nothing is assumed here."""
    build = read_build(EXAMPLES / "minimal.yaml")
    assert build.record.revision == "A"
    assert build.record.customer == ""
    assert build.vehicle.system.si == 12
    assert build.vehicle.idle is None
    battery = build.batteries["starter"]
    assert (battery.parallel, battery.series, battery.cells, battery.starts_engine) == (1, 1, None, False)
    assert battery.internal_resistance is None
    assert build.amplifiers["bass"].output_class == "d"
    assert build.amplifiers["bass"].title == "bass"
    feed = build.cables["feed"]
    assert (feed.material, feed.runs, feed.insulation, dict(feed.fuses)) == ("copper", 1, None, {})
    case = build.load_cases["note"]
    assert (case.drive, case.level, case.amplifiers) == ("clean", None, ())
    assert build.amplifier_limit.mean is None
    assert build.options == {}


def test_schema_defaults_are_the_readers() -> None:
    """A default named in the schema is what the reader gives."""
    lfp = MINIMAL.replace("chemistry: agm", "chemistry: lifepo4")
    assert read_build_text(lfp.encode(), "x", "x").batteries["starter"].cells == 4


def test_text_is_kept_as_it_is() -> None:
    """A user's text is never markup: any script, any sign comes back unchanged."""
    build = read_build(EXAMPLES / "text_is_text.yaml")
    assert build.record.number == "NO"
    assert build.record.title == "שיא: רכב סטיישן <b>&amp;</b> %s {0} $(true)"
    assert build.locations["no"].title == "on"
    assert build.record.customer == "12:30"


def test_places() -> None:
    """Every path has a place: a scalar at its value, a map or list at its key; every quantity has one."""
    build = read_build(EXAMPLES / "everything.yaml")
    lines = (EXAMPLES / "everything.yaml").read_text().split("\n")
    for path, starts in {
        "cables.feed": "feed:",
        "cables.feed.length": "17 ft",
        "cables.feed.fuses.front.rating": "150 A",
        "amplifiers.left.rated.4 ohm": "500 W",
        "load_cases.tone.amplifiers": "amplifiers:",
        "load_cases.tone.amplifiers.1": "right",
        "notes.0": "A note of one line.",
        "options.lighter.changes.cables": "cables:",
    }.items():
        place = build.places[path]
        assert lines[place.line - 1] == place.text
        assert place.text[place.column - 1 :].startswith(starts)
    found = quantities(build)
    assert len(found) > 100
    assert {quantity.path for quantity in found} <= set(build.places)


def test_build_is_frozen() -> None:
    """Nothing of a Build can be changed after reading."""
    build = read_build(EXAMPLES / "minimal.yaml")
    with pytest.raises(AttributeError):
        build.name = "other"  # type: ignore[misc]
    for section in ("cables", "places", "options"):
        with pytest.raises(TypeError):
            getattr(build, section)["x"] = None


def test_reading_is_deterministic() -> None:
    """Two readings give equal builds, and complaints come in the order of the file."""
    assert read_build(ESTATE) == read_build(ESTATE)
    broken = MINIMAL.replace("5.1 m", "5").replace("70 Ah", "70").replace("40 Hz", "40")
    with pytest.raises(BuildFileError) as caught:
        read_build_text(broken.encode(), "x", "x.yaml")
    lines = [d.where.line for d in caught.value.diagnostics if d.where]
    assert lines == sorted(lines)
    assert len(lines) == 3


def test_reading_is_quick() -> None:
    """The estate build is read in about 10 ms on two slow cores; half a second means runaway work."""
    read_build(ESTATE)
    times = []
    for _ in range(5):
        begun = time.process_time()
        read_build(ESTATE)
        times.append(time.process_time() - begun)
    assert min(times) < 0.5


def test_reading_imports_little() -> None:
    """Reading a build file needs no numpy: `check` on a broken file answers at once."""
    code = (
        "import sys; from pathlib import Path; from dossier.buildfile.reader import read_build;"
        f"read_build(Path({str(ESTATE)!r}));"
        "print(sorted({'numpy', 'matplotlib', 'reportlab', 'difflib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(("number", "newer"), [("2", True), ("17", True), ("0", False)])
def test_another_format_is_refused_with_what_to_change(number: str, newer: bool) -> None:
    """A file of another format is refused at its number, with the cure; whatever else is wrong is named beside it."""
    text = MINIMAL.replace("format: 1", f"format: {number}").replace("chemistry: agm", "chemistry: agm, soul: big")
    with pytest.raises(BuildFileError) as caught:
        read_build_text(text.encode(), "x", "x.yaml")
    found = {one.code: one for one in caught.value.diagnostics}
    assert set(found) == {"unsupported-format", "unknown-key"}
    assert found["unsupported-format"].where is not None
    assert ("install a newer dossier" in found["unsupported-format"].fix) == newer
    assert "write `format: 1`" in found["unsupported-format"].fix


@pytest.mark.parametrize("number", ["1.5", "'1'", "one", "[1]"])
def test_format_that_is_no_number(number: str) -> None:
    """A format that is not a whole number is refused at its place."""
    with pytest.raises(BuildFileError) as caught:
        read_build_text(MINIMAL.replace("format: 1", f"format: {number}").encode(), "x", "x.yaml")
    assert [one.path for one in caught.value.diagnostics] == ["format"]


def test_a_switch_is_taken_as_closed_where_nothing_is_said() -> None:
    """The schema's default of `closed` is what the build gets: an open main switch would hide every drain behind it."""
    text = (Path(__file__).parents[1] / "findings" / "sound_build.yaml").read_text(encoding="utf-8")
    text = text.replace("\nsupplies:", "  rack: {}\n\nsupplies:")
    text = text.replace("amplifiers:\n  amp:\n    at: boot", "amplifiers:\n  amp:\n    at: rack")
    text += "\ncouplings: {main: {kind: switch, from: boot, to: rack}}\n"
    back = "  rack_back: {role: return, from: rack, to: boot, size: 4 AWG, length: 1 m}\n"
    text = text.replace("\nload_cases:", f"{back}\nload_cases:")
    assert read_build_text(text.encode(), "x", "x.yaml").couplings["main"].closed
