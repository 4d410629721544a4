"""Units by choice: factors as published, safe rounding, sizes in both notations, sentences that keep both readings."""

from __future__ import annotations

import json
import pickle
import re
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.buildfile.quantities import parse
from dossier.buildfile.stated import Quantity
from dossier.buildfile.units import KINDS
from dossier.reader.gauges import SOLD, gauge_area
from dossier.reader.reading import read_by
from dossier.reader.said import Measure, Said, joined, sentence, sized, to_buy
from dossier.reader.units import Kind, Units, Way


@pytest.mark.published
@pytest.mark.parametrize(
    ("kind", "si", "expected"),
    [
        ("run", 1.0, 3.280840),
        ("distance", 0.1778, 7.0),
        ("temperature", 105.0, 221.0),
        ("temperature", -40.0, -40.0),
        ("rise", 30.0, 54.0),
        ("mass", 1.0, 2.204623),
        ("force", 1000.0, 224.8089),
        ("torque", 1.0, 0.7375621),
        ("driven", 1000.0, 0.6213712),
        ("gas", 1.0, 35.31467),
    ],
)
def test_factors(kind: Kind, si: float, expected: float) -> None:
    """Factors of NIST SP 811 (2008), Appendix B.8 (not checked); 7 in of 33 CFR 183.455 are 177.8 mm."""
    assert float(Units.US.number(kind, si, places=6)) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("units", list(Units))
@given(si=st.floats(1e-4, 900.0))
def test_rounding_is_to_the_safe_side(units: Units, si: float) -> None:
    """A limit never reads larger and a demand never smaller than it is, and neither by a whole last decimal."""
    for kind in ("run", "distance", "mass", "force", "torque", "temperature"):
        scale = units.scale(kind)
        exact, step = si / scale.size + scale.zero, 10.0**-scale.places
        down, up = (float(units.number(kind, si, way)) for way in (Way.DOWN, Way.UP))
        slack = 2e-6 * step
        assert exact - step - slack <= down <= exact + slack
        assert exact - slack <= up <= exact + step + slack


@pytest.mark.published
def test_a_rule_in_inches_reads_in_inches() -> None:
    """33 CFR 183.455: 7 in and 40 in stay 7 and 40, whatever the sixteenth digit says; in millimetres they floor."""
    for inches in (7.0, 40.0, 72.0, 18.0):
        assert Units.US.number("distance", inches * 0.0254, Way.DOWN) == f"{inches:.1f}"
        assert Units.US.number("distance", inches * 0.0254, Way.UP) == f"{inches:.1f}"
    assert Units.METRIC.words("distance", 7 * 0.0254, Way.DOWN) == "177 mm"
    assert Units.METRIC.words("distance", 7 * 0.0254, Way.UP) == "178 mm"


@pytest.mark.published
@pytest.mark.parametrize(
    ("gauge", "square"), [("18", 0.823), ("10", 5.261), ("4", 21.15), ("1", 42.41), ("1/0", 53.49), ("4/0", 107.2)]
)
def test_gauges(gauge: str, square: float) -> None:
    """Areas as printed in NEC chapter 9, table 8 (read second-hand), within its rounding."""
    assert gauge_area(SOLD[gauge]) * 1e6 == pytest.approx(square, rel=1e-3)
    assert Units.US.size(square * 1e-6, f"{square:g} mm2") == f"{gauge} AWG ({square:g} mm²)"


@pytest.mark.parametrize("square", [0.14, 0.5, 1.0, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120])
def test_a_metric_size_is_never_made_larger(square: float) -> None:
    """What is fitted reads as more than a gauge that is really thinner; what is asked for as one that is not."""
    stated = f"{square:g} mm2"
    fitted, asked = Units.US.size(square * 1e-6, stated), Units.US.size_to_buy(square * 1e-6, stated)
    assert f"{square:g} mm²" in fitted
    assert f"{square:g} mm²" in asked
    if found := re.match(r">(\S+) AWG", fitted):
        assert gauge_area(SOLD[found[1]]) < square * 1e-6
    if found := re.match(r"(\S+) AWG or", asked):
        assert gauge_area(SOLD[found[1]]) >= square * 0.99e-6


