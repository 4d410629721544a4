"""Build files in which one quantity stands at the lowest or the highest value that the schema allows."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from dossier.buildfile.fields import field_at
from dossier.buildfile.schema import field as schema_of

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "tests" / "buildfile" / "examples" / "good"
# The demos, the smallest first; then two that between them hold every field.
DEMOS = tuple(sorted((ROOT / "demo_builds").glob("*.yaml"), key=lambda file: file.stat().st_size))
FILES = (*DEMOS, EXAMPLES / "recorded.yaml", EXAMPLES / "everything.yaml")
# Sounds are shortened, except where a signal is what stands at its bound: hundreds of builds are to be played.
_SHORT = {"tone": "1.5 s", "bursts": "2 s", "music": "2 s"}
JUST_ABOVE = "1e-9"  # of the unit, where the bound itself is not allowed
Leaf = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class AtBound:
    """One build at a bound.

    Attributes:
        field: the field, with ``*`` for names.
        value: what stands there.
        side: lowest or highest.
        file: the build file it comes from.
        text: the build file.
    """

    field: str
    value: str
    side: str
    file: Path
    text: bytes

    @property
    def name(self) -> str:
        """For people: field, value and host."""
        return f"{self.field} = {self.value} in {self.file.stem}"


def every_bound() -> Iterator[AtBound]:
    """Every quantity of the format, in the first build that states it, at both its bounds."""
    done: set[str] = set()
    for file in FILES:
        tree = json.loads(json.dumps(yaml.safe_load(file.read_text(encoding="utf-8")), default=str))
        for path, is_key in _leaves(tree):
            one = field_at(path)
            name = f"{one.name if one else '.'.join(map(str, path))}{' (name)' if is_key else ''}"
            bounds = dict(_bounds(path, is_key))
            if not bounds or name in done or path[0] == "options":
                continue
            done.add(name)
            for side, value in bounds.items():
                changed = copy.deepcopy(tree)
                if "signal" not in path:
                    _shorten(changed)
                _put(changed, path, value, is_key)
                text = yaml.safe_dump(changed, sort_keys=False, allow_unicode=True).encode()
                yield AtBound(name, value, side, file, text)


def _shorten(tree: Any) -> None:
    for case in tree["load_cases"].values():
        signal = case["signal"]
        signal["for"] = _SHORT["music" if "music" in signal else "bursts" if "every" in signal else "tone"]


def _leaves(tree: Any, path: Leaf = ()) -> Iterator[tuple[Leaf, bool]]:
    """Every quantity-like place: values, and keys that are quantities themselves."""
    if isinstance(tree, dict) and set(tree) <= {"value", "basis", "tolerance"} and "value" in tree:
        yield path, False
    elif isinstance(tree, dict):
        for key, value in tree.items():
            if re.match(r"[0-9.]+ ?\D", str(key)):
                yield (*path, key), True
            yield from _leaves(value, (*path, key))
    elif isinstance(tree, list):
        for index, value in enumerate(tree):
            yield from _leaves(value, (*path, index))
    else:
        yield path, False


def _bounds(path: Leaf, is_key: bool) -> Iterator[tuple[str, str]]:
    schema = schema_of(path[:-1]) if is_key else schema_of(path)
    schema = (schema or {}).get("propertyNames", {}) if is_key else schema or {}
    if "x-above" in schema:
        yield "lowest", _scaled(schema["x-above"])
    elif "x-minimum" in schema:
        yield "lowest", schema["x-minimum"]
    if "x-maximum" in schema:
        yield "highest", schema["x-maximum"]


def _scaled(above: str) -> str:
    """A value just above zero: every exclusive bound of the format is zero."""
    number, _, unit = above.partition(" ")
    assert float(number) == 0.0
    return f"{JUST_ABOVE} {unit}"


def _put(tree: Any, path: Leaf, value: str, is_key: bool) -> None:
    for part in path[:-1]:
        tree = tree[part]
    if not is_key:
        tree[path[-1]] = value
        return
    entries = [(value if key == path[-1] else key, inner) for key, inner in tree.items()]
    tree.clear()
    tree.update(dict(entries))
