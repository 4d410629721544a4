"""What the reader complains of and what plain JSON Schema refuses is the same: nothing is lost in explaining."""

from __future__ import annotations

import copy
import random
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from dossier.buildfile.positions import Positions
from dossier.buildfile.schema import build_schema, field
from dossier.buildfile.source import read_source
from dossier.buildfile.tree import read_tree
from dossier.buildfile.validate import validate

EVERYTHING = Path(__file__).parent / "examples" / "good" / "everything.yaml"
NAME: str = build_schema()["$defs"]["id"]["pattern"]
STRANGE: list[Any] = [
    *(
        None,
        True,
        False,
        0,
        1,
        2,
        3.0,
        2.5,
        -1,
        10**9,
        "",
        " ",
        "x",
        "boot",
        "NO",
        "a\nb",
        "x" * 300,
        "2026-02-30",
    ),
    *(
        "5 m",
        "5 V",
        "5 A",
        "12 V",
        "5",
        "-3 dB",
        "8 AWG",
        "2 ohm",
        "1500 rpm",
        "stopped",
        "agm",
        "series",
        [],
        {},
    ),
    *(
        [1],
        ["boot"],
        ["boot", "boot"],
        {"value": "5 m"},
        {"value": 5},
        {"value": "5 V", "tolerance": "1 V"},
        {"a": 1},
    ),
    *(
        {"value": "14 V", "idle": "13 V"},
        {"idle": "13 V"},
        {"basis": "measured"},
        {"tone": "38 Hz", "for": "3 s"},
    ),
]


def parents(tree: Any) -> list[Any]:
    """Every map and list of a tree."""
    if isinstance(tree, dict):
        return [tree, *(found for item in tree.values() for found in parents(item))]
    if isinstance(tree, list):
        return [tree, *(found for item in tree for found in parents(item))]
    return []


def mutated(tree: Any, chance: random.Random) -> Any:
    """A copy of the tree with one or two things removed, replaced, renamed, added or swapped."""
    tree = copy.deepcopy(tree)
    for _ in range(chance.choice((1, 1, 1, 2))):
        parent = chance.choice([found for found in parents(tree) if found])
        key: Any = chance.choice(list(parent) if isinstance(parent, dict) else range(len(parent)))
        action = chance.choice(("remove", "replace", "rename", "add", "move"))
        if action == "remove":
            del parent[key]
        elif action == "replace" or isinstance(parent, list):
            parent[key] = chance.choice(STRANGE)
        elif action == "rename":
            parent[chance.choice((f"{key}s", "Name", "a b", "1x", "value", "5 V", "3 ohm", "cells"))] = (
                parent.pop(key)
            )
        elif action == "add":
            parent[chance.choice(("value", "basis", "tone", "cells", "from", "closes", "fuses", "x"))] = (
                chance.choice(STRANGE)
            )
        else:
            other = chance.choice([found for found in parents(tree) if isinstance(found, dict)])
            other[key] = copy.deepcopy(parent[key])
    return tree


def beyond_json_schema(code: str, path: str) -> bool:
    """Whether a complaint rests on our own keywords: the bounds of a quantity, which JSON Schema cannot express."""
    parts = path.split(".")
    at = field(tuple(parts)) or field(tuple(parts[:-1])) or {}
    return code == "out-of-range" and (
        "x-quantity" in at or parts[-1] in ("value", "tolerance") or " " in parts[-1]
    )


@pytest.mark.independent
def test_same_verdict_as_jsonschema() -> None:
    """Over 100 damaged builds the reader complains exactly where the library's own validator does."""
    compare(20260131, 100)


@pytest.mark.independent
@pytest.mark.long
def test_same_verdict_as_jsonschema_at_length() -> None:
    """The same over 2000 more."""
    compare(20260201, 2000)


def compare(seed: int, rounds: int) -> None:
    """Damage the build, ask both, and make sure that both verdicts occur."""
    source = read_source(EVERYTHING.read_bytes(), "everything.yaml")
    tree = read_tree(source).data
    validator = jsonschema.Draft202012Validator(
        build_schema(), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    chance = random.Random(seed)
    good = bad = 0
    for _ in range(rounds):
        damaged = mutated(tree, chance)
        checked = validate(damaged, Positions(source, {}))
        structural = [p.headline for p in checked.problems if not beyond_json_schema(p.code, p.path)]
        # A name that cannot exist is left to the check of references, which calls it unknown.
        structural += [name for _, _, name in checked.references if not re.search(NAME, name)]
        theirs = next(iter(validator.iter_errors(damaged)), None)
        assert bool(structural) == (theirs is not None), (structural, theirs)
        good += theirs is None
        bad += theirs is not None
    assert good > rounds / 50
    assert bad > rounds / 3
