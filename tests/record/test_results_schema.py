"""The published schema of results.json against what is written, class by class and build by build."""

from __future__ import annotations

import dataclasses
import json
import re
import typing
from pathlib import Path
from typing import Any, get_args

import jsonschema
import pytest
from sample_results import sample_results

from dossier.cli.check import check
from dossier.diagnostic import Diagnostic, Place, Severity
from dossier.record.results_json import results_json
from dossier.results.overview import Results

ROOT = Path(__file__).parents[2]
SCHEMA: dict[str, Any] = json.loads((ROOT / "schemas" / "results.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
HEAD = {"format", "build", "program"}
UNIT = re.compile(r"_([a-z]{1,4}\d?|m3_per_h|n_m|a_s)$")  # short ends of keys; of these, WORDS are no units
WORDS = {"full", "high", "long", "low", "mean", "peak"}


def classes(one: Any, seen: dict[str, type[Any]]) -> dict[str, type[Any]]:
    """Every result class that can be written, by name; where a complaint stands is written as a line number."""
    if dataclasses.is_dataclass(one) and isinstance(one, type) and one is not Place and one.__name__ not in seen:
        seen[one.__name__] = one
        for name, kind in typing.get_type_hints(one).items():
            if name in {field.name for field in dataclasses.fields(one)}:
                classes(kind, seen)
    for inner in get_args(one):
        classes(inner, seen)
    return seen


def written(kind: type[Any]) -> set[str]:
    """The keys that are really written for a class, whatever its fields hold."""
    one: Any = kind(**{field.name: None for field in dataclasses.fields(kind)})
    if kind is Diagnostic:
        one = Diagnostic("code", Severity.NOTE, "headline")
    return set(json.loads(results_json(one, build="b", program="p"))) - HEAD


KINDS = classes(Results, {})


@pytest.mark.parametrize("name", sorted(set(KINDS) - {"BandTrace"}))  # drawn, never written
def test_schema_names_what_is_written(name: str) -> None:
    """Every class has in the schema the keys that are written for it, all required, and no others."""
    part = SCHEMA if name == "Results" else SCHEMA["$defs"][name]
    assert set(part["properties"]) - HEAD == written(KINDS[name])
    assert set(part["required"]) == set(part["properties"])
    assert part["additionalProperties"] is False


def test_schema_defines_nothing_else() -> None:
    """No definition outlives its class: what is left beside the classes are the lists of words, the enums."""
    listed = {name for name, part in SCHEMA["$defs"].items() if "enum" in part}
    assert set(SCHEMA["$defs"]) - set(KINDS) == listed >= {"Severity", "OutcomeKind", "Reply"}


@pytest.mark.parametrize("collapse", [False, True])
def test_sample_obeys_the_schema(collapse: bool) -> None:
    """Results with and without a collapse are valid by an independent validator."""
    VALIDATOR.validate(json.loads(results_json(sample_results(collapse=collapse), build="b", program="p")))


def test_schema_refuses_what_is_not_written() -> None:
    """A missing key, an unknown key, a word for a number and another format are refused."""
    good = json.loads(results_json(sample_results(), build="b", program="p"))
    case = {**good["load_cases"][0], "level_db": "loud"}
    lacking = {key: value for key, value in good.items() if key != "verdict"}
    for bad in (lacking, {**good, "more": 1}, {**good, "load_cases": [case]}, {**good, "format": 1}):
        assert not VALIDATOR.is_valid(bad)


def test_what_check_prints_obeys_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    """``dossier check --show json`` holds the same results under ``results``."""
    check([ROOT / "demo_builds" / "unsafe-findings.yaml"], show="json", quiet=True)
    VALIDATOR.validate(json.loads(capsys.readouterr().out)["results"])


def test_every_unit_is_explained() -> None:
    """The description of the schema spells out every suffix that the keys of numbers end in."""
    explained = set(re.findall(r"(?<!\w)_(\w+)", SCHEMA["description"]))
    for part in (SCHEMA, *SCHEMA["$defs"].values()):
        for key, value in part.get("properties", {}).items():
            kinds = json.dumps({name: inner for name, inner in value.items() if name != "description"})
            if '"number"' in kinds and (found := UNIT.search(key)):
                assert found[1] in explained or found[1] in WORDS, key
