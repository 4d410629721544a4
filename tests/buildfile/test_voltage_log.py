"""Logs as meters and loggers write them, and what is refused."""

from __future__ import annotations

import math

import pytest

from dossier.buildfile.logs.log import MAXIMUM_BYTES, LogError
from dossier.buildfile.logs.read import read_log

ROWS = [(0.1 * k, 12.5 - 0.01 * k) for k in range(20)]


def csv(head: str, delimiter: str, point: str = ".", form: str = "{t:.2f}{d}{v:.3f}") -> bytes:
    """A log of twenty rows."""
    lines = [form.format(t=t, v=v, d=delimiter).replace(".", point) for t, v in ROWS]
    return "\n".join([head, *lines]).encode()


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (csv("time,battery", ","), "battery"),
        (csv("time;battery", ";"), "battery"),
        (csv("Zeit [s];Batterie [V]", ";", ","), "Batterie"),
        (csv("t (s)\tbattery (V)", "\t"), "battery"),
        (b"\xef\xbb\xbf" + csv("time,battery", ","), "battery"),
        (csv("time,battery", ",").replace(b"\n", b"\r\n"), "battery"),
        (b"Device 12\nstarted on a Monday\n\n" + csv("time;battery", ";"), "battery"),
        (csv("time;battery\ns;V", ";"), "battery"),
        (csv("time;battery", ";").decode().encode("utf-16"), "battery"),
        (csv("time;battery;", ";", form="{t:.2f}{d}{v:.3f};"), "battery"),
    ],
)
def test_logs_of_many_makes_are_read_the_same(data: bytes, name: str) -> None:
    """Delimiter, decimal sign, header, units, byte order and preamble do not change what is read."""
    log = read_log(data, "run.csv")
    assert log.t == pytest.approx([t for t, _ in ROWS])
    assert [c.name for c in log.columns] == [name]
    assert log.columns[0].values == pytest.approx([v for _, v in ROWS])


def test_units_in_the_header_are_taken() -> None:
    """Milliseconds and millivolts come out as seconds and volts, amperes as a current."""
    lines = ["t [ms];u [mV];i [A]"] + [f"{100 * k};{12500 - 10 * k};{50 + k}" for k in range(20)]
    log = read_log("\n".join(lines).encode(), "run.csv")
    assert log.t[1] == pytest.approx(0.1)
    assert log.columns[0].values[1] == pytest.approx(12.49)
    assert [c.kind for c in log.columns] == ["voltage", "current"]


def test_times_of_day_are_read_and_repeated_seconds_spread() -> None:
    """A clock that shows whole seconds is spread evenly over its rows."""
    lines = ["time,u"] + [f"2026-03-01 12:30:{k // 2:02d},{12.5 - 0.01 * k:.2f}" for k in range(20)]
    log = read_log("\n".join(lines).encode(), "run.csv")
    assert log.t[:4] == pytest.approx((0.0, 0.5, 1.0, 1.5))


def test_gaps_are_gaps() -> None:
    """An overload or an empty cell is missing, not nought."""
    data = csv("time,u", ",").replace(b"12.480", b"OL").replace(b"12.470", b"")
    values = read_log(data, "run.csv").columns[0].values
    assert math.isnan(values[2])
    assert math.isnan(values[3])
    assert values[4] == pytest.approx(12.46)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "log-no-columns"),
        (b"nothing\nhere\n", "log-no-columns"),
        (b"\x00\x01\x02" * 100, "log-not-text"),
        (b"time,u\n0,12\n1,12\n", "log-too-short"),
        (csv("time,u", ",").replace(b"0.50,", b"0.10,"), "log-time-falls"),
        (csv("time,u", ",") + b"\n2.0,12.3,4", "log-uneven"),
        (csv("time,u", ",").replace(b"0.50,", b"soon,"), "log-no-time"),
        (b"1" * (MAXIMUM_BYTES + 1), "log-too-large"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(data: bytes, code: str) -> None:
    """Every refusal is a diagnostic with the file and a line."""
    with pytest.raises(LogError) as caught:
        read_log(data, "run.csv")
    (problem,) = caught.value.diagnostics
    assert problem.code == code
    assert problem.where is not None
    assert problem.where.file == "run.csv"
    assert problem.where.line >= 1


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("U amp", "voltage"),
        ("amp volts", "voltage"),
        ("Spannung Amp", "voltage"),
        ("I amp", "current"),
        ("amp current", "current"),
        ("Strom", "current"),
        ("amp", "unknown"),
        ("amps", "unknown"),
    ],
)
def test_an_amp_is_an_amplifier_as_often_as_an_ampere(name: str, kind: str) -> None:
    """Without a unit the words of a head say what it is; "amp" of itself says nothing."""
    rows = "\n".join(f"{k / 10:.1f},12.{k}" for k in range(20))
    assert read_log(f"time,{name}\n{rows}\n".encode(), "x").columns[0].kind == kind


