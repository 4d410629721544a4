"""The way in: a build file to a frozen Build, or every problem it has, in one run."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from dossier.buildfile.construct import construct
from dossier.buildfile.file_names import file_stem
from dossier.buildfile.model import Build
from dossier.buildfile.names import dotted, listed, nearest
from dossier.buildfile.options import patched_tree, removed_in_vain
from dossier.buildfile.positions import Positions
from dossier.buildfile.references import check_references, entries
from dossier.buildfile.source import BuildFileError, error, in_order, read_bytes, read_source
from dossier.buildfile.tree import read_tree
from dossier.buildfile.validate import Checked, validate
from dossier.buildfile.wiring import check_wiring
from dossier.diagnostic import Diagnostic, Place

__all__ = ["BuildFileError", "option_build", "read_build", "read_build_text"]


def read_build(path: FilePath) -> Build:
    """Read a build file.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    return read_build_text(read_bytes(path), file_stem(path.stem), str(path))


def read_build_text(text: bytes, name: str, file: str) -> Build:
    """Read a build file that is already in memory.

    Args:
        text: its bytes.
        name: the build's name, for output names, see ``file_names.file_stem``.
        file: what positions call the file.

    Raises:
        BuildFileError: with every problem of the file, each with its position.
    """
    source = read_source(text, file)
    tree = read_tree(source)
    positions = Positions(source, tree.marks)
    checked, problems = _check(tree.data, positions, whole=not tree.problems)
    problems = [*tree.problems, *problems]
    if isinstance(tree.data, dict):
        for option in _patches(tree.data):
            problems += _option_problems(tree.data, option, positions, problems)
    if problems:
        raise BuildFileError(in_order(problems, source))
    return construct(tree.data, checked, positions, name, text)


def option_build(build: Build, *options: str) -> Build:
    """The build with some of its options applied, in that order; its places lie inside the options.

    It has no options itself.

    Raises:
        KeyError: there is no such option.
        BuildFileError: together they make no build.
    """
    source = read_source(build.text, next(iter(build.places.values())).file)
    positions = Positions(source, read_tree(source).marks, options)
    tree = patched_tree(build.tree, *options)
    checked, problems = _check(tree, positions, whole=True)
    if problems:
        raise BuildFileError(in_order(problems, source))
    return construct(tree, checked, positions, build.name, build.text)


def _check(data: Any, positions: Positions, *, whole: bool) -> tuple[Checked, list[Diagnostic]]:
    checked = validate(data, positions)
    problems = checked.problems
    if isinstance(data, dict):
        problems = [*problems, *check_references(data, checked, positions)]
        if whole and not problems:  # what was refused may be the very cable that is missed
            problems = list(check_wiring(data, positions))
    return checked, problems


def _patches(tree: Mapping[str, Any]) -> list[str]:
    """Options whose changes can be applied."""
    return [name for name, option in entries(tree, "options").items() if isinstance(option.get("changes"), Mapping)]


# sections of things with names of their own
_PLACED = ("locations", "supplies", "batteries", "capacitor_banks", "amplifiers", "speakers", "cables", "couplings")
_NAMED = frozenset((*_PLACED, "load_cases", "instruments", "people"))


def _option_problems(
    tree: Mapping[str, Any], option: str, positions: Positions, known: list[Diagnostic]
) -> list[Diagnostic]:
    """Problems that only an option brings; their position is where the option says it."""
    changes = ("options", option, "changes")
    patched = Positions(positions.source, positions.marks, (option,))
    whole = not any(problem.path.startswith(dotted(changes)) for problem in known)
    _, problems = _check(patched_tree(tree, option), patched, whole=whole)
    old = {(problem.code, problem.path, problem.where) for problem in known}
    found = []
    for gone, beside in removed_in_vain(tree, entries(tree, "options")[option]["changes"]):
        if not (len(gone) == 2 and gone[0] in _NAMED) and gone[-2:-1] != ("fuses",):
            continue  # a field that is not stated is left out already
        at = (*changes, *gone)
        close = nearest(gone[-1], beside)
        found.append(
            error(
                "removes-nothing",
                f"with option `{option}`: there is no `{dotted(gone)}` to take away",
                positions.key(at),
                path=dotted(at),
                expected=f"a name that is there: {listed(beside)}" if beside else "what the build file holds",
                fix=f"write `{close}` if that is meant" if close else "delete this line",
            )
        )
    for problem in problems:
        if (problem.code, problem.path, problem.where) in old:
            continue
        inside = problem.where and _inside(problem.where, changes, positions)
        where = problem.where if inside else positions.key(changes)
        path = dotted((*changes, problem.path)) if problem.path else dotted(changes)
        headline = f"with option `{option}`: {problem.headline}"
        found.append(error(problem.code, headline, where, path=path, expected=problem.expected, fix=problem.fix))
    return found


def _inside(where: Place, changes: tuple[str, ...], positions: Positions) -> bool:
    """Whether a position is one of the values or keys inside an option's changes."""
    inside = (mark for path, mark in positions.marks.items() if path[:3] == changes)
    return any((where.line, where.column) in (mark.value[:2], mark.key[:2]) for mark in inside)
