"""Every word of the editions, in one file per language: keys, texts, plain placeholders in braces.

``wording.en.json`` beside this module is complete; a translation ``wording.xx.json`` has the same keys and the same
placeholders, and what it lacks is said in English. Sentences that are computed (findings, outcomes, the points of the
checklist, how to measure) stay with what they explain and are not in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, Final

from dossier.frozen import dataclass

ENGLISH: Final = "en"
UNCHECKED: Final = "not checked against the document"  # how a source was seen; a table marks it with a sign
_OWN: Final = "own."
FOLDER: Final = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Wording:
    """The texts of one language."""

    name: str  # as in the file's name
    language: str  # of the document (BCP 47)
    texts: Mapping[str, Any]  # ``section.key`` -> text, list of texts, or map of texts


def languages() -> tuple[str, ...]:
    """The languages there is a file for, English first."""
    found = sorted(path.name.split(".")[1] for path in FOLDER.glob("wording.*.json"))
    return (ENGLISH, *(name for name in found if name != ENGLISH))


@cache
def wording(name: str = ENGLISH) -> Wording:
    """The texts of a language, English where it has none.

    Raises:
        KeyError: there is no file for it.
    """
    if name not in languages():
        raise KeyError(name)
    tree = json.loads((FOLDER / f"wording.{name}.json").read_text(encoding="utf-8"))
    texts = {f"{section}.{key}": text for section, inner in tree.items() for key, text in inner.items()}
    if name != ENGLISH:
        english = {key: text for key, text in wording().texts.items() if not key.startswith(_OWN)}
        texts = {**english, **texts}
    return Wording(name, texts["paper.language"], texts)


_spoken: ContextVar[Wording | None] = ContextVar("wording", default=None)


@contextmanager
def speaking(name: str) -> Iterator[Wording]:
    """Whatever is said inside is said in this language."""
    token = _spoken.set(wording(name))
    try:
        yield spoken()
    finally:
        _spoken.reset(token)


@contextmanager
def to_owner_builder() -> Iterator[Wording]:
    """Whatever is said inside is said to somebody who has no workshop: section ``own`` over the keys it names."""
    now = spoken()
    own = {key.removeprefix(_OWN): text for key, text in now.texts.items() if key.startswith(_OWN)}
    token = _spoken.set(replace(now, texts={**now.texts, **own}))
    try:
        yield spoken()
    finally:
        _spoken.reset(token)


def spoken() -> Wording:
    """The wording in use."""
    return _spoken.get() or wording()


def say(key: str, **parts: object) -> str:
    """The text of a key with its placeholders filled.

    Args:
        key: ``section.key``.
        parts: what the placeholders stand for.
    """
    text: str = spoken().texts[key]
    return text.format(**parts) if parts else text


def lines(key: str) -> tuple[str, ...]:
    """The texts of a list."""
    return tuple(spoken().texts[key])


def rows_of(key: str) -> tuple[tuple[str, ...], ...]:
    """The lists of texts in a list."""
    return tuple(tuple(row) for row in spoken().texts[key])


def terms(key: str) -> Mapping[str, str]:
    """The texts of a map: words for terms of our own."""
    found: Mapping[str, str] = spoken().texts[key]
    return found


def entries(key: str) -> tuple[Mapping[str, Any], ...]:
    """The maps of a list."""
    return tuple(spoken().texts[key])
