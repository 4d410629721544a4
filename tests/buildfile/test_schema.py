"""The published schema: valid, explained everywhere, obeyed everywhere, and the same as what the reader does."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from dossier.buildfile.model import Basis
from dossier.buildfile.positions import Positions
from dossier.buildfile.quantities import parse
from dossier.buildfile.schema import ASSERTING, EXPLAINING, OURS, build_schema, field, flat
from dossier.buildfile.source import read_source
from dossier.buildfile.tree import read_tree
from dossier.buildfile.units import KINDS, pattern
from dossier.buildfile.validate import validate

SCHEMA: Any = build_schema()
GOOD = sorted((Path(__file__).parent / "examples" / "good").glob("*.yaml"))
BRANCHES = {"if", "then", "else"}


def fields(node: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    """Every field of the format with its schema, references followed; conditions left out."""
    node = flat(node)
    for key, inner in node.get("properties", {}).items():
        if inner is not False:
            yield ".".join((*path, key)), flat(inner)
            yield from fields(inner, (*path, key))
    for key in ("additionalProperties", "items"):
        if isinstance(node.get(key), dict):
            yield ".".join((*path, "*")), flat(node[key])
            yield from fields(node[key], (*path, "*"))


def nodes(node: Any) -> Iterator[dict[str, Any]]:
    """Every schema inside the schema."""
    if not isinstance(node, dict):
        return
    yield node
    for key in ("properties", "$defs"):
        for inner in node.get(key, {}).values():
            yield from nodes(inner)
    for key in ("additionalProperties", "propertyNames", "items", "if", "then", "else"):
        yield from nodes(node.get(key))
    for key in ("allOf", "anyOf"):
        for inner in node.get(key, []):
            yield from nodes(inner)


FIELDS = dict(fields(SCHEMA))


@pytest.mark.published
def test_schema_is_valid() -> None:
    """The schema is valid under the JSON Schema 2020-12 metaschema."""
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_there_are_fields() -> None:
    """The walk below sees the whole format."""
    assert len(FIELDS) > 150
    assert "cables.*.fuses.*.rating" in FIELDS


@pytest.mark.parametrize("name", FIELDS)
def test_field_is_explained(name: str) -> None:
    """Every field has a title, a description and an example."""
    schema = FIELDS[name]
    assert schema["title"].strip()
    assert len(schema["description"]) > 8
    assert schema["description"].endswith(".")
    assert schema["examples"]


@pytest.mark.parametrize("name", FIELDS)
def test_examples_are_valid(name: str) -> None:
    """Every example of a field passes: by an independent JSON Schema implementation, and by the reader's walk."""
    node = FIELDS[name]
    resolvable = {**node, "$defs": SCHEMA["$defs"]}
    for example in node["examples"]:
        jsonschema.Draft202012Validator(resolvable).validate(example)
        if "x-quantity" in node and isinstance(example, str) and example not in node.get("x-words", ()):
            parse(node["x-quantity"], example)


def test_every_keyword_is_obeyed() -> None:
    """No keyword stands in the schema that the reader's walk ignores, and none of its own is unused."""
    used = {key for node in nodes(SCHEMA) for key in node}
    assert used <= ASSERTING | OURS | EXPLAINING
    assert used >= OURS


def test_only_annotations_beside_references() -> None:
    """Beside a reference stand only annotations and bounds, so that both readings of it are the same."""
    harmless = EXPLAINING | OURS | {"$ref", "type"}
    for node in nodes(SCHEMA):
        if "$ref" in node:
            assert set(node) <= harmless, node


def test_maps_are_closed() -> None:
    """No map takes unknown fields, except the changes of an option."""
    open_maps = [name for name, node in FIELDS.items() if node.get("additionalProperties", False) is True]
    assert open_maps == ["options.*.changes"]
    for node in nodes(SCHEMA):
        if node.get("type") == "object":
            assert "additionalProperties" in node, node.get("title")


def test_quantities_match_the_reader() -> None:
    """The schema's quantities are the reader's kinds, with the same patterns; bounds and defaults can be read."""
    for kind in KINDS:
        assert SCHEMA["$defs"][kind]["x-quantity"] == kind
        assert SCHEMA["$defs"][kind]["pattern"] == pattern(kind)
    assert SCHEMA["$defs"]["basis"]["enum"] == [basis.value for basis in Basis]
    for name, node in FIELDS.items():
        for bound in ("x-minimum", "x-above", "x-maximum"):
            if bound in node:
                parse(node["x-quantity"], node[bound])
        if (
            "x-quantity" in node
            and "x-words" not in node
            and not name.endswith((".value", ".charging_voltage"))
        ):
            assert "x-maximum" in node or "x-allowed" in node, name


def test_every_field_is_in_a_good_example() -> None:
    """Together the good examples use every field of the format."""
    used: set[str] = set()

    def walk(value: Any, node: Any, path: tuple[str, ...]) -> None:
        used.add(".".join(path))
        node = flat(node)
        if isinstance(value, dict):
            for key, item in value.items():
                inner = node.get("properties", {}).get(key) or node.get("additionalProperties")
                if isinstance(inner, dict):
                    walk(item, inner, (*path, key if key in node.get("properties", {}) else "*"))
        elif isinstance(value, list):
            for item in value:
                walk(item, node["items"], (*path, "*"))

    for file in GOOD:
        walk(read_tree(read_source(file.read_bytes(), str(file))).data, SCHEMA, ())
    quantity_parts = re.compile(r"\.(value|basis|tolerance)$")
    assert {name for name in FIELDS if not quantity_parts.search(name)} - used == set()


def test_good_examples_pass_both_ways() -> None:
    """A good file passes an independent JSON Schema implementation as well as the reader's walk."""
    validator = jsonschema.Draft202012Validator(SCHEMA)
    for file in GOOD:
        source = read_source(file.read_bytes(), str(file))
        tree = read_tree(source)
        assert list(validator.iter_errors(tree.data)) == []
        assert validate(tree.data, Positions(source, tree.marks)).problems == []


def test_field_lookup() -> None:
    """The part of the schema for a path is found by name, through maps, lists and references."""
    found = field(("cables", "feed", "fuses", "front", "rating"))
    assert found is not None
    assert found["x-quantity"] == "current"
    listed = field(("load_cases", "note", "amplifiers", 0))
    assert listed is not None
    assert listed["x-refers-to"] == "amplifiers"
    assert field(("cables", "feed", "colour")) is None


def test_schema_file_is_the_one_shipped() -> None:
    """The schema read here is the published file of this checkout."""
    file = Path(__file__).parents[2] / "schemas" / "build.schema.json"
    assert json.loads(file.read_text(encoding="utf-8")) == SCHEMA
