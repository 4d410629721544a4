"""What a person or a program meets at the command line: help, exit codes, streams, pipes, colours."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from dossier import __version__
from dossier.buildfile.starters import plain_starter
from dossier.cli.main import COMMANDS

PATH_TO_HERE = Path(__file__).parents[2]


def dossier(*words: str, cwd: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """One run of the command in its own process."""
    environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "DOSSIER_TRACEBACK")}
    environment |= {"PYTHONPATH": str(PATH_TO_HERE), **variables}
    return subprocess.run(
        [sys.executable, "-m", "dossier", *words], cwd=cwd, env=environment, capture_output=True,
        encoding="utf-8", timeout=120,
    )  # fmt: skip


@pytest.fixture
def build(tmp_path: Path) -> Path:
    """A small valid build file."""
    path = tmp_path / "car.yaml"
    path.write_text(plain_starter("smallest"), encoding="utf-8")
    return path


def test_version(tmp_path: Path) -> None:
    """``python -m dossier --version`` says which version this is, and which libraries draw."""
    first, *drawn = dossier("--version", cwd=tmp_path).stdout.splitlines()
    assert first == f"dossier {__version__}"
    assert {"Python", "numpy", "reportlab", "matplotlib", "pikepdf", "qpdf", "zlib", "typeface", "processor"} <= {
        line.strip().partition(":")[0] for line in drawn
    }


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_every_command_explains_itself(command: object, tmp_path: Path) -> None:
    """Help of every command has an example of it; only where a program would look at them, its exit codes in a line."""
    name = getattr(command, "name")  # noqa: B009
    done = dossier(name, "--help", cwd=tmp_path)
    assert done.returncode == 0
    assert f"  dossier {name}" in done.stdout
    assert "130  interrupted" not in done.stdout
    lines = [line for line in done.stdout.splitlines() if line.startswith("exit code: 0 ")]
    assert len(lines) == (name in ("check", "write", "verify"))


def test_exit_codes_are_explained_once(tmp_path: Path) -> None:
    """The table of exit codes stands in the main help."""
    assert "130  interrupted" in dossier("--help", cwd=tmp_path).stdout


@pytest.mark.parametrize("words", [(), ("no-such-command",), ("check",), ("check", "--no-such-option", "x"),
                                   ("write", "car.yaml", "-j", "0"), ("write", "car.yaml", "-j", "many")])  # fmt: skip
def test_unusable_call_is_exit_2(words: tuple[str, ...], tmp_path: Path) -> None:
    """A call that cannot be used is exit 2 without a traceback."""
    done = dossier(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_unusable_build_is_exit_2_with_position(build: Path) -> None:
    """A build file with a mistake is exit 2; the mistake is on standard error with file:line:column."""
    build.write_text(plain_starter("smallest") + "batterys: {}\n", encoding="utf-8")
    done = dossier("check", "car.yaml", "--show", "concise", cwd=build.parent)
    line = len(plain_starter("smallest").splitlines()) + 1
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"car.yaml:{line}:1: error[unknown-key]")


@pytest.mark.long
def test_findings_decide_the_exit_code(build: Path) -> None:
    """No stop is exit 0; a stop is exit 1; ``--strict`` counts a caution."""
    assert dossier("check", "car.yaml", cwd=build.parent).returncode == 0
    text = plain_starter("smallest")
    build.write_text(text.replace("rating: 50 A", "rating: 300 A"), encoding="utf-8")
    assert dossier("check", "car.yaml", cwd=build.parent).returncode == 1
    build.write_text(text.replace("rating: 125 A", "rating: 90 A"), encoding="utf-8")  # below its load
    assert dossier("check", "car.yaml", cwd=build.parent).returncode == 0
    assert dossier("check", "car.yaml", "--strict", cwd=build.parent).returncode == 1


def test_json_has_the_same_keys_for_good_and_bad(build: Path) -> None:
    """``--show json`` prints one object on standard output whatever came of it, and nothing else."""
    good = dossier("check", "car.yaml", "--show", "json", cwd=build.parent)
    build.write_text("format: 1\n", encoding="utf-8")
    bad = dossier("check", "car.yaml", "--show", "json", cwd=build.parent)
    first, second = json.loads(good.stdout), json.loads(bad.stdout)
    assert list(first) == list(second) == ["format", "file", "exit", "diagnostics", "results"]
    assert (first["exit"], second["exit"], second["results"]) == (0, 2, None)
    assert second["diagnostics"][0]["line"] == 1
    assert good.stderr == bad.stderr == ""


@pytest.mark.long
def test_quiet_says_nothing_when_nothing_is_wrong(build: Path) -> None:
    """``--quiet`` leaves only errors; the exit code still tells."""
    for words in (("check", "car.yaml", "--quiet"), ("write", "car.yaml", "--quick", "--quiet")):
        done = dossier(*words, cwd=build.parent)
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_colour_only_where_asked_for(build: Path) -> None:
    """A pipe gets no colour; FORCE_COLOR paints it, NO_COLOR wins; the words are the same."""
    build.write_text("format: 1\n", encoding="utf-8")
    plain = dossier("check", "car.yaml", cwd=build.parent)
    forced = dossier("check", "car.yaml", cwd=build.parent, FORCE_COLOR="1")
    never = dossier("check", "car.yaml", cwd=build.parent, FORCE_COLOR="1", NO_COLOR="1")
    assert "\x1b" not in plain.stderr
    assert "\x1b[1;31m" in forced.stderr
    assert never.stderr == plain.stderr
    unpainted = forced.stderr
    for code in ("1;31", "2", "0"):
        unpainted = unpainted.replace(f"\x1b[{code}m", "")
    assert unpainted == plain.stderr


@pytest.mark.parametrize("locale", ["C", "POSIX", "no_SUCH.locale"])
def test_output_is_utf8_in_any_locale(locale: str, build: Path) -> None:
    """What is printed into a pipe is UTF-8 whatever the locale says."""
    text = plain_starter("smallest").replace("Long note while driving", "Ünderfloor – 長い音")
    build.write_text(text, encoding="utf-8")
    done = dossier("check", "car.yaml", cwd=build.parent, LC_ALL=locale, PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")
    assert done.returncode == 0
    assert "Ünderfloor – 長い音" in done.stdout


def test_reader_that_goes_away(build: Path) -> None:
    """A pipe closed early ends the command without a traceback and without success."""
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", f'"{sys.executable}" -m dossier field --all | true'],
        cwd=build.parent, env={**os.environ, "PYTHONPATH": str(PATH_TO_HERE)}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.stderr == ""
    assert done.returncode in (0, 3)  # 0 where the pipe took everything before its reader left


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_full_standard_output(build: Path) -> None:
    """Standard output that takes nothing is exit 3, said in a sentence."""
    done = subprocess.run(
        ["bash", "-c", f'"{sys.executable}" -m dossier check car.yaml >/dev/full'],
        cwd=build.parent, env={**os.environ, "PYTHONPATH": str(PATH_TO_HERE)}, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 3
    assert "error[output-not-written]" in done.stderr
    assert "Traceback" not in done.stderr


def test_error_of_our_own_is_exit_4(build: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip  # noqa: E501
    """An error of the program itself is exit 4 and says that it is not the user's fault."""
    import dossier.assessment.assess
    from dossier.cli.main import main

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("of our own")

    monkeypatch.setattr(dossier.assessment.assess, "assess", broken)
    monkeypatch.delenv("DOSSIER_TRACEBACK", raising=False)
    assert main(["check", str(build)]) == 4
    assert "not of your build file" in capsys.readouterr().err


