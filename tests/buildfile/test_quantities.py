"""Quantities: the arithmetic of every unit, wire gauges against published tables, and what is refused."""

from __future__ import annotations

import re
from math import pi

import pytest

from dossier.buildfile.quantities import QuantityError, parse, parse_tolerance
from dossier.buildfile.units import KINDS, awg_area, pattern

# T. Kuphaldt, Lessons in Electric Circuits, vol. I (DC), ch. 12 "Physics of conductors", wire table:
# gauge -> diameter [in], area [circular mil], as printed. READ.
KUPHALDT = {
    "0000": (0.46, 211600),
    "000": (0.4096, 167800),
    "00": (0.3648, 133100),
    "0": (0.3249, 105500),
    "1": (0.2893, 83690),
    "2": (0.2576, 66370),
    "3": (0.2294, 52630),
    "4": (0.2043, 41740),
    "6": (0.162, 26250),
    "8": (0.1285, 16510),
    "10": (0.1019, 10380),
    "12": (0.08081, 6530),
    "14": (0.06408, 4107),
    "16": (0.05082, 2583),
    "18": (0.0403, 1624),
}
CIRCULAR_MIL = pi / 4 * (0.001 * 0.0254) ** 2  # m2: the area of a circle of one thousandth of an inch


@pytest.mark.published
@pytest.mark.parametrize("gauge", KUPHALDT)
def test_gauge_against_wire_table(gauge: str) -> None:
    """Area and diameter of a gauge agree with the printed wire table to the digits printed."""
    diameter, area = KUPHALDT[gauge]
    ours = awg_area(gauge)
    assert ours / CIRCULAR_MIL == pytest.approx(area, rel=5e-4)
    assert (4 * ours / pi) ** 0.5 / 0.0254 == pytest.approx(diameter, rel=6e-4)


@pytest.mark.published
def test_gauge_definition() -> None:
    """No. 36 is 0.005 in, No. 0000 is 0.46 in, each step is the 39th root of 92 (ASTM B258-02)."""

    def diameter(size: str) -> float:
        return float((4 * awg_area(size) / pi) ** 0.5 / 0.0254)

    assert diameter("36") == pytest.approx(0.005, rel=1e-12)
    assert diameter("0000") == pytest.approx(0.46, rel=1e-12)
    assert diameter("9") / diameter("10") == pytest.approx(1.1229322, rel=1e-7)


@pytest.mark.parametrize("aught", ["0", "00", "000", "0000"])
def test_both_spellings_of_large_gauges(aught: str) -> None:
    """3/0 AWG and 000 AWG are the same conductor."""
    assert parse("area", f"{len(aught)}/0 AWG") == parse("area", f"{aught} AWG")


@pytest.mark.published
@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        # International yard and pound agreement (1959): 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 lb = 0.45359237 kg.
        ("length", "17 ft", 5.1816),
        ("length", "8 in", 0.2032),
        ("mass", "53 lb", 24.04039561),
        # SI prefixes and units accepted for use with the SI (SI brochure, 9th ed., tables 7 and 8).
        ("length", "120 mm", 0.12),
        ("length", "12cm", 0.12),
        ("area", "50 mm2", 50e-6),
        ("area", "50 mm²", 50e-6),
        ("resistance", "4.2 mohm", 0.0042),
        ("resistance", "4.2 mΩ", 0.0042),
        ("resistance", "250 µohm", 0.00025),
        ("resistance", "250 \u03bcΩ", 0.00025),
        ("resistance", "250 u\u2126", 0.00025),
        ("power", "1.5 kW", 1500),
        ("voltage", "700 mV", 0.7),
        ("current", "5 kA", 5000),
        ("capacity", "80 Ah", 288000),
        ("capacity", "500 mAh", 1800),
        ("capacitance", "100 mF", 0.1),
        ("time", "400 ms", 0.4),
        ("time", "1.5 min", 90),
        ("time", "1 h", 3600),
        ("temperature", "70 degC", 70),
        ("temperature", "-20 °C", -20),
        ("temperature", "158 degF", 70),
        ("temperature", "-40 °F", -40),
        ("speed", "800 rpm", 800),
        ("frequency", "38 Hz", 38),
        ("current_rate", "10 A/s", 10),
        ("fraction", "78 %", 0.78),
        ("ratio", "2.86", 2.86),
        ("money", "260.50 EUR", 260.5),
        ("resistance", "1.2e-3 ohm", 0.0012),
        ("length", ".5 m", 0.5),
        ("mass", "+24 kg", 24),
    ],
)
def test_units(kind: str, text: str, value: float) -> None:
    """A quantity is converted by the published definition of its unit."""
    assert parse(kind, text) == pytest.approx(value, rel=1e-12)


@pytest.mark.analytic
def test_level_is_a_power_fraction() -> None:
    """A level in decibels is ten times the logarithm of the power it stands for; a percentage is that power."""
    assert parse("level", "-10 dB") == pytest.approx(0.1, rel=1e-12)
    assert parse("level", "-3 dB") == pytest.approx(0.501187, rel=1e-6)
    assert parse("level", "0 dB") == 1
    assert parse("level", "50 %") == 0.5


