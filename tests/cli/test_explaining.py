"""Help where the question arises: fields, findings, completion. One source for all of it."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from dossier.buildfile.fields import every_field, look_up
from dossier.buildfile.schema import build_schema, flat
from dossier.cli.completion import SHELLS
from dossier.cli.field import reference_page
from dossier.cli.main import main
from dossier.findings.every import RULES


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


def test_unknown_field_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """A mistyped field is exit 2 with the nearest name."""
    assert main(["field", "cables.insolation"]) == 2
    assert "dossier field insulation" in capsys.readouterr().err


def test_reference_page_has_every_field() -> None:
    """The reference page is complete."""
    page = reference_page()
    assert all(f"`{one.name}`: {one.title}" in page and one.description in page for one in every_field().values())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_every_finding_is_explained(rule: object, capsys: pytest.CaptureFixture[str]) -> None:
    """``finding CODE`` says why, how to fix it, and the source."""
    assert main(["finding", getattr(rule, "code")]) == 0  # noqa: B009
    said = " ".join(capsys.readouterr().out.split())
    assert "why:" in said
    assert "fix:" in said
    assert "source:" in said


def test_unknown_finding_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    """A mistyped finding is exit 2 with the nearest code."""
    assert main(["finding", "fuse-above-ampacty"]) == 2
    assert "dossier finding fuse-above-ampacity" in capsys.readouterr().err


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
