"""A build file with calibrated values: the text edited in place, comments and order kept, everything else untouched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dossier.buildfile.model import Build
from dossier.buildfile.reader import read_build_text
from dossier.buildfile.source import read_source
from dossier.buildfile.tree import Mark, read_tree
from dossier.equipment.conductors import conductors_of
from dossier.fitting.parameters import Calibrated, wiring
from dossier.frozen import dataclass

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """A quantity to state: where, its text, and its tolerance."""

    path: Path
    value: str
    tolerance: str

    @property
    def flow(self) -> str:
        """The quantity on one line."""
        return f"{{value: {self.value}, basis: fitted, tolerance: {self.tolerance}}}"


def entries(build: Build, results: Sequence[Calibrated]) -> tuple[Entry, ...]:
    """What the calibration states; only what the log has told."""
    made: list[Entry] = []
    for one in results:
        if not one.told:
            continue
        kind, _, id_ = one.parameter.id.partition(".")
        factor = 1.0 + one.theta
        if kind == "battery":
            # the parameter is the resistance of all units together, the build file states one
            b = build.batteries[id_]
            unit = one.parameter.nominal * b.parallel / b.series
            made.append(_entry(("batteries", id_, "internal_resistance"), unit * factor, unit * one.error, 1e3, "mohm"))
        elif kind == "surface":
            b = build.batteries[id_]
            unit = one.parameter.nominal * b.series / b.parallel
            made.append(_entry(("batteries", id_, "surface_charge"), unit * factor, unit * one.error, 1.0, "F"))
        elif kind == "set_point":
            made += _set_point(build, one, id_)
        elif kind == "output":
            made += _output(build, one, id_, factor)
        elif kind == "wiring":
            made += _wiring(build, factor, one.error)
        elif kind == "efficiency":
            percent = 100.0 * one.parameter.nominal
            made.append(_entry(("amplifiers", id_, "efficiency"), percent * factor, percent * one.error, 1.0, "%"))
    return tuple(made)


def _entry(path: Path, value: float, sd: float, factor: float, unit: str) -> Entry:
    """Two standard deviations as the tolerance: about the 5 to 95 % band with what the fit leaves out."""
    half = min(max(2.0 * sd, 0.002 * abs(value)), 0.9 * abs(value))
    return Entry(path, f"{_figure(value * factor, unit)} {unit}", f"{_figure(half * factor, unit)} {unit}")


def _figure(x: float, unit: str) -> str:
    if unit in ("A", "F") and 1.0 <= abs(x) < 10.0:  # never three decimals: the reader takes no 2.448 F, see quantities
        return f"{x:.3g}"
    return f"{x:.4g}" if 1e-3 <= abs(x) < 1e4 else f"{x:.0f}" if abs(x) >= 1e4 else f"{x:.6f}"


def _set_point(build: Build, one: Calibrated, id_: str) -> list[Entry]:
    """The charging voltage in the engine state it was told in."""
    key = one.parameter.path.split(".")[3:]
    value = one.parameter.nominal + one.theta
    stated = build.supplies[id_].charging_voltage
    if key and key[0] in stated:
        return [_entry(("supplies", id_, "charging_voltage", key[0]), value, one.error, 1.0, "V")]
    return [_entry(("supplies", id_, "charging_voltage"), value, one.error, 1.0, "V")]


def _output(build: Build, one: Calibrated, id_: str, factor: float) -> list[Entry]:
    """Every stated point by the same factor; a rating alone stays: one speed does not tell it."""
    return [
        _entry(("supplies", id_, "output_at_shaft", speed.text), amperes.si * factor, amperes.si * one.error, 1.0, "A")
        for speed, amperes in build.supplies[id_].output_at_shaft
    ]


def _wiring(build: Build, factor: float, sd: float) -> list[Entry]:
    known = conductors_of(build)
    made = []
    for id_ in wiring(build):
        conductor = known[id_]
        own = conductor.resistance - sum(f.resistance.nominal for f in conductor.fuses)
        made.append(_entry(("cables", id_, "resistance"), own * factor, own * sd, 1e3, "mohm"))
    return made


def edited(build: Build, changes: Sequence[Entry], note: str) -> bytes:
    """The build file's text with the changes in it.

    Args:
        build: the build as read.
        changes: what to state.
        note: a comment for the first line.

    Returns:
        the new text; reading it has been tried.

    Raises:
        BuildFileError: a change cannot be stated, for example out of the bounds of its field.
    """
    text = build.text
    for change in changes:
        text = _stated(text, change)
    whole = f"# {note}\n".encode() + text.removeprefix(b"\xef\xbb\xbf")
    read_build_text(whole, build.name, f"{build.name}, fitted")
    return whole


def _stated(text: bytes, change: Entry) -> bytes:
    """One change: over the old value, or as a new entry of its map."""
    source = read_source(text, "fitted")
    tree = read_tree(source)
    lines = text.decode("utf-8").splitlines(keepends=True)
    mark, old = tree.marks.get(change.path), _at(tree.data, change.path)
    if mark is not None and not isinstance(old, Mapping):
        line, column, width = mark.value
        start = _offset(lines, line, column)
        return _spliced(lines, start, start + width, change.flow)
    if mark is not None:
        return _over_map(lines, tree.marks, change, mark)
    return _inserted(lines, tree.marks, tree.data, change)


def _over_map(lines: list[str], marks: Mapping[Path, Mark], change: Entry, mark: Mark) -> bytes:
    """Over a quantity written as a map, or a charging voltage written by engine state."""
    whole = "".join(lines)
    start = _offset(lines, mark.value[0], mark.value[1])
    if whole[start] == "{":
        return _spliced(lines, start, _closing(whole, start) + 1, change.flow)
    # a block map: from its first child to the end of its last line
    inner = [m for path, m in marks.items() if path[: len(change.path)] == change.path and len(path) > len(change.path)]
    last = max(m.value[0] for m in inner)
    key_line, key_column, key_width = mark.key
    colon = _offset(lines, key_line, key_column) + key_width + 1
    return _spliced(lines, colon, _offset(lines, last, len(lines[last - 1].rstrip("\r\n")) + 1), f" {change.flow}")


def _inserted(lines: list[str], marks: Mapping[Path, Mark], data: Any, change: Entry) -> bytes:
    parent, name = change.path[:-1], change.path[-1]
    mark = marks[parent]
    whole = "".join(lines)
    start = _offset(lines, mark.value[0], mark.value[1])
    if whole[start] == "{":
        empty = not _at(data, parent)
        return _spliced(lines, start + 1, start + 1, f"{name}: {change.flow}" + ("" if empty else ", "))
    first = next(m for path, m in marks.items() if path[:-1] == parent)
    line, column, _ = first.key
    at = _offset(lines, line, 1)
    return _spliced(lines, at, at, " " * (column - 1) + f"{name}: {change.flow}\n")


def _at(data: Any, path: Path) -> Any:
    for key in path:
        if not isinstance(data, Mapping) or key not in data:
            return None
        data = data[key]
    return data


def _offset(lines: list[str], line: int, column: int) -> int:
    return sum(len(one) for one in lines[: line - 1]) + column - 1


def _spliced(lines: list[str], start: int, end: int, new: str) -> bytes:
    whole = "".join(lines)
    return (whole[:start] + new + whole[end:]).encode()


def _closing(text: str, start: int) -> int:
    """The brace that closes the one at ``start``; quoted text is passed over."""
    depth, quote = 0, ""
    for k in range(start, len(text)):
        c = text[k]
        if quote:
            quote = "" if c == quote else quote
        elif c in "\"'":
            quote = c
        elif c == "{":
            depth += 1
        elif c == "}":
            depth -= 1
            if depth == 0:
                return k
    raise ValueError("a brace is not closed")
