"""Options: the merge patch against its RFC, its one addition, and builds with an option applied."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from dossier.buildfile.model import Basis
from dossier.buildfile.options import merge_patch
from dossier.buildfile.reader import BuildFileError, option_build, read_build, read_build_text

EXAMPLES = Path(__file__).parent / "examples" / "good"
MINIMAL = (EXAMPLES / "minimal.yaml").read_text()


@pytest.mark.published
@pytest.mark.parametrize(
    ("original", "patch", "result"),
    [
        # RFC 7396 (October 2014), appendix A "Example Test Cases", all fifteen in order.
        ({"a": "b"}, {"a": "c"}, {"a": "c"}),
        ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
        ({"a": "b"}, {"a": None}, {}),
        ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
        ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
        ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
        ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
        ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
        (["a", "b"], ["c", "d"], ["c", "d"]),
        ({"a": "b"}, ["c"], ["c"]),
        ({"a": "foo"}, None, None),
        ({"a": "foo"}, "bar", "bar"),
        ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
        ([1, 2], {"a": "b", "c": None}, {"a": "b"}),
        ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
    ],
)
def test_rfc_cases(original: Any, patch: Any, result: Any) -> None:
    """Every test case of the RFC comes out as printed there, and the original is left alone."""
    before = repr(original)
    assert merge_patch(original, patch) == result
    assert repr(original) == before


@pytest.mark.parametrize(
    ("old", "new", "result"),
    [
        ({"value": "4 V", "basis": "measured", "tolerance": "1 %"}, {"value": "5 V"}, {"value": "5 V"}),
        ({"value": "4 V", "basis": "measured"}, "5 V", "5 V"),
        ("4 V", {"value": "5 V", "basis": "measured"}, {"value": "5 V", "basis": "measured"}),
        ({"idle": "13 V", "cruise": "12 V"}, {"value": "14 V"}, {"value": "14 V"}),
        ({"value": "4 V", "tolerance": "1 %"}, {"tolerance": "2 %"}, {"value": "4 V", "tolerance": "2 %"}),
        # A thing that is merely called `value` is merged like any other.
        (
            {"value": {"at": "a", "mass": "1 kg"}},
            {"value": {"at": "b"}},
            {"value": {"at": "b", "mass": "1 kg"}},
        ),
    ],
)
def test_new_value_drops_old_basis(old: Any, new: Any, result: Any) -> None:
    """A new value in a patch drops the old value's basis and tolerance."""
    assert merge_patch({"x": old}, {"x": new}) == {"x": result}


def test_build_with_option() -> None:
    """An option changes, adds and removes; what it changes has its place inside the option."""
    build = read_build(EXAMPLES / "everything.yaml")
    changed = option_build(build, "lighter")
    assert build.capacitor_banks
    assert not changed.capacitor_banks
    assert not changed.options
    assert set(changed.cables) - set(build.cables) == {"spare"}
    assert set(changed.cables["feed"].fuses) == {"front"}
    size = changed.cables["feed"].size
    assert size is not None
    assert size.si == pytest.approx(70e-6)
    assert changed.cables["feed"].length == build.cables["feed"].length
    resistance = changed.batteries["starter"].internal_resistance
    assert resistance is not None
    assert (resistance.si, resistance.basis, resistance.tolerance) == (0.003, Basis.DATASHEET, None)
    place = changed.places["cables.feed.size"]
    assert "70 mm²" in place.text[place.column - 1 :]
    assert changed.places["cables.feed.length"] == build.places["cables.feed.length"]
    assert build.cables["feed"].size != size


def test_unknown_option() -> None:
    """Asking for an option that does not exist is a programming error, not a build."""
    with pytest.raises(KeyError):
        option_build(read_build(EXAMPLES / "everything.yaml"), "nothing")


def test_option_problem_is_told_once() -> None:
    """A problem of the build itself is not repeated for each option."""
    options = "options:\n" + "".join(
        f"  o{n}: {{title: O, changes: {{cables: {{feed: {{runs: 2}}}}}}}}\n" for n in range(5)
    )
    with pytest.raises(BuildFileError) as caught:
        read_build_text((MINIMAL.replace("5.1 m", "5.1") + options).encode(), "x", "x.yaml")
    assert [d.code for d in caught.value.diagnostics] == ["bare-number"]


def test_same_mistake_in_build_and_option() -> None:
    """The same mistake at two places is told at both."""
    option = "options: {o: {title: O, changes: {cables: {feed: {length: 6}}}}}\n"
    with pytest.raises(BuildFileError) as caught:
        read_build_text((MINIMAL.replace("5.1 m", "5.1") + option).encode(), "x", "x.yaml")
    first, second = caught.value.diagnostics
    assert first.path == "cables.feed.length"
    assert second.path == "options.o.changes.cables.feed.length"
    assert second.headline.startswith("with option `o`: ")
