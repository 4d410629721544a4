"""All wording of the editions is one file: every key is there and used, nothing is left in the pages, it translates."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
from pdf_text import pages_text
from record_builds import BUILD, place, run

from dossier.pages.editions.edition import EDITIONS
from dossier.reader import wording
from dossier.record.opened import open_dossier
from dossier.record.verify import verify

ROOT = Path(__file__).parents[2] / "dossier"
PAPER = (  # of the figures all but what guards their settings
    *(ROOT / "pages").rglob("*.py"),
    *(path for path in (ROOT / "figures").glob("*.py") if path.name != "shielded.py"),
    ROOT / "pdf" / "template.py",
)
CALLS = {"say", "lines", "rows_of", "terms", "entries"}
OPEN = {"lines": list, "rows_of": list, "terms": dict, "entries": list}
# Made from a part of their name: by edition and section, by units.
BUILT = re.compile(
    r"sections\..*|diagram\.weights_(metric|us)|words\.counts|own\..*|voltage\.limit_.*|options\.(kept_.*|no_limit)|"
    r"storage\.recharge_.*|paper\.language"
)
KEPT = (  # literals of the pages that are no words of a language
    r"<.*|&nbsp;.*|[a-z0-9_.~{}\-]+|.*font.*size=.*|DOSSIER .*|[A-Z]|[\d.,]+ [A-Za-z%]+|AWG|CFR|"
    r"(axes|offset) (fraction|points)|(lower|upper) (left|right)|Lato.*|DejaVu.*|Dossier (Body|Symbols)|.*\.ttf|"
    r"Document|Sect|Figure|` leaves the sheet|capacitor bank|body connection|Mohm"
)


@cache
def calls() -> tuple[tuple[Path, ast.Call, str], ...]:
    """Every call of the wording with its file and the keys it may name."""
    found = []
    for path in ROOT.rglob("*.py"):
        if path.parent.name == "reader":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                if name in CALLS and node.args:
                    first = node.args[0]
                    ends = [first.body, first.orelse] if isinstance(first, ast.IfExp) else [first]
                    keys = [str(one.value) for one in ends if isinstance(one, ast.Constant)]
                    found += [(path, node, key) for key in keys if "." in key]
    return tuple(found)


def holes(text: Any) -> set[str]:
    """Placeholders of a text."""
    return {name for _, name, _, _ in Formatter().parse(text) if name} if isinstance(text, str) else set()


def test_every_key_is_there_with_its_placeholders() -> None:
    """Whatever a page says exists, is of the kind that is asked for, and has the placeholders that are filled."""
    texts = wording.wording().texts
    seen = 0
    for path, node, key in calls():
        where = f"{path.name}:{node.lineno} {key}"
        assert key in texts, where
        name = node.func.attr if isinstance(node.func, ast.Attribute) else node.func.id  # type: ignore[attr-defined]
        assert isinstance(texts[key], OPEN.get(name, str)), where
        if name == "say":
            filled = {one.arg for one in node.keywords}
            if None not in filled:  # parts given as a map are filled as the text needs them
                assert holes(texts[key]) == filled, where
        seen += 1
    assert seen > 600


def test_an_owner_who_builds_gets_every_text_with_its_placeholders() -> None:
    """A text of the section ``own`` stands for one of a workshop, has the same placeholders and names no workshop."""
    texts = wording.wording().texts
    with wording.to_owner_builder() as own:
        changed = {key for key in own.texts if own.texts[key] != texts[key]}
    assert {f"own.{key}" for key in changed} == {key for key in texts if key.startswith("own.")}
    for key in changed:
        assert type(texts[key]) is type(texts[f"own.{key}"])
        assert holes(texts[key]) == holes(texts[f"own.{key}"])
        assert "workshop" not in str(texts[f"own.{key}"])


def test_no_key_is_idle() -> None:
    """Every text of the file is said somewhere; every section of every edition has its title."""
    used = {key for _, _, key in calls()}
    texts = wording.wording().texts
    assert [key for key in texts if key not in used and not BUILT.fullmatch(key)] == []
    titles = {f"sections.{section.key}" for edition in EDITIONS.values() for section in edition.sections}
    assert titles == {key for key in texts if key.startswith("sections.")}


def _raised(node: ast.AST, parents: dict[ast.AST, ast.AST]) -> bool:
    """Whether a node is part of an exception, which no paper shows."""
    while node in parents:
        node = parents[node]
        if isinstance(node, ast.Raise):
            return True
    return False


def literals(path: Path) -> Iterator[tuple[int, str]]:
    """Texts in a module that are not docstrings, keys, comparisons or arguments of ours."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parents = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str):
            continue
        above = parents[node]
        if isinstance(above, (ast.Expr, ast.Compare, ast.Subscript)) or _raised(node, parents):
            continue
        if isinstance(above, ast.Dict) and node in above.keys:
            continue
        if isinstance(above, ast.Call) and isinstance(above.func, (ast.Name, ast.Attribute)):
            name = above.func.id if isinstance(above.func, ast.Name) else above.func.attr
            if name in {*CALLS, "ValueError", "count", "replace", "compile", "sub"}:
                continue
        yield node.lineno, node.value


