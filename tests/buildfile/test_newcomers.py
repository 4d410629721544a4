"""What a newcomer writes: the complaint says what to write instead, and never a figure that could hurt."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from dossier.buildfile.dates import date_cure
from dossier.buildfile.forms import advice
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import QuantityError, parse
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.schema import Schema, build_schema, flat
from dossier.buildfile.source import read_source
from dossier.buildfile.spelling import commas
from dossier.buildfile.starters import plain_starter
from dossier.buildfile.tree import read_tree
from dossier.buildfile.units import KINDS
from dossier.buildfile.validate import validate
from dossier.diagnostic import Diagnostic

START = plain_starter("smallest")


def complaints(old: str, new: str) -> tuple[Diagnostic, ...]:
    """What is said of the smallest starter with one text in it replaced."""
    assert START.count(old) == 1, old
    with pytest.raises(BuildFileError) as caught:
        read_build_text(START.replace(old, new).encode(), "car", "car.yaml")
    return caught.value.diagnostics


def only(old: str, new: str) -> Diagnostic:
    """The one complaint that is made."""
    found = complaints(old, new)
    assert len(found) == 1, [one.headline for one in found]
    return found[0]


@pytest.mark.parametrize(
    ("size", "cure"),
    [
        ("35mm", "`35 mm2`"), ("35 mm", "`35 mm2`"), ("35 sq mm", "`35 mm2`"), ("2 gauge", "`2 AWG`"),
        ("1/0", "`1/0 AWG`"), ("4 ga", "`4 AWG`"), ("4ga", "`4 AWG`"), ("4 Gauge", "`4 AWG`"), ("AWG 8", "`8 AWG`"),
        ("4 awg", "`4 AWG`"), ("50", "`50 mm2`"), ("2,5 mm2", "`2.5 mm2`"),
    ],
)  # fmt: skip
def test_sizes_as_they_are_said(size: str, cure: str) -> None:
    """A conductor size as it is said in the trade is answered with the way to write it."""
    fix = only("size: 16 mm2", f'size: "{size}"' if "," in size else f"size: {size}").fix
    assert f"write {cure}" in fix.replace("the unit: ", "")


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_advice_on_a_unit_is_readable(kind: str) -> None:
    """Whatever a complaint tells the user to write for a slip of unit or comma is then read as that kind."""
    texts = [f"{number}{gap}{unit}" for number in ("0,5", "14,4", "1,000", "1 000", "2", "1/0", "1.234,5", "-1,5")
             for unit in ("", "m", "mm", "V", "W", "gauge", "ga", "%", "amps", "Ohm", "dB", "EUR", "rpm", "KG", "NM")
             for gap in ("", " ")]  # fmt: skip
    seen = 0
    for text in texts:
        try:
            parse(kind, text)
        except QuantityError as bad:
            for written in re.findall("`([^`]+)`", bad.fix):
                parse(kind, written)
                seen += 1
    assert seen


@pytest.mark.parametrize("kind", sorted(set(KINDS)))
def test_decimal_comma_means_the_point(kind: str) -> None:
    """A decimal comma is answered with the point and nothing else, in every kind of quantity."""
    unit = KINDS[kind].listed[0] if KINDS[kind].listed else ""
    with pytest.raises(QuantityError) as caught:
        parse(kind, f"0,5 {unit}".strip())
    assert (caught.value.code, caught.value.fix) == ("decimal-comma", f"write `{f'0.5 {unit}'.strip()}`")


@pytest.mark.parametrize(
    ("text", "decimal", "thousands"),
    [
        ("0,5 m", "0.5 m", ""), ("14,4 V", "14.4 V", ""), ("0,125 m", "0.125 m", ""), ("1,0000 m", "1.0000 m", ""),
        ("1,000 W", "1 W", "1000 W"), ("1,250 kW", "1.25 kW", "1250 kW"), ("1,000,000 W", "", "1000000 W"),
        ("1.234,5 W", "1234.5 W", ""), ("1,234.5 W", "1234.5 W", ""), ("1 000 W", "", "1000 W"), ("2 5 W", "", ""),
        ("1.000 W", "", ""), ("1,00,0 W", "", ""), ("W", "", ""),
    ],
)  # fmt: skip
def test_what_a_comma_can_mean(text: str, decimal: str, thousands: str) -> None:
    """Three figures behind the only comma can be thousands or decimals; everything else has one reading or none."""
    read = commas(text)
    assert (read.decimal, read.thousands) == (decimal, thousands)


@pytest.mark.parametrize(
    ("old", "new", "cure"),
    [
        ("length: 4.5 m,", "length: 0,5 m,", "write `0.5 m`"),
        ("length: 4.5 m,", "length: 0, 5 m,", "write `0.5 m`"),
        ("length: 0.9 m", "length: 0,9 m", "write `0.9 m`"),
        ("charging_voltage: 14.3 V", "charging_voltage: 14,4 V", "write `14.4 V`"),
        ("rated: {4 ohm: 250 W}", "rated: {0,5 ohm: 250 W}", "write `0.5 ohm`"),
        ("rated: {4 ohm: 250 W}", "rated: {4 ohm: 1,5 kW}", "write `1.5 kW`"),
        ("rated: {4 ohm: 250 W}", "rated: {2 ohm: 400 W, 4 ohm: 0,25 kW}", "write `0.25 kW`"),
        ("distance: 150 mm", "distance: 0,15 m", "write `0.15 m`"),
        ("current: 480 A", "current: 480,5 A", "write `480.5 A`"),
    ],
)
def test_comma_in_a_build(old: str, new: str, cure: str) -> None:
    """Between braces, where YAML takes the comma for the next entry, there is one complaint and one cure as well."""
    found = only(old, new)
    assert (found.code, found.fix) == ("decimal-comma", cure)


@pytest.mark.parametrize(
    ("kind", "text", "cure"),
    [
        ("power", "1.000 W", "write `1000 W` if the point separates thousands, `1 W` if it is the decimal mark"),
        (
            "capacitance",
            "3.500 F",
            "write `3500 F` if the point separates thousands, `3.5 F` if it is the decimal mark",
        ),
        (
            "speed",
            "12.345 rpm",
            "write `12345 rpm` if the point separates thousands, fewer decimals if it is the decimal mark",
        ),
    ],
)
def test_a_point_that_may_separate_thousands(kind: str, text: str, cure: str) -> None:
    """`1.000 W` is a thousand watts to half of Europe and one to the rest: refused, with both ways to write it."""
    with pytest.raises(QuantityError) as caught:
        parse(kind, text)
    assert (caught.value.code, caught.value.fix) == ("ambiguous-point", cure)


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("power", "0.500 W"),
        ("power", "1.50 W"),
        ("voltage", "12.625 V"),
        ("resistance", "1.250 mohm"),
        ("current", "1.250 kA"),
    ],
)
def test_a_point_that_can_only_be_the_decimal_mark(kind: str, text: str) -> None:
    """A leading nought, another count of decimals, or a quantity that is written in ones: read as it stands."""
    assert parse(kind, text) > 0


@pytest.mark.parametrize("new", ["rated: {4 ohm: 1,000 W}", 'rated: {4 ohm: "1,000 W"}'])
def test_comma_that_can_be_read_in_two_ways(new: str) -> None:
    """One watt or a thousand: it is said that both are possible, and both are offered."""
    found = only("rated: {4 ohm: 250 W}", new)
    assert "two ways" in found.headline
    assert "`1000 W` if the comma separates thousands" in found.fix
    assert "`1 W` if it is the decimal mark" in found.fix


def test_both_halves_of_a_torn_entry() -> None:
    """Where a comma tears the name and the value of one entry, each gets its own complaint and nothing follows."""
    found = complaints("rated: {4 ohm: 250 W}", "rated: {1,5 ohm: 1,5 kW}")
    assert [one.fix for one in found] == ["write `1.5 ohm`", "write `1.5 kW`"]


@pytest.mark.parametrize(
    ("text", "cure"),
    [
        ("25.11.2026", "write `2026-11-25`"),
        ("11/25/2026", "write `2026-11-25`"),
        ("2026/11/25", "write `2026-11-25`"),
        ("2026-1-5", "write `2026-01-05`"),
        ("20261125", "write `2026-11-25`"),
        ("25 Nov 2026", "write `2026-11-25`"),
        ("November 25, 2026", "write `2026-11-25`"),
        ("05.05.2026", "write `2026-05-05`"),
        ("31.02.2026", ""),
        ("25.25.2026", ""),
        ("soon", ""),
    ],
)
def test_date_of_one_meaning(text: str, cure: str) -> None:
    """A date in another order that can only be one day is answered with that day; no day, no advice."""
    assert date_cure(text) == cure
    assert only("date: 2026-01-31", f"date: {text}").fix == cure


@pytest.mark.parametrize("text", ["5.6.2026", "06/05/2026", "5-6-2026"])
def test_date_of_two_meanings(text: str) -> None:
    """Where day and month cannot be told apart, both days are named and none is chosen."""
    found = only("date: 2026-01-31", f"date: {text}")
    assert "cannot be told" in found.fix
    assert "`2026-06-05`" in found.fix
    assert "`2026-05-06`" in found.fix


def test_power_without_its_load() -> None:
    """A bare power where a map belongs is answered with the map, its power in it, and no load made up."""
    found = only("rated: {4 ohm: 250 W}", "rated: 1000 W")
    assert "write `rated: {N ohm: 1000 W}`" in found.fix
    assert "as in `{4 ohm:" in found.fix
    found = only("cold_cranking: {current: 480 A, standard: en}", "cold_cranking: 480 A")
    assert "write `cold_cranking: {current: 480 A, standard: sae|en|din}`" in found.fix


def test_dash_before_a_name() -> None:
    """A list where named entries belong is answered by removing the dash."""
    inner = START.split("  starter:\n")[1].split("\namplifiers")[0]
    indented = "".join(f"  {line}\n" if line else "\n" for line in inner.split("\n"))
    found = complaints(f"  starter:\n{inner}", f"  - starter:\n{indented}")
    assert [one.code for one in found] == ["wrong-type"]
    assert "remove the dash before `starter`" in found[0].fix
    found = complaints("  starter:\n    at", "  - starter:\n    at")
    assert "remove the dash before `starter`" in found[0].fix
    assert "Refused" not in found[0].headline
    found = complaints("  starter:\n    at", "  - name: x\n    at")
    assert "remove the dash" in found[0].fix
    found = complaints("  description: Small", "  - description: Small")
    assert "remove the dash before `description`" in found[0].fix


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("    role: feed\n    from: engine\n", "    role:feed\n    from: engine\n"),
        ("    role: return\n    from: boot\n", "    from: boot\n    role:return\n"),
        ("{role: return, from: engine,", "{role:return, from: engine,"),
    ],
)
def test_no_space_after_the_colon(old: str, new: str) -> None:
    """`role:return` is answered with the missing space, at its place, and never with the wrong role."""
    found = only(old, new)
    role = re.search("role:(feed|return)", new)
    assert role
    assert found.fix == f"put a space after the colon: `role: {role[1]}`"
    assert found.where
    assert found.where.text[found.where.column - 1 :].startswith(role[0])


def test_no_space_after_the_only_colon() -> None:
    """The same where the text without its space is all there is of a map."""
    found = only("  description: Small hatchback, petrol", "  description:Small")
    assert found.fix == "put a space after the colon: `description: Small`"


@pytest.mark.parametrize(
    ("old", "new", "cure"),
    [
        ("  title: Hatchback, first amplifier", "  title: Boot: left", 'write `title: "Boot: left"`'),
        ("{title: Boot, ", "{title: Boot: left, ", 'write `title: "Boot: left"`'),
        ("    title: Engine block", '    title: 12" sub: left', "write `title: '12\" sub: left'`"),
    ],
)
def test_colon_in_text(old: str, new: str, cure: str) -> None:
    """A text with a colon is answered with the quotes that it needs, around the text as it is."""
    found = only(old, new)
    assert "a text with a colon needs quotes" in found.headline
    assert found.fix == cure
    mended = START.replace(old, new.replace(new.strip(" {,"), cure[7:-1]))
    assert read_build_text(mended.encode(), "car", "car.yaml").name == "car"


def test_comma_in_text_between_braces() -> None:
    """A text with a comma between braces is answered with quotes."""
    found = only("{title: Boot, ", "{title: Boot, left side, ")
    assert 'write `title: "Boot, left side"`' in found.fix


def test_location_that_does_not_exist() -> None:
    """The places that exist are listed with the advice, in the advice itself."""
    fix = only("to: boot, size", "to: kofferraum, size").fix
    assert fix == "write one of `engine`, `engine_bay`, `boot`, or add `kofferraum` under `locations`"


def test_a_list_of_batteries_is_no_missing_battery() -> None:
    """What stands there in a wrong shape is not called missing too: nobody should fit a second battery for it."""
    text = "supplies:\n  alternator:\n    kind: alternator\n    at: engine\n    charging_voltage: 14.3 V\n"
    assert START.count(text) == 1
    found = complaints(f"{text}    rated_current: 90 A\n\nbatteries:\n", "batteries:\n  - ")
    assert "no-source" not in [one.code for one in found]


def required_fields(node: Schema, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str, Schema]]:
    """Every field that a map must have: the path of the map, the name, its schema."""
    node = flat(node)
    for key, inner in node.get("properties", {}).items():
        if isinstance(inner, Mapping):
            if key in node.get("required", ()):
                yield path, key, flat(inner)
            yield from required_fields(inner, (*path, key))
    for key in ("additionalProperties", "items"):
        if isinstance(node.get(key), Mapping):
            yield from required_fields(node[key], (*path, "x"))


def decides(schema: Schema) -> bool:
    """Whether a field holds a figure, a choice or a name of something, rather than words for people."""
    schema = flat(schema)
    return "x-quantity" in schema or "enum" in schema or "x-refers-to" in schema or schema.get("type") == "integer"


def test_advice_on_a_missing_field_cannot_be_copied() -> None:
    """Of a required figure, choice or place no value is suggested: what is suggested is refused when taken over."""
    nowhere = Positions(read_source(b"a: 1", "x"), {})
    seen = 0
    for path, key, schema in required_fields(build_schema()):
        said = advice(key, schema, nowhere)
        written = re.findall("`([^`]+: [^`]+)`", said)
        assert written, (path, key)
        if "const" in schema or not decides(schema):
            continue
        seen += 1
        if len(written) > 1 and "x-quantity" not in schema:
            assert {one.split(": ")[1] for one in written} == set(schema["enum"]), (path, key)
            continue
        for one in written:
            source = read_source(one.encode(), "x")
            data: Any = read_tree(source).data
            part = {"type": "object", "properties": {key: schema}, "additionalProperties": False}
            checked = validate(data, Positions(source, {}), part)
            unknown = [name for _, _, name in checked.references if name == "NAME"]  # an id is in small letters
            assert checked.problems or unknown, (path, one)
    assert seen > 40


def test_missing_role_is_not_guessed() -> None:
    """A cable without role is asked for both, neither first as if it were the answer."""
    fix = only("    role: return\n    from: boot\n", "    from: boot\n").fix
    assert fix == "add `role: feed` or `role: return`, whichever is true"
    assert "150" not in only("rating: 50 A, ", "").fix
    assert "`engine`, `engine_bay`, `boot`" in only("    at: boot\n", "").fix