def test_a_gauge_keeps_its_name_for_both() -> None:
    """A size stated as a gauge comes first for one reader and in brackets for the other."""
    area = parse("area", "1/0 AWG")
    assert Units.US.size(area, "1/0 AWG") == "1/0 AWG"
    assert Units.METRIC.size(area, "1/0 AWG") == "53.5 mm² (1/0 AWG)"
    assert Units.METRIC.size_to_buy(area, "1/0 AWG") == "70 mm² or 1/0 AWG"


@pytest.mark.parametrize(
    ("kind", "text", "metric", "us"),
    [
        ("length", "5.1 m", "5.1 m", "16.7 ft"),
        ("length", "12 ft", "3.66 m", "12 ft"),
        ("length", "6 in", "152 mm", "6 in"),
        ("length", "350 mm", "350 mm", "13.8 in"),
        ("area", "25 mm2", "25 mm²", ">4 AWG (25 mm²)"),
        ("temperature", "70 degC", "70 degC", "158 °F"),
        ("temperature", "221 degF", "105 °C", "221 degF"),
        ("temperature", "-10 degC", "-10 degC", "14 °F"),
        ("mass", "24 kg", "24 kg", "52.9 lb"),
        ("torque", "12 Nm", "12 Nm", "106 lbf·in"),
        ("torque", "30 lbf_ft", "41 N·m", "30 lbf_ft"),
        ("distance", "84210 km", "84210 km", "52,326 mi"),
        ("current", "150 A", "150 A", "150 A"),
        ("time", "3 min", "3 min", "3 min"),
        ("money", "260 EUR", "260 EUR", "260 EUR"),
    ],
)
def test_what_is_stated(kind: str, text: str, metric: str, us: str) -> None:
    """What is stated in the reader's units stays as written; other units are converted; volts and money never."""
    stated = Quantity(parse(kind, text), text, "x")
    assert stated.read_by(Units.METRIC).text == metric
    assert stated.read_by(Units.US).text == us
    assert stated.said() == text


def test_every_metric_unit_of_the_build_file_is_converted() -> None:
    """No unit of length, size, temperature, mass, torque or distance is forgotten."""
    for kind in ("length", "area", "temperature", "mass", "torque", "distance"):
        for unit in KINDS[kind].units:
            stated = Quantity(parse(kind, f"30 {unit}"), f"30 {unit}", "x").said()
            assert stated.us != stated.metric, unit


def test_sentences_keep_both_readings() -> None:
    """A sentence of sentences reads wholly in either system; kept, it is metric with sizes as stated."""
    size = sized(25e-6, "25 mm2")
    inner = sentence("{size} may carry {amps} A in {air} air", size=size, amps=170, air=Measure("temperature", 70.0))
    outer = joined("; ", [sentence("Feed {{1}}: {inner}", inner=inner), "no measure here"])
    assert str(outer) == "Feed {1}: 25 mm2 may carry 170 A in 70 °C air; no measure here"
    assert outer.us == "Feed {1}: >4 AWG (25 mm²) may carry 170 A in 158 °F air; no measure here"
    assert outer.metric == "Feed {1}: 25 mm² may carry 170 A in 70 °C air; no measure here"
    assert json.dumps(outer) == json.dumps(str(outer))
    copied = pickle.loads(pickle.dumps(outer))
    assert (copied, copied.us) == (outer, outer.us)
    assert to_buy(35e-6, "35 mm2").us == "1 AWG or 35 mm²"


def test_what_a_user_writes_is_never_taken_apart() -> None:
    """Titles with braces, numbers and units are shown as written."""
    said = sentence("{title}: {far}", title="5 m {far} of {0}", far=Measure("length", 5.0))
    assert said.us == "5 m {far} of {0}: 16.4 ft"


@dataclass(frozen=True, slots=True)
class _Part:
    words: str
    stated: Quantity | None
    inner: tuple[str, ...]
    named: dict[str, Quantity]


def test_reading_goes_everywhere() -> None:
    """Classes, tuples and maps are read to their ends; what has nothing to read is the same object."""
    q = Quantity(5.1, "5.1 m", "x")
    part = _Part(Said("1 m", us="3 ft"), q, ("a", Said("b", us="c")), {"q": q})
    read = read_by(Units.US, part)
    assert (read.words, read.inner, read.named["q"].text) == ("3 ft", ("a", "c"), "16.7 ft")
    assert read.stated is not None
    assert read.stated.si == 5.1
    plain = _Part("1 m", None, ("a",), {})
    assert read_by(Units.US, plain) is plain