@pytest.mark.parametrize("path", PAPER, ids=lambda path: path.name)
def test_nothing_is_said_outside_the_file(path: Path) -> None:
    """No page, figure or sheet holds words of a language: two words in a row, or a capital and small letters."""
    words = re.compile(r"[a-z]{2,} [a-z]{2,}|^[A-Z][a-z]{2,}|[a-z]{3,} $|^ [a-z]{3,}")
    found = [(line, text) for line, text in literals(path) if words.search(text) and not re.fullmatch(KEPT, text, re.S)]
    assert found == []


def accented(text: str) -> str:
    """A text in a language of our own: accents on its vowels; placeholders and marks are as they were."""
    table = str.maketrans("aeiouAEIOU", "äëïöüÄËÏÖÜ")
    parts = re.split(r"(\{[^}]*\}|<[^>]*>|&\w+;|\n)", text)
    return "".join(part if index % 2 else part.translate(table) for index, part in enumerate(parts))


def translated(tree: Any) -> Any:
    """The same of a whole tree."""
    if isinstance(tree, dict):
        return {key: translated(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [translated(value) for value in tree]
    return accented(tree)


@pytest.fixture
def tongue(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    """A translation, as its one file in the folder of the wording."""
    source = json.loads((wording.FOLDER / "wording.en.json").read_text(encoding="utf-8"))
    made = translated(source)
    made["paper"]["language"] = "x-accent"
    folder = tmp_path / "words"
    folder.mkdir()
    for name, tree in (("en", source), ("xa", made)):
        (folder / f"wording.{name}.json").write_text(json.dumps(tree, ensure_ascii=False), encoding="utf-8")
    monkeypatch.setattr(wording, "FOLDER", folder)
    wording.wording.cache_clear()
    yield "xa"
    monkeypatch.undo()
    wording.wording.cache_clear()


def english(text: str) -> set[str]:
    """Words of at least four plain small letters that have a vowel."""
    return {word for word in re.findall(r"(?<![\w.])[a-z]{4,}(?![\w])", text) if re.search("[aeiou]", word)}


@pytest.mark.parametrize("edition", [pytest.param("", marks=pytest.mark.long), "-customer", "-inspector"])
@pytest.mark.sweep(4)
def test_a_translation_is_one_file(tongue: str, tmp_path: Path, edition: str) -> None:
    """With one more file every edition is set in it: what stays English is computed or stated, never said by a page."""
    build = place(tmp_path, BUILD)
    name = edition.strip("-") or "workshop"
    options = ("--quick", "-q", "--results", "--language", tongue, "--edition", name)
    code, said = run("write", build, "-o", tmp_path, *options)
    assert code == 0, said
    path = tmp_path / f"small{edition}.pdf"
    found = open_dossier(path)
    assert found.seal is not None
    assert found.seal.language == tongue
    text = " ".join(pages_text(found.data))
    assert len(re.findall("[äëïöü]", text)) > 800
    computed = (tmp_path / "small.results.json").read_text(encoding="utf-8") + BUILD + BELOW
    left = english(text) - english(computed)
    assert left == set()
    verdict = verify(found)
    assert verdict.is_same
    assert verdict.same_bytes


# Named by the program, or by a source that is printed as it is.
BELOW = (
    "install dossier photo playing lithium titanate lead-acid practice general cell window memory read second-hand "
    "pack specifications from"
)
