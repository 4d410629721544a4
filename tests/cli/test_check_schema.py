"""What ``check --show json`` prints is what its published schema says, by an independent validator."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from dossier.buildfile.starters import plain_starter
from dossier.cli import check
from dossier.cli.main import main

SCHEMAS = Path(__file__).parents[2] / "schemas"
SMALLEST = plain_starter("smallest")


def validator() -> Draft202012Validator:
    """The published schema with the one it refers to."""
    read = {name: json.loads((SCHEMAS / name).read_text(encoding="utf-8"))
            for name in ("check.schema.json", "results.schema.json")}  # fmt: skip
    known: Registry[Any] = Registry().with_resources(
        (name, Resource.from_contents(schema)) for name, schema in read.items()
    )
    Draft202012Validator.check_schema(read["check.schema.json"])
    return Draft202012Validator(read["check.schema.json"], registry=known)


def printed(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], *more: str) -> Any:
    """What check prints of a build file; its exit code is the one it names."""
    path = tmp_path / "car.yaml"
    path.write_text(text, encoding="utf-8")
    code = main(["check", str(path), "--show", "json", *more])
    tree = json.loads(capsys.readouterr().out)
    assert tree["exit"] == code
    return tree


@pytest.mark.parametrize(
    ("text", "more", "code"),
    [
        (SMALLEST, (), 0),
        (SMALLEST.replace("rating: 50 A", "rating: 300 A"), (), 1),
        (SMALLEST.replace("rating: 125 A", "rating: 90 A"), ("--strict",), 1),
        ("format: 1\n", (), 2),
        ("broken: [", (), 2),
        ("", (), 2),
        (SMALLEST + "batterys: {}\n", (), 2),
    ],
)
def test_whatever_comes_of_it(
    text: str, more: tuple[str, ...], code: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A good build, one that stops, and files that cannot be used: each obeys the schema."""
    tree = printed(text, tmp_path, capsys, *more)
    assert tree["exit"] == code
    validator().validate(tree)


def test_missing_file_obeys_it_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is not there has no position, and is said in the same form."""
    assert main(["check", str(tmp_path / "none.yaml"), "--show", "json"]) == 2
    tree = json.loads(capsys.readouterr().out)
    validator().validate(tree)
    assert tree["diagnostics"][0]["line"] is None


def test_schema_is_strict(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A key more or less, another version, or results beside an error are not what the schema describes."""
    good, bad = printed(SMALLEST, tmp_path, capsys), printed("format: 1\n", tmp_path, capsys)
    schema = validator()
    assert schema.is_valid(good)
    assert schema.is_valid(bad)
    for key in good:
        assert not schema.is_valid({k: v for k, v in good.items() if k != key})
    assert not schema.is_valid({**good, "more": 1})
    assert not schema.is_valid({**good, "format": check.FORMAT + 1})
    assert not schema.is_valid({**bad, "results": good["results"]})
    assert not schema.is_valid({**good, "results": None})
    first = bad["diagnostics"][0]
    for key in first:
        assert not schema.is_valid({**bad, "diagnostics": [{k: v for k, v in first.items() if k != key}]})
    assert schema.is_valid({**good, "format": check.FORMAT})