@pytest.mark.parametrize(
    ("kind", "text", "value", "half"),
    [
        ("resistance", "10 %", 0.0042, 0.00042),
        ("resistance", "0.4 mohm", 0.0042, 0.0004),
        ("temperature", "9 degF", 70, 5),
        ("temperature", "5 degC", 70, 5),
        ("temperature", "10 %", -20, 2),
        ("fraction", "3 %", 0.78, 0.03),
        ("ratio", "0.05", 2.86, 0.05),
        ("ratio", "1 %", 2.86, 0.0286),
    ],
)
def test_tolerance(kind: str, text: str, value: float, half: float) -> None:
    """A tolerance is a percentage of the value or a difference in its own unit; of a percentage, points."""
    assert parse_tolerance(kind, text, value) == pytest.approx(half, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "text", "code"),
    [
        ("length", "5", "bare-number"),
        ("length", "", "not-a-quantity"),
        ("length", "m", "not-a-quantity"),
        ("length", "5 V", "wrong-unit"),
        ("length", "5 EUR", "wrong-unit"),
        ("length", "8 AWG", "wrong-unit"),
        ("length", "5  m", "unknown-unit"),
        ("length", " 5 m", "not-a-quantity"),
        ("length", "5 m ", "unknown-unit"),
        ("length", "5 m\n", "unknown-unit"),
        ("length", "5.1.2 m", "not-a-quantity"),
        ("length", "1e999 m", "not-a-quantity"),
        ("length", "5e m", "not-a-quantity"),
        ("length", "0x5 m", "unknown-unit"),
        ("length", "1_000 m", "unknown-unit"),
        ("length", "٥ m", "not-a-quantity"),  # an Arabic-Indic five
        ("length", "5\u00a0m", "unknown-unit"),  # a no-break space is no space
        ("length", "5 Mm", "unknown-unit"),
        ("length", "-inf m", "not-finite"),
        ("length", "nan", "not-finite"),
        ("length", "5,1 m", "decimal-comma"),
        ("power", "1,500 W", "decimal-comma"),
        ("area", "5/0 AWG", "out-of-range"),
        ("area", "41 AWG", "out-of-range"),
        ("area", "-1 AWG", "out-of-range"),
        ("area", "0 gauge", "unknown-unit"),
        ("resistance", "4 Mohms", "unknown-unit"),
        ("fraction", "0.78", "bare-number"),
        ("ratio", "2.86 m", "wrong-unit"),
        ("money", "260", "bare-number"),
        ("money", "260 Euro", "unknown-unit"),
    ],
)
def test_refused(kind: str, text: str, code: str) -> None:
    """What is not exactly a number with one of the units is refused, for the reason a reader would give."""
    with pytest.raises(QuantityError) as caught:
        parse(kind, text)
    assert caught.value.code == code
    assert caught.value.expected


@pytest.mark.parametrize(
    ("kind", "text", "cure"),
    [
        ("length", "5  m", "5 m"),
        ("length", "5 M", "5 m"),
        ("length", "\u22125 m", "-5 m"),
        ("resistance", "2 Ohm", "2 ohm"),
        ("resistance", "2 ohms", "2 ohm"),
        ("power", "1 KW", "1 kW"),
        ("area", "35 mm^2", "35 mm2"),
        ("area", "8 awg", "8 AWG"),
        ("temperature", "70 C", "70 degC"),
    ],
)
def test_cure_for_slips(kind: str, text: str, cure: str) -> None:
    """A slip of spelling is answered with the right spelling, which then reads."""
    with pytest.raises(QuantityError) as caught:
        parse(kind, text)
    assert f"`{cure}`" in caught.value.fix
    parse(kind, cure)


@pytest.mark.parametrize("text", ["5 m m", "5 m; rm", "5 Mm", "4 x", "5 mil"])
def test_no_guess_at_units(text: str) -> None:
    """Where a unit could mean two sizes, none is proposed: a wrong length can start a fire."""
    with pytest.raises(QuantityError) as caught:
        parse("length", text)
    assert caught.value.fix == ""


@pytest.mark.parametrize("kind", KINDS)
def test_pattern_and_parser_agree(kind: str) -> None:
    """What the published pattern lets through is what the parser reads, over every spelling and many slips."""
    compiled = re.compile(pattern(kind))
    units = {unit for known in KINDS.values() for unit in known.units} | {
        "",
        "AWG",
        "EUR",
        "eur",
        "mm3",
        "VV",
    }
    numbers = [
        "5",
        "-5",
        "+5.25",
        ".5",
        "5.",
        "1e3",
        "1e-3",
        "1e999",
        "0",
        "00",
        "4/0",
        "41",
        "1_0",
        "five",
        "1" * 13,
    ]
    for number in numbers:
        for unit in units:
            for text in (f"{number} {unit}", f"{number}{unit}", f"{number}  {unit}", f" {number} {unit}"):
                try:
                    parse(kind, text)
                    reads = True
                except QuantityError:
                    reads = False
                assert reads == bool(compiled.search(text)), text