def rows(*columns: str, comma: bool = False, delimiter: str = ",") -> str:
    """Twenty rows of expressions in ``k`` (row), ``t`` (s) and ``v`` (V)."""
    lines = [delimiter.join(c.format(k=k, t=t, ms=1e3 * t, v=v, w=v - 0.1) for c in columns) for k, (t, v) in
             enumerate(ROWS)]  # fmt: skip
    text = "\n".join(lines)
    return text.replace(".", ",") if comma else text


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("Source,CH1,CH2\nSecond,Volt,Volt\n" + rows("{t:.3f}", "{v:.3f}", "{w:.3f}"), ["CH1", "CH2"]),
        ("Time;CH A;CH B\n(ms);(V);(V)\n\n" + rows("{ms:.0f}", "{v:.3f}", "{w:.3f}", comma=True, delimiter=";"),
         ["CH A", "CH B"]),
        ("Recorder,9\nSample Interval,0.1,s\nPoints,20\n\nTIME,CH1,CH2\n" + rows("{t:.3f}", "{v:.3f}", "{w:.3f}"),
         ["CH1", "CH2"]),
        ("Sample Interval,0.1,s\nVertical Units,V,V\nCH1,CH2\n" + rows("{v:.3f}", "{w:.3f}"), ["CH1", "CH2"]),
        ("# Sampling rate: 10 Hz\nCH1 [V];CH2 [V]\n" + rows("{v:.3f}", "{w:.3f}", comma=True, delimiter=";"),
         ["CH1", "CH2"]),
        ("Interval: 100 ms\nCH1 [V]\n" + rows("{v:.3f}", comma=True), ["CH1"]),
        ("X,CH1,CH2,Start,Increment\nSequence,Volt,Volt,0.0e+00,1.0e-01\n" + rows("{k}", "{v:.3f}", "{w:.3f}", ""),
         ["CH1", "CH2"]),
        ("x-axis,1,x-axis,2\nsecond,Volt,second,Volt\n" + rows("{t:.2E}", "{v:.4E}", "{t:.2E}", "{w:.4E}"), ["1", "2"]),
        ('"Time","U 1","U 2"\n' + rows('"{t:.1f}"', '"{v:.3f}"', '"{w:.3f}"').replace(".", ","), ["U 1", "U 2"]),
        ("Date,Time,A\n" + rows("2026-03-01", "12:30:{t:06.3f}", "{v:.3f}"), ["A"]),
        ("No;Time [s];A [V]\n" + rows("{k}", "{t:.1f}", "{v:.3f}", comma=True, delimiter=";"), ["A"]),
        ("t  A  B\n" + rows("{t:.1f}", "{v:.3f}", "{w:.3f}", delimiter="   "), ["A", "B"]),
        ("sep=;\nZeit;A\n" + rows("{t:.1f}", "{v:.3f}", comma=True, delimiter=";") + "\nend of data\n", ["A"]),
        ("# t,A,B\n" + rows("{t:.1f}", "{v:.3f}", "{w:.3f}"), ["A", "B"]),
        (rows("{t:.1f}", "{v:.3f}", "{w:.3f}"), ["column 2", "column 3"]),
        ("Points,20,,0.0,12.500\n" + rows("", "", "", "{t:.1f}", "{v:.3f}").split("\n", 1)[1], ["column 5"]),
        ("time,A\n" + rows("{t:.1f} s", "{v:.3f} V"), ["A"]),
    ],
)  # fmt: skip
def test_the_layouts_of_oscilloscopes_and_loggers_are_read_the_same(text: str, names: list[str]) -> None:
    """Unit rows, preambles, an interval instead of times, indices, quotes, footers: the same times and volts."""
    log = read_log(text.encode(), "run.csv")
    assert log.t == pytest.approx([t for t, _ in ROWS], abs=1e-6)
    assert [c.name for c in log.columns] == names
    assert log.columns[0].values == pytest.approx([v for _, v in ROWS])
    assert len(names) < 2 or log.columns[1].values == pytest.approx([v - 0.1 for _, v in ROWS])


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("t,u\n0.0," + "9" * 140_000 + "\n" + rows("{t:.1f}", "{v:.3f}"), "log-too-large", (2, 5)),
        ("t,u\n" + rows("0", "{v:.3f}"), "log-time-stands", (3, 1)),
        ("t,u\n" + rows("{t:.1f}", "{v:.3f}") + "\n2.0,12.1" * 9, "log-time-stands", (23, 1)),
        ("t,u,u\n" + rows("{t:.1f}", "{v:.3f}", "{w:.3f}"), "log-columns-alike", (1, 3)),
        ("Sample,u\n" + rows("{k}", "{v:.3f}"), "log-no-time", (2, 1)),
        ("Time,A,Time,B\n" + rows("{t:.1f}", "{v:.3f}", "{ms:.0f}", "{w:.3f}"), "log-no-time", (2, 1)),
    ],
)
def test_what_only_looks_like_a_log_is_refused_at_its_place(text: str, code: str, place: tuple[int, int]) -> None:
    """A cell beyond reason, a clock that stands, two columns of one name, an index for a time: no guess is made."""
    with pytest.raises(LogError) as caught:
        read_log(text.encode(), "run.csv")
    (problem,) = caught.value.diagnostics
    assert problem.where is not None
    assert (problem.code, problem.where.line, problem.where.column) == (code, *place)


def test_midnight_and_what_instruments_write_for_no_value() -> None:
    """A time of day goes on after midnight; the 9.9E+37 of SCPI-99 is a gap."""
    lines = [f"{'23:59:5' if k < 10 else '00:00:0'}{k % 10},{'9.9E+37' if k == 3 else 12.5}" for k in range(20)]
    log = read_log(("time,u\n" + "\n".join(lines)).encode(), "run.csv")
    assert log.t == pytest.approx(range(20))
    assert math.isnan(log.columns[0].values[3])
