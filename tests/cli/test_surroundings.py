"""Whatever surrounds a run, settings, locale, home, fonts, the place it is installed in: the same bytes or words."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from test_faults import ENVIRONMENT, WRITE, may_mount

from dossier.buildfile.starters import plain_starter

RC = "backend: TkAgg\nfont.size: 40\naxes.facecolor: red\ntext.usetex: True\npdf.fonttype: 3\n"
ODD_RC = "nonsense\nbackend: module://evil\nfont.size: 3\nfont.size: huge\n"
SURROUNDINGS = {
    "settings of the libraries, another locale, zone, hash seed and number of threads": {
        "RL_pageCompression": "0", "RL_invariant": "0", "RL_defaultPageSize": "A3", "RL_ttfAsciiReadable": "1",
        "RL_allowTableBoundsErrors": "1", "RL_useA85": "1", "LC_ALL": "tr_TR.UTF-8", "LANG": "de_DE.UTF-8",
        "TZ": "Pacific/Chatham", "PYTHONHASHSEED": "4711", "OPENBLAS_NUM_THREADS": "7", "OMP_NUM_THREADS": "7",
    },
    "settings that nobody understands, the bare locale, warnings are errors": {
        "MPLBACKEND": "nonsense", "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0",
        "PYTHONWARNINGS": "error",
    },
    "no home, optimised": {
        "HOME": "/proc/none", "XDG_CACHE_HOME": "/proc/none", "XDG_CONFIG_HOME": "/proc/none", "PYTHONOPTIMIZE": "2",
    },
}  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a build."""
    (tmp_path / "car.yaml").write_text(plain_starter("smallest"), encoding="utf-8")
    return tmp_path


def written(folder: Path, *before: str, **variables: str) -> bytes:
    """The dossier, written in silence; its file is gone afterwards."""
    done = subprocess.run(
        [*before, *WRITE, "-q"], cwd=folder, env={**ENVIRONMENT, **variables}, capture_output=True, text=True
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    path = folder / "out" / "car.pdf"
    content = path.read_bytes()
    path.unlink()
    return content


@pytest.mark.long
def test_surroundings_change_no_byte(folder: Path) -> None:
    """The same bytes, and no word more, whatever settings, locale, home and environment are."""
    expected = written(folder)
    for what, variables in SURROUNDINGS.items():
        rc = ODD_RC if "nobody" in what else RC
        (folder / "matplotlibrc").write_text(rc, encoding="utf-8")
        assert written(folder, **variables) == expected, what


@pytest.mark.long
@pytest.mark.skipif(not may_mount(), reason="no right to hide the fonts of the system")
def test_no_fonts_on_the_system(folder: Path) -> None:
    """A system without any font, and with no list of fonts from before: the same bytes."""
    expected = written(folder)
    places = [place for place in ("/usr/share/fonts", "/usr/local/share/fonts") if Path(place).is_dir()]
    hide = ["true", *(f"mount -t tmpfs none {place}" for place in places)]
    script = f'{" && ".join(hide)} && exec "$@"'
    assert written(folder, "unshare", "-m", "sh", "-c", script, "sh", MPLCONFIGDIR=str(folder / "empty")) == expected


@pytest.mark.long
def test_settings_that_are_no_text(folder: Path) -> None:
    """A matplotlibrc that nobody can read is named in a sentence, and is not called a fault of ours."""
    (folder / "matplotlibrc").write_bytes(b"\xff\xfe\x00")
    done = subprocess.run(WRITE, cwd=folder, env=ENVIRONMENT, capture_output=True, text=True)
    assert done.returncode == 3
    assert "matplotlibrc: is not a text in UTF-8" in done.stderr
    assert "Traceback" not in done.stderr


SPY = """
import json, os, sys
touched = set()
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
def heard(event, arguments):
    if event == "open" and arguments[2] & WRITES:
        touched.add(str(arguments[0]))
    elif event in ("os." + act for act in "mkdir remove rmdir rename link symlink chmod truncate".split()):
        touched.update(str(one) for one in arguments[:2] if isinstance(one, (str, os.PathLike)))
sys.addaudithook(heard)
from dossier.cli.main import main
code = main(sys.argv[1:])
print(json.dumps([code, sorted(touched)]))
"""


@pytest.mark.long
def test_writes_nowhere_else(folder: Path) -> None:
    """Only the output folder, a temporary one and the drawing library's own cache are ever written to.

    So a read-only home, checkout or ``site-packages`` is no obstacle.
    """
    (folder / "temporary").mkdir()
    places = {"TMPDIR": str(folder / "temporary"), "MPLCONFIGDIR": str(folder / "cache")}
    done = subprocess.run(
        [sys.executable, "-c", SPY, *WRITE[3:], "-q", "--results", "--tables"],
        cwd=folder, env={**ENVIRONMENT, **places, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    code, touched = json.loads(done.stdout)
    allowed = (folder / "out", folder / "temporary", folder / "cache", Path("/dev/null"), Path("/proc/self/fd"))
    stray = [
        one for one in touched
        if not one.partition(".")[0].isdigit() and not any((folder / one).is_relative_to(place) for place in allowed)
    ]  # fmt: skip
    assert code == 0
    assert touched
    assert stray == []


@pytest.mark.long
@pytest.mark.skipif(not may_mount() or not hasattr(os, "geteuid"), reason="no right to become somebody else")
def test_read_only_site_packages_and_no_home(folder: Path) -> None:
    """A user without a home, on a system of which nothing but the output may be written to: the same bytes."""
    expected = written(folder)
    (folder / "out").chmod(0o777)
    (folder / "temporary").mkdir()
    (folder / "temporary").chmod(0o777)
    binds = " && ".join(f"mount --bind {shlex.quote(str(folder / name))} {shlex.quote(str(folder / name))}"
                        for name in ("out", "temporary"))  # fmt: skip
    script = f'{binds} && mount -o remount,bind,ro / && exec "$@"'
    command = ("unshare", "-m", "sh", "-c", script, "sh")
    home = {"HOME": "/nonexistent", "TMPDIR": str(folder / "temporary")}
    done = subprocess.run(
        [*command, *WRITE, "-q"], cwd=folder, env={**ENVIRONMENT, **home}, capture_output=True, text=True
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert (folder / "out" / "car.pdf").read_bytes() == expected
    assert list((folder / "temporary").iterdir()) == []
