"""Text to plain data with a position for every value: a strict subset of YAML, nothing executed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import yaml

from dossier.buildfile.names import Path, dotted
from dossier.buildfile.scalars import is_ambiguous, read_plain
from dossier.buildfile.source import Source, error, hidden_character
from dossier.buildfile.split_flow_map import Entry, split_entries
from dossier.buildfile.syntax import MAXIMUM_DEPTH, syntax_problem
from dossier.diagnostic import Diagnostic
from dossier.frozen import dataclass

MAXIMUM_NODES = 50_000

# The C parser, ten times faster, where PyYAML was built with it. Only its events are used: nothing is
# constructed.
_PARSER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Refused:
    """Stands for a value that was refused; nothing more is said about it."""

    def __str__(self) -> str:
        return "…"


REFUSED = Refused()


@dataclass(frozen=True, slots=True)
class Mark:
    """Where a value stands, and its key."""

    value: tuple[int, int, int]  # line, column (from 1) and width of the value
    key: tuple[int, int, int]  # the same of its key; of the value itself where there is no key
    plain: bool = False  # the value is an unquoted scalar that other readers of YAML may not take for text
    key_plain: bool = False  # the same of the key
    scalar: bool = True  # the value is neither a map nor a list


@dataclass(frozen=True, slots=True)
class Tree:
    """Plain data and where it came from."""

    data: Any  # maps, lists, texts, numbers, truth values, None; ``REFUSED`` where a value was refused
    marks: Mapping[Path, Mark]  # path -> position
    problems: tuple[Diagnostic, ...]  # what was refused on the way


class _StopError(Exception):
    """Reading cannot go on."""


def read_tree(source: Source) -> Tree:
    """Parse a build file. Never raises: what is wrong is in ``problems``."""
    composer = _Composer(source)
    try:
        data = composer.document()
    except _StopError:
        data = REFUSED
    except yaml.MarkedYAMLError as problem:
        composer.problems.append(syntax_problem(problem, source))
        data = REFUSED
    except (yaml.YAMLError, RecursionError, ValueError) as problem:
        composer.refuse("yaml-syntax", f"the text is not YAML: {problem}", (1, 1, 1))
        data = REFUSED
    return Tree(data, composer.marks, tuple(composer.problems))


class _Composer:
    """Builds plain data from the parser's events; refuses whatever could be read in two ways."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.marks: dict[Path, Mark] = {}
        self.problems: list[Diagnostic] = []
        self.parser: Any = _PARSER(source.text)
        self.nodes = 0

    def refuse(
        self, code: str, headline: str, at: tuple[int, int, int], path: Path = (), expected: str = "", fix: str = ""
    ) -> Refused:
        where = self.source.place(*at)
        self.problems.append(error(code, headline, where, path=dotted(path), expected=expected, fix=fix))
        return REFUSED

    def document(self) -> Any:
        self.parser.get_event()  # start of stream
        event = self.parser.get_event()
        if isinstance(event, yaml.StreamEndEvent):
            self.refuse("empty-file", "the file holds only comments", (1, 1, 1), expected="`format: 1` and so on")
            return REFUSED
        if event.tags:
            self.refuse("tag", "a `%TAG` directive does not belong into a build file", _span(event), fix="delete it")
        data = self.node(self.parser.get_event(), (), 0)
        self.parser.get_event()  # end of document
        event = self.parser.get_event()
        if not isinstance(event, yaml.StreamEndEvent):
            headline = "a second document begins here; a build file holds one"
            self.refuse("several-documents", headline, _span(event), fix="delete the `---` line or split the file")
        return data

    def node(self, event: Any, path: Path, depth: int, key: tuple[Mark, bool] | None = None) -> Any:
        """The value that begins with ``event``; ``key``: the mark of its key, and whether that is ambiguous."""
        at = _span(event)
        self.nodes += 1
        if self.nodes > MAXIMUM_NODES:
            self.refuse(
                "too-many-values", f"the file holds more than {MAXIMUM_NODES} values", at, path, "a few hundred"
            )
            raise _StopError
        if depth > MAXIMUM_DEPTH:
            self.refuse(
                "too-deep", f"values are nested more than {MAXIMUM_DEPTH} deep", at, path, "a build file: about eight"
            )
            raise _StopError
        key_at, key_plain = (key[0].value, key[1]) if key else (at, False)
        if isinstance(event, yaml.AliasEvent):
            self.marks[path] = Mark(at, key_at, False, key_plain)
            return self.refuse(
                "alias",
                f"`*{event.anchor}` is an alias; a build file says everything where it is used",
                at,
                path,
                fix="write the value out; if it is text, put it in quotes",
            )
        good = self.unmarked(event, at, path)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, at, path, key_at, key_plain) if good else REFUSED
        self.marks[path] = Mark(at, key_at, False, key_plain, False)
        data = (
            self.mapping(path, depth, between_braces=bool(event.flow_style))
            if isinstance(event, yaml.MappingStartEvent)
            else self.items(path, depth)
        )
        return data if good else REFUSED

    def unmarked(self, event: Any, at: tuple[int, int, int], path: Path) -> bool:
        """Refuse anchors and tags."""
        quote = "delete it; if it is text, put it in quotes"
        if event.anchor is not None:
            headline = f"`&{event.anchor}` is an anchor; a build file says everything where it is used"
            self.refuse("anchor", headline, at, path, fix=quote)
        if event.tag is not None:
            headline = f"`{event.tag}` is a tag; the kind of every value follows from its place"
            self.refuse("tag", headline, at, path, fix=quote)
        return event.anchor is None and event.tag is None

    def scalar(
        self, event: Any, at: tuple[int, int, int], path: Path, key_at: tuple[int, int, int], key_plain: bool
    ) -> Any:
        text: str = event.value
        plain = event.style in (None, "")
        self.marks[path] = Mark(at, key_at, plain and is_ambiguous(text), key_plain)
        if not plain:
            if hidden := hidden_character(text):
                headline = f"the text contains a character that cannot be seen, {hidden}"
                return self.refuse("control-character", headline, at, path, fix="delete the escape")
            return text
        if not text:
            return self.refuse(
                "empty-value",
                f"`{path[-1] if path else 'the file'}` has no value",
                key_at,
                path,
                expected="a value after the colon",
                fix="write the value, indent below the name what belongs to it, or delete the line",
            )
        return read_plain(text)

    def items(self, path: Path, depth: int) -> list[Any]:
        result: list[Any] = []
        while not isinstance(event := self.parser.get_event(), yaml.SequenceEndEvent):
            result.append(self.node(event, (*path, len(result)), depth + 1))
        return result

    def mapping(self, path: Path, depth: int, *, between_braces: bool) -> dict[str, Any]:
        result: dict[str, Any] = {}
        entries: list[Entry] = []
        seen: dict[str, int] = {}
        while not isinstance(event := self.parser.get_event(), yaml.MappingEndEvent):
            name = self.key(event, path)
            if name is None:
                self.skip(self.parser.get_event())
                continue
            at = _span(event)
            if name in seen:
                headline = f"`{name}` is written twice, on line {seen[name]} and on line {at[0]}"
                expected = "every name once; of two values one would be lost"
                self.refuse("duplicate-key", headline, at, (*path, name), expected, "delete or rename one of the two")
                self.skip(self.parser.get_event())
                continue
            seen[name] = at[0]
            ambiguous = event.style in (None, "") and is_ambiguous(name)
            value = self.parser.get_event()
            if between_braces:
                entries.append(self.entry(name, event, value))
                if entries[-1].loose:  # judged with its neighbours, below
                    self.marks[(*path, name)] = Mark(at, at)
                    continue
            result[name] = self.node(value, (*path, name), depth + 1, (Mark(at, at), ambiguous))
        for one in split_entries(entries, path, self.source):
            inner = (*path, one.refused) if one.refused else path
            self.refuse(one.code, one.headline, one.at, inner, one.expected, one.fix)
            for name in one.drop:
                result.pop(name, None)
            if one.refused:
                result[one.refused] = REFUSED
        return result

    def entry(self, name: str, key: Any, value: Any) -> Entry:
        """An entry between braces, for the look at what commas have torn."""
        plain = isinstance(value, yaml.ScalarEvent) and value.style in (None, "") and not value.tag
        end = key.end_mark
        rest = self.source.lines[end.line][end.column :] if end.line < len(self.source.lines) else ""
        loose = plain and not value.value and not value.anchor and not rest.lstrip().startswith(":")
        return Entry(name, _span(key), _span(value) if plain and value.value else None, loose)

    def skip(self, event: Any) -> None:
        """Read past a value that will not be used."""
        depth = 0
        while True:
            depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
            self.nodes += 1
            if depth > MAXIMUM_DEPTH or self.nodes > MAXIMUM_NODES:
                self.refuse(
                    "too-deep", "too many values, or nested too deep, in a value that was refused", _span(event)
                )
                raise _StopError
            if depth == 0:
                return
            event = self.parser.get_event()

    def key(self, event: Any, path: Path) -> str | None:
        """The name on the left of a colon, or None where it was refused."""
        at = _span(event)
        if isinstance(event, yaml.AliasEvent) or not isinstance(event, yaml.ScalarEvent):
            self.refuse("key-not-text", "only a name may stand on the left of a colon", at, path, "a name")
            self.skip(event)
            return None
        if not self.unmarked(event, at, path):
            return None
        name: str = event.value
        plain = event.style in (None, "")
        if plain and name == "<<":
            headline = "`<<` merges another map; a build file says everything where it is used"
            self.refuse("merge-key", headline, at, path, fix="write the values out")
            return None
        if not name or hidden_character(name):
            self.refuse("key-not-text", "the name before the colon is empty or cannot be seen", at, path, "a name")
            return None
        return name


def _span(event: Any) -> tuple[int, int, int]:
    """Line, column and width of what an event covers; a block counts with its first line only."""
    start, end = event.start_mark, event.end_mark
    same = end.line == start.line and isinstance(event, (yaml.ScalarEvent, yaml.AliasEvent))
    return start.line + 1, start.column + 1, max(1, end.column - start.column) if same else 1
