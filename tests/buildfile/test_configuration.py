"""The user's configuration file: found where it belongs, read strictly, overruled by the build file."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from dossier.buildfile.configuration import configuration_path, configured, read_configuration, with_configuration
from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.recorded import Configuration
from dossier.buildfile.schema import build_schema, configuration_schema

WHOLE = """\
format: 1
units: us
paper: letter
edition: all
workshop:
  name: Example workshop
  address: [Rear yard 4, Sampletown]
  phone: "+00 000 0147"
  email: yard@workshop.example
  web: workshop.example
  registration: Reg. no. 000147
  logo: logo.png
"""
BUILD = (Path(__file__).parent / "examples" / "good" / "minimal.yaml").read_text()


def written(folder: Path, text: str) -> Path:
    """A configuration file with this text."""
    path = folder / "config.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def complaints(folder: Path, text: str) -> list[tuple[str, int, int]]:
    """Code, line and column of everything wrong with a text."""
    with pytest.raises(BuildFileError) as caught:
        read_configuration(written(folder, text))
    return [(d.code, d.where.line, d.where.column) for d in caught.value.diagnostics if d.where]


def build(**extra: str) -> Build:
    """The smallest build, with further text."""
    text = BUILD
    for old, new in extra.items():
        text = text.replace(f"{old}:", new, 1)
    return read_build_text(text.encode(), "minimal", "minimal.yaml")


def test_everything_is_read(tmp_path: Path) -> None:
    """Letterhead, units, paper and edition arrive as written; an empty one says nothing."""
    found = read_configuration(written(tmp_path, WHOLE))
    assert (found.units, found.paper, found.edition) == ("us", "letter", "all")
    assert found.workshop is not None
    assert found.workshop.address == ("Rear yard 4", "Sampletown")
    assert found.workshop.logo == "logo.png"
    assert found.text == WHOLE.encode()
    assert read_configuration(written(tmp_path, "format: 1\n")).workshop is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("paper: letter\n", [("missing-key", 1, 1)]),
        ("format: 1\npaper: A3\nunit: us\n", [("unknown-word", 2, 8), ("unknown-key", 3, 1)]),
        ("format: 1\nworkshop: {logo: 1}\n", [("missing-key", 2, 1), ("quote-it", 2, 18)]),
        ("format: 1\nformat: 1\n", [("duplicate-key", 2, 1)]),
        ("format: 1\nworkshop: &a {name: X}\n", [("anchor", 2, 11)]),
        ("format: 1\nworkshop: {name: !!python/object:os.system x}\n", [("tag", 2, 18)]),
        ("", [("empty-file", 1, 1)]),
        ("format: 2\n", [("unsupported-format", 1, 9)]),
        ("format: 1\nworkshop: [\n", [("yaml-syntax", 2, 11)]),
    ],
)
def test_every_complaint_has_its_place(tmp_path: Path, text: str, expected: list[tuple[str, int, int]]) -> None:
    """The same strict reading as of a build file, all problems at once, each with line and column."""
    assert complaints(tmp_path, text) == expected


def test_complaints_name_the_file_for_what_it_is(tmp_path: Path) -> None:
    """Nothing is said of a build file where the configuration is wrong."""
    for text in ("", "format: 1\nworkshop: *x\n", "%\n", "format: 1\n---\nformat: 1\n", "[]", "\x07"):
        with pytest.raises(BuildFileError) as caught:
            read_configuration(written(tmp_path, text))
        for one in caught.value.diagnostics:
            assert "build file" not in f"{one.headline} {one.expected} {one.fix}"
    with pytest.raises(BuildFileError, match="is a directory"):
        read_configuration(tmp_path)


@pytest.mark.published
@pytest.mark.parametrize(
    ("environment", "platform", "expected"),
    [
        ({"XDG_CONFIG_HOME": "/xdg", "HOME": "/home/x"}, "linux", "/xdg/dossier/config.yaml"),
        ({"HOME": "/home/x"}, "linux", "/home/x/.config/dossier/config.yaml"),
        ({"XDG_CONFIG_HOME": "", "HOME": "/home/x"}, "darwin", "/home/x/.config/dossier/config.yaml"),
        ({"XDG_CONFIG_HOME": "not/absolute", "HOME": "/home/x"}, "linux", "/home/x/.config/dossier/config.yaml"),
        ({}, "linux", None),
        ({"HOME": ""}, "linux", None),
        ({"APPDATA": "/roaming", "HOME": "/home/x"}, "win32", "/roaming/dossier/config.yaml"),
        ({}, "win32", None),
        ({"DOSSIER_CONFIG": "/own.yaml", "HOME": "/home/x"}, "linux", "/own.yaml"),
        ({"DOSSIER_CONFIG": "", "HOME": "/home/x"}, "linux", None),
    ],
)
def test_where_it_lies(environment: dict[str, str], platform: str, expected: str | None) -> None:
    """XDG Base Directory Specification (not checked), APPDATA on Windows; a missing HOME is no error."""
    found = configuration_path(environment, platform)
    assert found == (Path(expected) if expected else None)


def test_only_the_usual_one_may_be_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that was named has to be there; the usual one need not."""
    monkeypatch.delenv("DOSSIER_CONFIG")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert configured() == Configuration()
    with pytest.raises(BuildFileError, match="there is no file"):
        configured(tmp_path / "none.yaml")
    (tmp_path / "dossier").mkdir()
    written(tmp_path / "dossier", WHOLE)
    assert configured().units == "us"
    monkeypatch.setenv("DOSSIER_CONFIG", str(tmp_path / "none.yaml"))
    with pytest.raises(BuildFileError, match="there is no file"):
        configured()
    monkeypatch.setenv("DOSSIER_CONFIG", "")
    assert configured() == Configuration()


def test_the_build_goes_first(tmp_path: Path) -> None:
    """A build that names its workshop, in either place, keeps it and nothing of another letterhead."""
    configuration = read_configuration(written(tmp_path, WHOLE))
    taken = with_configuration(build(), configuration)
    assert taken.record.workshop == "Example workshop"
    assert taken.kept.workshop == configuration.workshop
    assert taken.configuration == configuration
    own = build(vehicle="workshop: {name: Own yard}\nvehicle:")
    assert with_configuration(own, configuration) is own
    assert own.record.workshop == "Own yard"
    short = read_build_text(BUILD.replace("stage:", "workshop: Own yard, stage:", 1).encode(), "m", "m.yaml")
    assert with_configuration(short, configuration) is short
    assert with_configuration(build(), Configuration(units="us")).configuration is None


@pytest.mark.independent
def test_schema_is_valid_and_agrees() -> None:
    """The published schema is a valid one, its references lead into the build's, and it accepts the whole example."""
    from referencing import Registry, Resource

    schema = configuration_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    registry = Registry().with_resource(
        "build.schema.json", Resource.from_contents(build_schema())
    )
    validator = jsonschema.Draft202012Validator(schema, registry=registry)
    good = {"format": 1, "units": "us", "workshop": {"name": "X", "address": ["Y"]}}
    assert validator.is_valid(good)
    for bad in ({}, {"format": 1, "workshop": {}}, {"format": 1, "paper": "a3"}, {"format": 1, "colour": "red"}):
        assert not validator.is_valid(bad)


def test_every_field_is_explained() -> None:
    """Every field has a title, a description, an example, and says what holds when it is left out."""
    for name, one in configuration_schema()["properties"].items():
        assert one["title"], name
        assert one["description"].endswith("."), name
        assert one["examples"], name
        assert name == "format" or one["x-default"], name
