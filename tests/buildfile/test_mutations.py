"""Damaged text, at random: only ever a Build or a BuildFileError with positions."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.buildfile.model import Build
from dossier.buildfile.reader import BuildFileError, read_build_text

EVERYTHING = (Path(__file__).parent / "examples" / "good" / "everything.yaml").read_text()
PIECES = [
    *(
        "{",
        "}",
        "[",
        "]",
        ":",
        ": ",
        ",",
        "'",
        '"',
        "#",
        "&a ",
        "*a",
        "!",
        "|",
        ">",
        "-",
        "- ",
        "?",
        "%",
        "@",
        "\n",
        "\t",
    ),
    *(
        "null",
        "true",
        "no",
        "~",
        "<<: ",
        "0x1",
        "1e5",
        ".nan",
        "5 m",
        "5",
        "12 V",
        "- - -",
        "---\n",
        "...\n",
        "\\",
        "é",
        "\0",
    ),
]


def outcome(text: bytes) -> Build | BuildFileError:
    """What reading comes to; any other exception fails the test."""
    try:
        return read_build_text(text, "x", "x.yaml")
    except BuildFileError as error:
        refused = error
    assert refused.diagnostics
    assert all(d.where is not None and d.headline and d.code for d in refused.diagnostics)
    return refused


def damaged(text: str, chance: random.Random) -> str:
    """A text with a few pieces cut out, put in, doubled or swapped."""
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(text))
        to = min(len(text), at + chance.choice((1, 1, 2, 5, 30)))
        action = chance.randrange(4)
        if action == 0:
            text = text[:at] + text[to:]
        elif action == 1:
            text = text[:at] + chance.choice(PIECES) + text[at:]
        elif action == 2:
            text = text[:at] + chance.choice(PIECES) + text[to:]
        else:
            text = text[:to] + text[at:to] + text[to:]
    return text


def run(seed: int, rounds: int) -> tuple[int, int]:
    """How many damaged files were read and how many refused."""
    chance = random.Random(seed)
    results = [outcome(damaged(EVERYTHING, chance).encode()) for _ in range(rounds)]
    read = sum(isinstance(result, Build) for result in results)
    return read, rounds - read


@pytest.mark.long
def test_damaged_text() -> None:
    """Two hundred damaged files are read or refused, never anything else."""
    read, refused = run(1, 200)
    assert read > 0
    assert refused > 50


@pytest.mark.long
def test_damaged_text_at_length() -> None:
    """Fifteen hundred more."""
    read, refused = run(2, 1500)
    assert read > 15  # one in a hundred: enough to show that the test does not only refuse
    assert refused > 500


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes(content: bytes) -> None:
    """Any bytes at all are refused politely."""
    assert isinstance(outcome(content), BuildFileError)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.text(max_size=30),
    st.sampled_from(["title: Every field once", "length: 17 ft", "engine: cruise", "  rear:"]),
)
def test_any_text_in_a_field(text: str, place: str) -> None:
    """Any text in any place is read or refused politely; quoted properly, it is text and never markup."""
    key = place.split(":", maxsplit=1)[0]
    outcome(EVERYTHING.replace(place, f"{key}: {text}").encode("utf-8", "surrogatepass"))