@pytest.mark.parametrize("command", [("check",), ("write", "--quick", "-q"), ("compare", "--quick")])
def test_load_case_that_cannot_be_followed(
    command: tuple[str, ...], build: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no operating point is found the load case is refused at its line: exit 2, nothing is guessed."""
    import dossier.assessment.sag.load_cases
    from dossier.circuit.newton import ConvergenceError
    from dossier.cli.main import main

    def lost(*_: object, **__: object) -> None:
        raise ConvergenceError("no operating point found at 1.25 s")

    monkeypatch.setattr(dossier.assessment.sag.load_cases, "simulate", lost)
    monkeypatch.chdir(build.parent)
    assert main([command[0], "car.yaml", *command[1:]]) == 2
    said = capsys.readouterr().err
    line = next(n for n, row in enumerate(build.read_text().splitlines(), 1) if row.startswith("  long_note:"))
    assert "error[load-case-not-computed]: load case `long_note` cannot be computed" in said
    assert f"car.yaml:{line}:3" in said
    assert not (build.parent / "output").exists()


def test_check_imports_no_drawing(build: Path) -> None:
    """``check`` starts quickly: neither drawing nor PDF libraries are imported, nor scipy."""
    code = (
        "import sys; from dossier.cli.main import main; main(['check', 'car.yaml', '--quiet']); "
        "print([m for m in ('matplotlib', 'reportlab', 'pikepdf', 'scipy') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=build.parent, env={**os.environ, "PYTHONPATH": str(PATH_TO_HERE)},
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.stdout.strip() == "[]"


def test_compare_in_a_hurry_without_options(tmp_path: Path) -> None:
    """A build that states no option is compared with the ways nobody had to write, also without bands."""
    done = dossier("compare", "--quick", str(PATH_TO_HERE / "demo_builds" / "hatchback-first-amp.yaml"), cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "one size up" in done.stdout


@pytest.mark.long
def test_check_takes_several_files(build: Path) -> None:
    """Each file gets its verdict or its complaint, in order; the exit code is the worst; JSON is a list of objects."""
    (build.parent / "bad.yaml").write_text(plain_starter("smallest") + "batterys: {}\n", encoding="utf-8")
    done = dossier("check", "bad.yaml", "car.yaml", "--show", "concise", cwd=build.parent)
    assert done.returncode == 2
    assert "bad.yaml:" in done.stderr
    assert "\ncar.yaml: " in f"\n{done.stdout}"
    done = dossier("check", "car.yaml", "bad.yaml", "--show", "json", cwd=build.parent)
    assert done.returncode == 2
    assert [(one["file"], one["exit"]) for one in json.loads(done.stdout)] == [("car.yaml", 0), ("bad.yaml", 2)]
