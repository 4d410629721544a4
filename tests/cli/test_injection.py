"""Markup, links, formulas and paths in every text a build file may hold: shown as they stand, never obeyed."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pikepdf
import pytest
import yaml
from pdf_text import pages_text
from PIL import Image

from dossier.buildfile.fields import Field, every_field, field_at
from dossier.buildfile.reader import BuildFileError, read_build_text
from dossier.buildfile.schema import field as schema_of
from dossier.cli.main import main

EXAMPLES = Path(__file__).parents[1] / "buildfile" / "examples" / "good"
# A formula for a spreadsheet, a link and a picture for the layout library, a way out of XML, format signs, a path.
EVIL = "=1+1<a href='http://x.invalid'>y</a><img src='/etc/passwd'/>]]>&#65;%s$z$"
ACTIONS = {"/URI", "/Launch", "/JavaScript", "/GoToR", "/GoToE", "/SubmitForm", "/ImportData", "/Rendition", "/Named"}
# Texts of which the schema asks more than to be a line: days, files, names of other entries.
KEPT = re.compile(r"(^|\.)(date|calibrated|due_date|in_service|file|logo|columns\.\*)$")
Leaf = tuple[str | int, ...]


def leaves(tree: Any, path: Leaf = ()) -> Iterator[tuple[Leaf, Any]]:
    """Every value that is no map and no list, with its path."""
    inner = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else None
    if inner is None:
        yield path, tree
        return
    for key, value in inner:
        yield from leaves(value, (*path, key))


def is_free(one: Field | None) -> bool:
    """Whether a field takes any line of text."""
    return one is not None and one.kind == "text" and not (one.choices or one.refers_to or KEPT.search(one.name))


def put(tree: Any, path: Leaf, value: str) -> None:
    """Exchange one value of a tree."""
    for part in path[:-1]:
        tree = tree[part]
    tree[path[-1]] = value


def hostile(name: str, folder: Path) -> tuple[Path, set[str]]:
    """An example in which every free text is hostile, with short sounds; and the fields that are."""
    text = (EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8")
    tree = yaml.safe_load(re.sub(r"for: [0-9.]+ (?:s|min)\b(?=\}[,}])", "for: 2 s", text))
    done: set[str] = set()
    known: dict[str, int] = {}
    for path, value in list(leaves(tree)):
        one = field_at(path)
        if one is not None and isinstance(value, str) and is_free(one):
            longest = int((schema_of(path) or {}).get("maxLength", 200))
            number = known.setdefault(value, len(known))  # what differed still does, and what refers still does
            put(tree, path, f"{number}{EVIL}"[:longest] if "revision" in path else f"{EVIL}{number}"[:longest])
            done.add(one.name)
    (folder / "assets").mkdir(parents=True)
    for picture in ("front.jpg", "logo.png"):
        Image.new("RGB", (64, 48), "teal").save(folder / "assets" / picture)
    file = folder / f"{name}.yaml"
    file.write_text(yaml.safe_dump(jsonable(tree), sort_keys=False, allow_unicode=True), encoding="utf-8")
    return file, done


def jsonable(tree: Any) -> Any:
    """Days back as text, as a build file has them."""
    return json.loads(json.dumps(tree, default=str))


def test_every_free_text_is_tried(tmp_path: Path) -> None:
    """Between them the two hostile builds hold every field that takes any text; both are read."""
    free = {one.name for one in every_field().values() if is_free(one)}
    tried: set[str] = set()
    for name in ("everything", "recorded"):
        file, done = hostile(name, tmp_path / name)
        tried |= done
        try:
            read_build_text(file.read_bytes(), name, str(file))
        except BuildFileError as why:
            raise AssertionError([(d.path, d.headline) for d in why.diagnostics]) from None
    assert free - tried == set()
    assert len(tried) > 50


@pytest.fixture(scope="module", params=["everything", "recorded"])
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder with everything that is written of a hostile build, in all editions."""
    folder: Path = tmp_path_factory.mktemp("hostile") / request.param
    file, _ = hostile(request.param, folder)
    words = ["write", str(file), "-o", str(folder / "out"), "--quick", "-q", "--edition", "all"]
    assert main([*words, "--results", "--tables"]) in (0, 1)
    return folder


@pytest.mark.long
def test_nothing_in_the_document_acts(written: Path) -> None:
    """No action but jumps inside, no picture but the photos, and the texts stand there literally."""
    for file in sorted((written / "out").glob("*.pdf")):
        with pikepdf.open(file) as pdf:
            for thing in pdf.objects:
                if not isinstance(thing, (pikepdf.Dictionary, pikepdf.Stream)):
                    continue
                assert str(thing.get("/S", "")) not in ACTIONS, file
                assert not {"/JS", "/OpenAction", "/AA"} & set(thing.keys()), file
                if thing.get("/Subtype") == "/Image":
                    assert (int(thing.Width), int(thing.Height)) == (64, 48), file
            assert len(pdf.attachments) <= 5
            about = ElementTree.fromstring(pdf.Root.Metadata.read_bytes())
            titles = [one.text or "" for one in about.iter("{http://www.w3.org/1999/02/22-rdf-syntax-ns#}li")]
            assert any("<a href='http://x.invalid'>" in title for title in titles)
        shown = "".join("".join(pages_text(file.read_bytes())).split())
        for part in ("=1+1<ahref='http://x.invalid'>y</a>", "<imgsrc='/etc/passwd'/>", "]]>&#65;%s$z$"):
            assert part in shown, (file.name, part)


@pytest.mark.long
def test_nothing_in_a_table_is_a_formula(written: Path) -> None:
    """No cell of a CSV table begins like a formula unless it is a number; JSON stays JSON."""
    tables = sorted((written / "out").glob("*.csv"))
    assert len(tables) >= 5
    for file in tables:
        for row in csv.reader(io.StringIO(file.read_text(encoding="utf-8-sig"), newline="")):
            for cell in row:
                assert cell[:1] not in ("=", "+", "@", "\t", "\r"), (file.name, cell)
                if cell.startswith("-"):
                    float(cell)
    [results] = (written / "out").glob("*.results.json")
    assert "=1+1<a href" in json.dumps(json.loads(results.read_text(encoding="utf-8")))


@pytest.mark.long
@pytest.mark.parametrize("form", ["full", "concise", "json"])
def test_nothing_on_the_terminal_acts(form: str, written: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Check prints the texts as they stand, without a control character."""
    [file] = written.glob("*.yaml")
    assert main(["check", str(file), "--show", form]) in (0, 1)
    said = capsys.readouterr().out
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f]", said)
    assert "<a href='http://x.invalid'>" in said
    if form == "json":
        json.loads(said)


@pytest.mark.long
def test_what_comes_back_is_the_same(written: Path, tmp_path: Path) -> None:
    """The hostile dossier verifies, and gives its build file back byte for byte, inside the folder asked for."""
    shutil.copytree(written / "out", tmp_path / "out")
    [pdf] = [one for one in (tmp_path / "out").glob("*.pdf") if "-" not in one.stem]
    assert main(["verify", str(pdf), "-q"]) == 0
    assert main(["extract", str(pdf), "-o", str(tmp_path / "back"), "-q"]) == 0
    [back] = (tmp_path / "back").glob("*.yaml")
    [file] = written.glob("*.yaml")
    assert back.read_bytes() == file.read_bytes()
    assert {one.name for one in tmp_path.iterdir()} == {"out", "back"}
