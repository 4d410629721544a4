"""What the YAML parser complains about, as a diagnostic that names the cause where it is a well-known one."""

from __future__ import annotations

import re

import yaml

from dossier.buildfile.source import Source, error
from dossier.buildfile.spelling import space_missing, spaceless
from dossier.diagnostic import Diagnostic, Place

MAXIMUM_DEPTH = 24

_ENTRY = re.compile(r"(?P<lead>\s*(?:- +)*)(?P<name>[A-Za-z_][A-Za-z0-9_ ]*):(?:\s+(?P<value>.*))?$")
_NAMED_BEFORE = re.compile(r"(?P<name>[A-Za-z_][A-Za-z0-9_]*): +(?P<value>[^{}\[\],\"']*)$")
_REMARK = re.compile(r"(?:^|\s)#.*$")


def syntax_problem(problem: yaml.MarkedYAMLError, source: Source) -> Diagnostic:
    """The parser's own complaint, in the words of the parser, or its cause where that can be told."""
    place = _place(problem, source)
    said = problem.problem or problem.context or str(problem)
    if "nesting depth" in said:
        return error(
            "too-deep", f"values are nested more than {MAXIMUM_DEPTH} deep", place, expected="a build file: about eight"
        )
    if known := _known_cause(place, said, source):
        return known
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


def _known_cause(place: Place, said: str, source: Source) -> Diagnostic | None:
    """A text with a colon, a colon without its space, a name without its colon: what beginners write."""
    if quoted := _colon_in_text(place, said):
        return quoted
    if not any(words in said for words in ("mapping values", "expected ':'", "expected key", "block end")):
        return None
    above = _line_above(place, source)
    for at in (place, above):
        word = spaceless(_bare(at.text)) if at else None
        if at and word:
            headline, fix = space_missing(*word)
            where = source.place(at.line, at.text.index(word[0]) + 1, len(word[0]) + 1 + len(word[1]))
            return error("space-after-colon", headline, where, expected="a name, a colon, a space, a value", fix=fix)
    for at in (above, place):
        name = _bare(at.text) if at else ""
        if at and re.fullmatch("[A-Za-z_][A-Za-z0-9_]*", name):
            where = source.place(at.line, at.text.index(name) + 1, len(name))
            headline = f"`{name}` stands alone on its line, without a colon"
            return error("yaml-syntax", headline, where, fix=f"if it is a name, put a colon after it: `{name}:`")
    return None


def _colon_in_text(place: Place, said: str) -> Diagnostic | None:
    """`title: Boot: left`: a text with a colon needs quotes."""
    if "mapping values" in said:
        found = _ENTRY.match(place.text)
        if not found or not found["value"] or found["value"][0] in "\"'[{|>" or place.column <= found.end("name") + 1:
            return None
        start, name = found.start("value"), found["name"]
        text = _REMARK.sub("", found["value"]).rstrip()
    elif "',' or" in said and place.text[place.column - 1 : place.column] == ":":
        before = _NAMED_BEFORE.search(place.text[: place.column - 1])
        if not before:
            return None
        start, name = before.start("value"), before["name"]
        text = re.split(r"[,{}\[\]]", place.text[start:])[0].rstrip()
    else:
        return None
    quoted = f"'{text.replace(chr(39), chr(39) * 2)}'" if '"' in text or "\\" in text else f'"{text}"'
    where = Place(place.file, place.line, start + 1, place.text, max(1, len(text)))
    return error(
        "yaml-syntax",
        f"the text of `{name}` has a colon in it: a text with a colon needs quotes",
        where,
        expected="a text in quotes, or one without a colon followed by a space",
        fix=f"write `{name}: {quoted}`",
    )


def _line_above(place: Place, source: Source) -> Place | None:
    """The nearest line above that holds more than a remark."""
    for line in range(place.line - 1, 0, -1):
        if _bare(source.lines[line - 1]):
            return source.place(line, 1)
    return None


def _bare(line: str) -> str:
    """A line without indentation, dash and remark."""
    return re.sub(r"^\s*(?:- +)*", "", _REMARK.sub("", line)).rstrip()


def _hint(place: Place, said: str) -> str:
    rest = place.text[place.column - 1 :]
    indent = place.text[: len(place.text) - len(place.text.lstrip())]
    if "\t" in indent or rest.startswith("\t"):
        return "indent with spaces, not with tabs"
    if "mapping values are not allowed" in said:
        return "give this line the same indentation as the entries above it; put a text that contains `: ` in quotes"
    if rest[:1] in ("@", "`", "%"):
        return f"put a text that begins with `{rest[0]}` in quotes"
    if "',' or" in said:
        return "close the bracket, or put a comma between its entries; text with , [ ] { } : needs quotes there"
    if "block end" in said or "expected <block" in said or "expected key" in said:
        return "give this line the same indentation as the entries above it"
    if "unexpected end of stream" in said:
        return "close the quotes"
    if "found unexpected ':'" in said:
        return "put a space after the colon"
    return "check the brackets, quotes and colons around this place"
