"""Starting points: valid, explained, without a stop, and never over something that exists."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import url2pathname

import pytest
import yaml

from dossier.assessment.assess import assess
from dossier.buildfile.fields import every_field, field_at
from dossier.buildfile.reader import read_build
from dossier.buildfile.schema import schema_file
from dossier.buildfile.starters import STARTERS, plain_starter, starter
from dossier.cli.main import main
from dossier.diagnostic import Severity


@pytest.mark.parametrize("kind", STARTERS)
@pytest.mark.sweep(5)
def test_starter_computes_without_stop(kind: str, tmp_path: Path) -> None:
    """What ``new`` writes is valid as written, and nothing in it says stop."""
    path = tmp_path / "new.yaml"
    assert main(["new", str(path), "--kind", kind]) == 0
    results = assess(read_build(path))
    assert results.verdict.severity < Severity.STOP, [f.headline for f in results.findings]


@pytest.mark.parametrize("kind", STARTERS)
def test_comments_change_nothing(kind: str) -> None:
    """The explanations are comments only: the data are those of the plain file."""
    assert yaml.safe_load(starter(kind)) == yaml.safe_load(plain_starter(kind))


@pytest.mark.parametrize("kind", STARTERS)
def test_every_used_field_is_explained(kind: str) -> None:
    """Above or before every field stands the description of the schema, word for word."""
    said = " ".join(starter(kind).replace("#", " ").split())

    def used(value: object, path: tuple[str | int, ...]) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                field = field_at((*path, key))
                if field is not None and field.path[-1] != "*":
                    assert field.description in said, field.name
                used(inner, (*path, key))
        elif isinstance(value, list):
            for index, inner in enumerate(value):
                used(inner, (*path, index))

    used(yaml.safe_load(plain_starter(kind)), ())


def test_the_five_show_every_kind_of_thing() -> None:
    """A daily system, a plan and a competition system together use every section but couplings and the record's own."""
    used = {key for kind in STARTERS for key in yaml.safe_load(plain_starter(kind))}
    needed = {path[0] for path in every_field() if len(path) == 1 and every_field()[path].required}
    assert needed <= used
    assert {"options", "limits", "notes"} <= used


def test_line_for_the_editor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line for editors names a schema that exists, says what it is for and that it may go; then all reads alike."""
    path = tmp_path / "car.yaml"
    assert main(["new", str(path)]) == 0
    lines = path.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("# yaml-language-server: $schema="))
    assert "may be deleted" in lines[at - 1]
    uri = lines[at].split("$schema=")[1]
    assert uri == schema_file().as_uri()
    assert Path(url2pathname(urlsplit(uri).path)).read_bytes() == schema_file().read_bytes()
    before = read_build(path).tree
    path.write_text("\n".join(lines[:1] + lines[at + 1 :]), encoding="utf-8")
    assert read_build(path).tree == before

    below = tmp_path / ".venv" / "lib" / "build.schema.json"
    monkeypatch.setattr("dossier.buildfile.schema.schema_file", lambda: below)
    assert main(["new", str(tmp_path / "other.yaml")]) == 0
    text = (tmp_path / "other.yaml").read_text(encoding="utf-8")
    assert "$schema=.venv/lib/build.schema.json\n" in text
    assert str(tmp_path) not in text


def test_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file or a folder that is there already is left alone: exit 2."""
    path = tmp_path / "car.yaml"
    path.write_text("mine", encoding="utf-8")
    assert main(["new", str(path)]) == 2
    assert path.read_text(encoding="utf-8") == "mine"
    assert main(["new", str(tmp_path)]) == 2
    assert "error[file-exists]" in capsys.readouterr().err


def test_never_through_a_link(tmp_path: Path) -> None:
    """A symbolic link is not followed, wherever it leads."""
    (tmp_path / "link.yaml").symlink_to(tmp_path / "elsewhere.yaml")
    assert main(["new", str(tmp_path / "link.yaml")]) == 2
    assert not (tmp_path / "elsewhere.yaml").exists()


def test_impossible_place(tmp_path: Path) -> None:
    """A place where nothing can be written is exit 3."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert main(["new", str(tmp_path / "file" / "car.yaml")]) == 3
