"""Entries between braces that lack a value because a comma or a missing space has torn them: what was meant."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from dossier.buildfile.names import Path, called
from dossier.buildfile.source import Source
from dossier.buildfile.spelling import commas, has_comma, space_missing, spaceless
from dossier.frozen import dataclass

Span = tuple[int, int, int]  # line and column from 1, width


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a map between braces."""

    name: str  # its key
    key: Span  # where the key stands
    value: Span | None  # where its value stands if that is unquoted and in one piece, else None
    loose: bool  # it has neither a colon nor a value


@dataclass(frozen=True, slots=True)
class SplitEntries:
    """What is wrong with one or several entries."""

    code: str
    headline: str
    at: Span
    expected: str
    fix: str
    drop: tuple[str, ...]  # names that are no names; nothing more is to be said about them
    refused: str  # the name whose value is meant; it counts as there, but not as read


def split_entries(entries: Sequence[Entry], path: Path, source: Source) -> Iterator[SplitEntries]:
    """Every complaint about entries without colon and value, in their order; ``path`` is that of their map."""
    entries = list(entries)
    index = 0
    while index < len(entries):
        if not entries[index].loose:
            index += 1
            continue
        before = entries[index - 1] if index and not entries[index - 1].loose else None
        last = index
        while last + 1 < len(entries) and entries[last + 1].loose and not spaceless(entries[last + 1].name):
            last += 1
        run = entries[index : last + 1]
        after = entries[last + 1] if last + 1 < len(entries) else None
        found = _meant(before, run, after, path, source)
        yield found
        if after and after.name in found.drop:  # it is the second half of a name: its value belongs to the whole
            entries[last + 1] = replace(after, name=found.refused)
        index = last + 1


def _meant(before: Entry | None, run: Sequence[Entry], after: Entry | None, path: Path, source: Source) -> SplitEntries:
    first, names = run[0], tuple(one.name for one in run)
    if word := spaceless(first.name):
        headline, cure = space_missing(*word)
        expected = "a name, a colon, a space, a value"
        return SplitEntries("space-after-colon", headline, first.key, expected, cure, names, word[0])
    key = _joined(first.key, after.key, source) if after else ""
    if before and before.value and (value := _joined(before.value, run[-1].key, source)):
        at = (*before.value[:2], len(value))
        tight = not re.search(r",\s", value)
        if _is_number(value) and (tight or not _is_number(key)):
            return _comma(value, f"{called((*path, before.name))} has a comma: `{value}`", at, names, before.name)
        if not (after and _is_number(key)):
            return SplitEntries(
                "quote-it",
                f"the comma in {called((*path, before.name))} begins a new entry: `{value}`",
                at,
                "between { } a text with a comma stands in quotes",
                f'if it is one text, write `{before.name}: "{value}"`',
                names,
                before.name,
            )
    if after and _is_number(key):
        headline = f"a key of {called(path)} has a comma: `{key}`"
        return _comma(key, headline, (*first.key[:2], len(key)), (*names, after.name), key)
    fix = "write the value after a colon, or delete it; a text with a comma needs quotes between { }"
    headline = f"`{first.name}` has no value"
    return SplitEntries("empty-value", headline, first.key, "a value after a colon", fix, names, "")


def _joined(start: Span, end: Span, source: Source) -> str:
    """The text from the beginning of one span to the end of another on the same line; empty across lines."""
    if start[0] != end[0]:
        return ""
    return source.lines[start[0] - 1][start[1] - 1 : end[1] - 1 + end[2]]


def _is_number(text: str) -> bool:
    return has_comma(re.sub(r"\s*,\s*", ",", text))


def _comma(text: str, headline: str, at: Span, drop: tuple[str, ...], refused: str) -> SplitEntries:
    read = commas(re.sub(r"\s*,\s*", ",", text))
    ways = ", which can be read in two ways" if read.ambiguous else ""
    expected = "decimals take a point, thousands take nothing; between { } a comma begins the next entry"
    return SplitEntries("decimal-comma", headline + ways, at, expected, read.cure, drop, refused)
