"""Collects the problems of one walk, worded alike and with their positions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from dossier.buildfile.forms import advice
from dossier.buildfile.names import Path, called, dotted, listed, nearest
from dossier.buildfile.positions import Positions
from dossier.buildfile.schema import Schema, flat
from dossier.buildfile.source import error
from dossier.diagnostic import Diagnostic, Place


class Complaints:
    """Everything wrong found so far, and where values stand."""

    def __init__(self, positions: Positions) -> None:
        self.positions = positions
        self.problems: list[Diagnostic] = []

    def add(self, code: str, headline: str, where: Place, path: Path, expected: str = "", fix: str = "") -> None:
        """One problem."""
        self.problems.append(error(code, headline, where, path=dotted(path), expected=expected, fix=fix))

    def at_value(self, code: str, path: Path, what: str, expected: str = "", fix: str = "") -> None:
        """A problem of a value; ``what`` continues the sentence that its name begins."""
        self.add(code, f"{called(path)} {what}", self.positions.value(path), path, expected, fix)

    def at_key(self, code: str, path: Path, what: str, expected: str = "", fix: str = "") -> None:
        """A problem of a whole map or list; ``what`` continues the sentence that its name begins."""
        self.add(code, f"{called(path)} {what}", self.positions.key(path), path, expected, fix)

    def missing(self, keys: Iterable[str], path: Path, fields: Mapping[str, Any], because: str) -> None:
        """A map lacks a field, or every one of several of which it needs one."""
        schemas = {key: flat(fields[key]) for key in keys}
        lacks = " and no ".join(f"`{key}`" for key in schemas)
        said = " ".join(f"`{key}`: {schema['description']}" for key, schema in schemas.items())
        fix = "; or ".join(advice(key, schema, self.positions) for key, schema in schemas.items())
        expected = f"{because}. {said}" if because else said
        self.at_key("missing-key", path, f"has no {lacks}", expected, f"add {fix}")

    def misplaced(self, path: Path, because: str) -> None:
        """A known field where it has no meaning."""
        headline = f"`{path[-1]}` does not belong in {called(path[:-1])}"
        self.add("does-not-apply", headline, self.positions.key(path), path, because, "delete it")

    def unknown(self, path: Path, schema: Schema) -> None:
        """A field nobody knows."""
        known = [key for key, inner in schema["properties"].items() if inner is not False]
        close = suggestion(str(path[-1]), known, schema)
        headline = f"`{path[-1]}` is not a field of {called(path[:-1])}"
        self.add("unknown-key", headline, self.positions.key(path), path, f"one of {listed(known)}", close)


def intended(value: Iterable[str], fields: Mapping[str, Any], schema: Schema) -> set[str]:
    """Fields that unknown names in a map probably stand for; they are not missed as well."""
    synonyms = schema.get("x-synonyms", {})
    return {synonyms.get(key.casefold()) or nearest(key, fields) for key in value if key not in fields}


def suggestion(word: str, known: Iterable[str], schema: Schema) -> str:
    """The cure for a word that is nearly right, or another word for the right one; empty without either."""
    other: str = schema.get("x-synonyms", {}).get(word.casefold().replace(" ", "_"), "")
    close = other or nearest(word, known)
    return f"write `{close}` if that is meant" if close else ""
