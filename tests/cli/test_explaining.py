"""Help where the question arises: fields, findings, completion. One source for all of it."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from dossier.assessment.options.measuring import method_for
from dossier.buildfile.fields import every_field, look_up
from dossier.buildfile.schema import build_schema, flat
from dossier.buildfile.search import TRADE_WORDS, search, stem
from dossier.cli.completion import SHELLS
from dossier.cli.field import reference_page
from dossier.cli.main import main
from dossier.findings.every import RULES
from dossier.findings.rule import Rule


def test_field_is_found_by_any_of_its_names() -> None:
    """A field answers to its full path, to a path with the user's own names, and to its last name."""
    by_path = look_up("cables.insulation")
    assert [one.name for one in by_path] == ["cables.*.insulation"]
    assert look_up("cables.main_feed.insulation") == look_up("cables.*.insulation") == by_path
    assert by_path[0] in look_up("insulation")
    assert [one.name for one in look_up("cables.feed.fuses.front.rating")] == ["cables.*.fuses.*.rating"]


def test_field_says_what_the_schema_says(capsys: pytest.CaptureFixture[str]) -> None:
    """What is printed is the schema's own description, bounds and default, and units that are accepted."""
    schema = flat(flat(build_schema()["$defs"]["cable"])["properties"]["insulation"])
    assert main(["field", "cables.insulation"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for part in (schema["description"], schema["x-minimum"], schema["x-maximum"], schema["x-default"], "degC or degF"):
        assert part in said


def test_every_field_says_what_it_moves() -> None:
    """Every field but those that only hold others: a size voltage, allowed current and fuses, a title words."""
    every = every_field()
    holds = {one.path[: end + 1] for one in every.values() for end in range(len(one.path) - 1)}
    assert [one.name for one in every.values() if not one.moves and one.path not in holds] == []
    moved = set(every["cables", "*", "size"].moves)
    assert {"voltage under load", "allowed current", "what is asked of the fuses"} <= moved
    assert every["cables", "*", "title"].moves == ("words of the record only",)


def test_field_says_how_it_is_measured(capsys: pytest.CaptureFixture[str]) -> None:
    """The instruction is that of the measuring page: one text for both."""
    method = method_for("batteries.main.internal_resistance")
    assert method is not None
    assert main(["field", "batteries.internal_resistance"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert f"to measure: {method.how}; tools: {method.instruments}" in said
    assert "moves: voltage under load, fault currents" in said


def test_unknown_field_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """A mistyped field is exit 2 with the nearest name."""
    assert main(["field", "cables.insolation"]) == 2
    assert "dossier field insulation" in capsys.readouterr().err


@pytest.mark.practice
@pytest.mark.parametrize(
    ("word", "fields"),
    [
        ("ground", ["cables.*.role", "cables.*.chassis"]),
        ("earth", ["cables.*.role", "cables.*.chassis"]),
        ("wire", ["cables", "cables.*.size"]),
        ("gauge", ["cables.*.size"]),
        ("amp", ["amplifiers"]),
        ("amps", ["amplifiers"]),
        ("cap", ["capacitor_banks"]),
        ("sub", ["speakers"]),
        ("relay", ["couplings"]),
        ("isolator", ["couplings"]),
        ("bridged", ["amplifiers.*.rated"]),
        ("AWG", ["cables.*.size"]),  # a synonym of the schema
    ],
)
def test_field_is_explained_by_what_the_trade_calls_it(
    word: str, fields: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """A word that is no field, but that the trade says, explains the fields it means, the likeliest first."""
    assert main(["field", word]) == 0
    said = capsys.readouterr().out
    assert f"calls `{word}` otherwise" in said
    assert re.findall(r"^([a-z_.*]+)  \(", said, re.MULTILINE)[: len(fields)] == fields


@pytest.mark.practice
@pytest.mark.parametrize(
    ("words", "fields"),
    [("battery weight", ["batteries.mass"]), ("ground cable", ["cables.role", "cables.chassis"])],
)
def test_fields_are_found_by_several_words(
    words: str, fields: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Several words are answered with the fields they may mean, the likeliest first, and none by its sound."""
    assert main(["field", *words.split()]) == 2
    said = " ".join(capsys.readouterr().err.split())
    named = re.findall("`dossier field ([a-z_.]+)`", said)
    assert named[: len(fields)] == fields
    assert "sound" not in said


def test_trade_words_lead_to_fields() -> None:
    """Every field that a trade word leads to exists, and no trade word hides a field of that very name."""
    names = {".".join(part for part in path if part != "*") for path in every_field()}
    for word, targets in TRADE_WORDS.items():
        assert set(targets) <= names, word
        assert stem(word) == word  # what is looked up is the singular
        assert search(word)[0].name.replace(".*", "") == targets[0], word


def test_every_field_of_a_word_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """A word that several fields are called by or hold explains the one of that name and lists all the others."""
    assert main(["field", "fuse"]) == 0
    said = capsys.readouterr().out
    explained, listed = said.split("also about `fuse`")
    assert "amplifiers.*.remote.fuse" in explained
    holding = {one.name.replace(".*", "") for path, one in every_field().items() if "fuse" in path[-1]}
    assert len(holding) > 3
    assert all(name in listed for name in holding - {"amplifiers.remote.fuse"})


def test_field_of_named_entries_says_what_they_hold(capsys: pytest.CaptureFixture[str]) -> None:
    """A section says which fields each of its entries takes."""
    assert main(["field", "cables"]) == 0
    said = capsys.readouterr().out
    assert "each holds:" in said
    assert "insulation" in said


def test_reference_page_has_every_field() -> None:
    """The reference page is complete."""
    page = reference_page()
    assert all(f"`{one.name}`: {one.title}" in page and one.description in page for one in every_field().values())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_every_finding_is_explained(rule: Rule, capsys: pytest.CaptureFixture[str]) -> None:
    """``finding CODE`` says why, how to fix it, an example, and the source."""
    assert main(["finding", rule.code]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for label, text in (
        ("why", rule.consequence), ("fix", rule.fix), ("for example", rule.example), ("source", rule.source)
    ):  # fmt: skip
        assert f"{label}: {' '.join(text.split())}" in said


def test_unknown_finding_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """A mistyped finding is exit 2 with the nearest code."""
    assert main(["finding", "fuse-above-ampacty"]) == 2
    assert "dossier finding fuse-above-ampacity" in capsys.readouterr().err


@pytest.mark.practice
@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("fuse-too-big", "fuse-above-ampacity"),
        ("fuse too small", "fuse-below-load"),
        ("wire too thin", "conductor-overloaded"),
        ("unfused", "conductor-unprotected"),
        ("amp shuts down", "amplifier-shuts-down"),
        ("battery dead", "key-off-drain"),
        ("weight", "mass-not-stated"),
    ],
)
def test_finding_is_found_by_words(words: str, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Words that are no code are answered with the codes that they may mean, few enough to read."""
    assert main(["finding", *words.split()]) == 2
    named = re.findall("`dossier finding ([a-z-]+)`", " ".join(capsys.readouterr().err.split()))
    assert first in named
    assert len(named) <= 5


def test_words_without_meaning_find_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    """Where nothing fits, nothing is suggested but the list."""
    assert main(["finding", "zzzz"]) == 2
    assert main(["field", "zzzz"]) == 2
    assert capsys.readouterr().err.count("lists all of them") == 2


@pytest.mark.parametrize("shell", list(SHELLS))
def test_completion_script_is_sound(shell: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The shell itself finds no fault in its script."""
    assert main(["completion", shell]) == 0
    script = tmp_path / "script"
    script.write_text(capsys.readouterr().out, encoding="utf-8")
    if shutil.which(shell) is None:
        pytest.skip(f"no {shell} here")
    done = subprocess.run([shell, "-n", str(script)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash here")
@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["dossier", "ch"], {"check"}),
        (["dossier", "check", "--sh"], {"--show"}),
        (["dossier", "check", "--show", ""], {"full", "concise", "json"}),
        (["dossier", "new", "--kind", "s"], {"smallest"}),
        (["dossier", "finding", "fuse-above"], {"fuse-above-ampacity"}),
        (["dossier", "field", "cables.insu"], {"cables.insulation"}),
    ],
)
def test_bash_offers(words: list[str], offered: set[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In bash, what fits is offered and nothing else."""
    main(["completion", "bash"])
    script = tmp_path / "dossier.bash"
    script.write_text(capsys.readouterr().out, encoding="utf-8")
    listed = " ".join(f"'{word}'" for word in words)
    asked = f"COMP_WORDS=({listed}); COMP_CWORD={len(words) - 1}; _dossier"
    code = f'. "{script}"; {asked}; printf "%s\\n" "${{COMPREPLY[@]}}"'
    done = subprocess.run(["bash", "-c", code], capture_output=True, text=True, cwd=tmp_path)
    assert set(done.stdout.split()) - {"dossier.bash"} == offered
