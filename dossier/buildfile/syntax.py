"""What the YAML parser complains about, as a diagnostic with a hint where the cause is a well-known one."""

from __future__ import annotations

import yaml

from dossier.buildfile.source import Source, error
from dossier.diagnostic import Diagnostic, Place

MAXIMUM_DEPTH = 24


def syntax_problem(problem: yaml.MarkedYAMLError, source: Source) -> Diagnostic:
    """The parser's own complaint, in the words of the parser."""
    place = _place(problem, source)
    said = problem.problem or problem.context or str(problem)
    if "nesting depth" in said:
        return error(
            "too-deep", f"values are nested more than {MAXIMUM_DEPTH} deep", place, expected="a build file: about eight"
        )
    context = f" {problem.context}" if problem.context and problem.problem else ""
    begun = problem.context_mark
    if begun and context and begun.line + 1 < place.line:
        context += f" begun on line {begun.line + 1}"
    return error("yaml-syntax", f"the text is not YAML: {said}{context}", place, fix=_hint(place, said))


def _place(problem: yaml.MarkedYAMLError, source: Source) -> Place:
    """Where the parser stopped; if only the end of the file stopped it, where it began what has no end."""
    last = len(source.text.rstrip())
    marks = [mark for mark in (problem.problem_mark, problem.context_mark) if mark]
    mark = next((mark for mark in marks if mark.index < last), None)
    if mark:
        return source.place(mark.line + 1, mark.column + 1)
    lines = source.text[:last].splitlines() if last else [""]
    return source.place(len(lines), max(1, len(lines[-1])))


def _hint(place: Place, said: str) -> str:
    rest = place.text[place.column - 1 :]
    indent = place.text[: len(place.text) - len(place.text.lstrip())]
    if "\t" in indent or rest.startswith("\t"):
        return "indent with spaces, not with tabs"
    if "mapping values are not allowed" in said:
        return "put a text that contains `: ` in quotes; check the indentation of this line"
    if rest[:1] in ("@", "`", "%"):
        return f"put a text that begins with `{rest[0]}` in quotes"
    if "',' or" in said:
        return "close the bracket, or put a comma between its entries; text with , [ ] { } needs quotes there"
    if "block end" in said or "expected <block" in said or "expected key" in said:
        return "give this line the same indentation as the entries above it"
    if "unexpected end of stream" in said:
        return "close the quotes"
    if "found unexpected ':'" in said:
        return "put a space after the colon"
    return "check the brackets, quotes and colons around this place"
