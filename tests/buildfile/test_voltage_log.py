"""Logs as meters and loggers write them, and what is refused."""

from __future__ import annotations

import math

import pytest

from dossier.buildfile.voltage_log import MAXIMUM_BYTES, LogError, read_log

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
