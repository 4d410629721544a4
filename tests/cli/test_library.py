"""The four calls of the library, as the README shows them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import textwrap
from pathlib import Path

import jsonschema
import pytest

import dossier
from dossier.buildfile.reader import option_build, read_build_text
from dossier.buildfile.starters import plain_starter
from dossier.record.results_schema import printed

ROOT = Path(__file__).parents[2]


def test_four_calls(tmp_path: Path) -> None:
    """Read, assess, look at the figures, write: each does what its name says."""
    path = tmp_path / "car.yaml"
    path.write_text(plain_starter("smallest"), encoding="utf-8")
    build = dossier.read(path)
    results = dossier.assess(build)
    figures = dossier.as_json(build, results)
    files = dossier.write(build, results, tmp_path / "out", results_json=True)
    assert figures["verdict"]["sentence"] == results.verdict.sentence
    assert [file.name for file in files] == ["car.pdf", "car.results.json"]
    assert files[0].read_bytes().startswith(b"%PDF-1.7")


def test_results_are_frozen(tmp_path: Path) -> None:
    """Nobody writes to a result, not even into its traces."""
    path = tmp_path / "car.yaml"
    path.write_text(plain_starter("smallest"), encoding="utf-8")
    results = dossier.assess(dossier.read(path))
    with pytest.raises(AttributeError):
        results.verdict = results.verdict  # type: ignore[misc]
    with pytest.raises(ValueError, match="read-only"):
        results.load_cases[0].amplifiers[0].mean[0] = 99.0


def test_what_is_wrong_is_data(tmp_path: Path) -> None:
    """A build file that cannot be used raises with every problem and its place."""
    path = tmp_path / "car.yaml"
    path.write_text("format: 1\n", encoding="utf-8")
    with pytest.raises(dossier.BuildFileError) as caught:
        dossier.read(path)
    assert all(one.where is not None for one in caught.value.diagnostics)


def test_import_is_cheap() -> None:
    """``import dossier`` imports nothing heavy; each call imports what it needs."""
    code = "import sys, dossier; print([m for m in ('numpy', 'yaml', 'matplotlib', 'pathlib') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-S", "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_every_public_name_is_there() -> None:
    """Everything in ``__all__`` can be had, and an unknown name is an AttributeError."""
    assert all(getattr(dossier, name) is not None for name in dossier.__all__)
    with pytest.raises(AttributeError):
        dossier.no_such_name  # noqa: B018


def test_documented_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The example in the package's docstring, and any in the README, run as printed."""
    example = textwrap.dedent((dossier.__doc__ or "").partition("::\n")[2])
    assert "dossier.write(" in example
    readme = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    (tmp_path / "demo_builds").symlink_to(ROOT / "demo_builds")
    (tmp_path / "car.yaml").write_text(plain_starter("smallest"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for block in (example, *readme):
        exec(compile(block, "example", "exec"), {})
    assert (tmp_path / "output" / "car.pdf").is_file()


def test_options_of_the_readme_fit_the_starter() -> None:
    """The options block of the README, added to the starter that ``dossier new`` writes, is read as two options."""
    blocks = re.findall(r"```yaml\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    block = next(one for one in blocks if one.startswith("options:"))
    build = read_build_text(f"{plain_starter('daily')}\n{block}".encode(), "car", "car.yaml")
    assert list(build.options) == ["thicker_feed", "fresh_battery"]
    thicker = option_build(build, "thicker_feed").cables["feed"].size
    assert thicker is not None
    assert thicker.text == "70 mm2"
    assert option_build(build, "fresh_battery").batteries["starter"].internal_resistance is None


SCHEMA = ROOT / "schemas" / "results.schema.json"


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(path.stem for path in (ROOT / "demo_builds").glob("*.yaml")))
def test_results_json_obeys_its_schema(name: str) -> None:
    """What is written as results.json is what the published schema describes, by an independent validator."""
    validator = jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8")))
    build = dossier.read(ROOT / "demo_builds" / f"{name}.yaml")
    validator.validate(dossier.as_json(build, dossier.assess(build)))


def test_results_schema_is_up_to_date() -> None:
    """The published schema is valid, and says what the result classes are."""
    text = SCHEMA.read_text(encoding="utf-8")
    jsonschema.Draft202012Validator.check_schema(json.loads(text))
    assert text == printed(), "run: python -m dossier.record.results_schema > schemas/results.schema.json"
