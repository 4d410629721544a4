"""No module branches on a sentence: verdicts, answers and behaviours are enums of `results`."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import dossier
from dossier import results

ROOT = Path(dossier.__file__).parent
JUDGING = ("results", "equipment", "circuit", "findings", "assessment", "fitting", "figures", "pages", "record")
NAMES = frozenset({  # texts that are keys of the build file, units or numbers in the file, not sentences
    "id", "kind", "state", "location", "locations", "place", "cable", "fuse", "path", "code", "role", "style", "at",
    "statistic", "balancing", "weighting", "detector", "unit", "group", "basis", "supply", "revision", "date", "source",
    "amplifier", "case", "rule", "worst_case", "sees", "shows", "chemistry", "drive", "peak_weighting",
})  # fmt: skip


LAYOUT = {  # numbers of the pages that bound what fits, or how many decimals are set
    "delivery/signoff.py": {"_NAMED"}, "delivery/labels.py": {"_MANY"}, "editions/customer.py": {"_MANY"},
    "opening/cover.py": {"_ROOM"}, "opening/options.py": {"3.0"}, "opening/settle.py": {"60"},
    "system/voltage.py": {"24"}, "words.py": {"26"},
}  # fmt: skip


def thresholds(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Comparisons of something with a number that stands in the module itself; 0 and 1 are signs and counts."""
    named: dict[str, object] = {}
    for node in tree.body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        if isinstance(node, (ast.Assign, ast.AnnAssign)) and isinstance(target, ast.Name):
            named[target.id] = getattr(node.value, "value", None)
    for compared in (node for node in ast.walk(tree) if isinstance(node, ast.Compare)):
        if not any(isinstance(one, (ast.Lt, ast.LtE, ast.Gt, ast.GtE)) for one in compared.ops):
            continue
        for side in (compared.left, *compared.comparators):
            value = side.value if isinstance(side, ast.Constant) else named.get(getattr(side, "id", ""))
            counted = any(isinstance(n, ast.Call) and ast.unparse(n.func) in ("len", "sum") for n in ast.walk(compared))
            if isinstance(value, (int, float)) and value not in (0, 1) and not (counted and value == 2):
                yield compared.lineno, ast.unparse(side)


def test_a_page_judges_by_no_number_of_its_own() -> None:
    """A number that judges a voltage, a current or a share stands in results, not in a page."""
    pages = ROOT / "pages"
    found = [
        f"{place}:{line}: {number}"
        for file in sorted(pages.rglob("*.py"))
        if (place := file.relative_to(pages).as_posix()).partition("/")[0] != "diagram"  # all of it is layout
        for line, number in thresholds(ast.parse(file.read_text(encoding="utf-8")))
        if number not in LAYOUT.get(place, ())
    ]
    assert found == []


@pytest.mark.parametrize("line", ["if one.volts < 11.5: pass", "_LOW = 11.5\nok = one.volts <= _LOW"])
def test_a_threshold_would_be_seen(line: str) -> None:
    """Bare or named, a number that something is held against is found."""
    assert list(thresholds(ast.parse(line)))


def prose() -> frozenset[str]:
    """Every field of a result class that is a text for people."""
    found: set[str] = set()
    for module in pkgutil.iter_modules(results.__path__):
        for kind in vars(importlib.import_module(f"dossier.results.{module.name}")).values():
            if dataclasses.is_dataclass(kind) and isinstance(kind, type):
                found |= {one.name for one in dataclasses.fields(kind) if one.type in ("str", "str | None")}
    return frozenset(found - NAMES)


def branches(tree: ast.AST, fields: frozenset[str]) -> Iterator[int]:
    """Lines that ask what a sentence says: a comparison, a search or a start of one."""

    def told(node: ast.AST) -> bool:
        return isinstance(node, ast.Attribute) and node.attr in fields

    def sentence(node: ast.AST) -> bool:
        return text(node) and bool(re.search(r"[a-z]+ [a-z]+", getattr(node, "value", "")))

    def said(node: ast.AST) -> bool:
        return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("say", "sentence")

    def text(node: ast.AST) -> bool:
        return isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value != ""

    def asks(node: ast.AST) -> bool:
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            sides += [part for one in sides if isinstance(one, (ast.Tuple, ast.Set, ast.List)) for part in one.elts]
            known = any(map(told, sides)) and any(map(text, sides))
            return known or any(map(sentence, sides)) or any(map(said, sides))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            starts = node.func.attr in ("startswith", "endswith", "find", "count") and told(node.func.value)
            return starts or (node.func.attr in ("search", "match", "fullmatch") and any(map(told, node.args)))
        return False

    yield from (node.lineno for node in ast.walk(tree) if isinstance(node, (ast.Compare, ast.Call)) and asks(node))


@pytest.mark.parametrize("floor", JUDGING)
def test_nothing_branches_on_a_sentence(floor: str) -> None:
    """No module asks what a text for people says; it asks an enum, so that a sentence may be put otherwise."""
    fields = prose()
    found = [
        f"{file.relative_to(ROOT)}:{line}"
        for file in sorted((ROOT / floor).rglob("*.py"))
        for line in branches(ast.parse(file.read_text(encoding="utf-8")), fields)
    ]
    assert found == []


@pytest.mark.parametrize(
    "line",
    [
        'x = "limits itself" in end.answer.words',
        'x = row.words.startswith("rarely")',
        'x = row.verdict == "above what it may ever see"',
        'x = question == "Conductor survives the fault"',
        'x = one.refusal == "phone"',
        'x = say("page.key") == question',
        'x = re.search("no fuse", one.sentence)',
    ],
)
def test_a_branch_on_a_sentence_is_seen(line: str) -> None:
    """The search above finds what it is there for."""
    assert list(branches(ast.parse(line), prose())) == [1]
