"""Everything that goes wrong while writing: the old dossier is intact or the new one complete, nothing else is left."""

from __future__ import annotations

import contextlib
import os
import random
import resource
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pikepdf import Pdf

from dossier.buildfile.file_names import file_stem
from dossier.buildfile.starters import plain_starter
from dossier.cli.main import main

ROOT = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}
WRITE = [sys.executable, "-m", "dossier", "write", "car.yaml", "--quick", "-o", "out"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a build and an older dossier of it."""
    (tmp_path / "car.yaml").write_text(plain_starter("smallest"), encoding="utf-8")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "car.pdf").write_bytes(b"the old dossier")
    return tmp_path


def is_sound(folder: Path) -> str:
    """``old`` or ``new``; anything else in the folder, or a damaged file, fails."""
    assert [file.name for file in (folder / "out").iterdir()] == ["car.pdf"]
    content = (folder / "out" / "car.pdf").read_bytes()
    if content == b"the old dossier":
        return "old"
    with Pdf.open(folder / "out" / "car.pdf") as pdf:
        assert len(pdf.pages) > 5
    return "new"


@pytest.mark.long
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize("builds", [("van.yaml", "car.yaml"), ("van.yaml",)])
def test_interrupted(number: signal.Signals, jobs: str, builds: tuple[str, ...], folder: Path) -> None:
    """Ctrl-C and a polite request to end: exit 130, nothing half-written, no process left behind."""
    (folder / "van.yaml").write_text(plain_starter("competition"), encoding="utf-8")
    command = [*WRITE[:4], *builds, *WRITE[5:], "-j", jobs]
    process = subprocess.Popen(command, cwd=folder, env=ENVIRONMENT, stderr=subprocess.PIPE, stdout=subprocess.PIPE,
                               start_new_session=True)  # fmt: skip
    time.sleep(1.2)
    process.send_signal(number)
    _, said = process.communicate(timeout=30)
    assert process.returncode == 130
    assert b"Traceback" not in said
    assert is_sound(folder) in ("old", "new")
    with pytest.raises(ProcessLookupError):
        os.killpg(process.pid, 0)


@pytest.mark.long
@pytest.mark.skipif(not hasattr(os, "O_TMPFILE"), reason="no files without a name on this system")
def test_killed_at_any_moment(folder: Path) -> None:
    """Killed without warning at twelve moments: old or new, nothing else; the next run clears temporary files."""
    chance = random.Random(5)
    temporary = folder / "temporary"
    temporary.mkdir()
    environment = {**ENVIRONMENT, "TMPDIR": str(temporary)}
    for _ in range(12):
        process = subprocess.Popen(WRITE, cwd=folder, env=environment, stdout=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.3, 3.0))
        process.kill()
        process.wait()
        is_sound(folder)
    subprocess.run(WRITE, cwd=folder, env=environment, stdout=subprocess.DEVNULL, check=True)
    assert is_sound(folder) == "new"
    assert list(temporary.iterdir()) == []


@pytest.mark.long
def test_processes_leave_no_temporary_files(folder: Path) -> None:
    """Nor do the processes that share the work, when they end as they should."""
    (folder / "temporary").mkdir()
    (folder / "bus.yaml").write_text(plain_starter("smallest"), encoding="utf-8")
    command = [*WRITE[:4], "bus.yaml", "car.yaml", *WRITE[5:], "-q", "-j", "2"]
    subprocess.run(command, cwd=folder, env={**ENVIRONMENT, "TMPDIR": str(folder / "temporary")}, check=True)
    assert list((folder / "temporary").iterdir()) == []


@pytest.mark.long
def test_killed_while_writing(folder: Path) -> None:
    """Killed between the first byte and the last: the old dossier, nothing else."""
    code = (
        "import os, signal, dossier.record.files as files\n"
        "write = os.write\n"
        "def dying(handle, data):\n"
        "    write(handle, data[:1000]); os.kill(os.getpid(), signal.SIGKILL)\n"
        "files.os.write = dying\n"
        "from pathlib import Path\n"
        "files.replace_file(Path('out/car.pdf'), b'x' * 5000)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=folder, env=ENVIRONMENT)
    assert done.returncode == -signal.SIGKILL
    if hasattr(os, "O_TMPFILE"):
        assert is_sound(folder) == "old"
    assert (folder / "out" / "car.pdf").read_bytes() == b"the old dossier"


@pytest.mark.long
def test_two_runs_at_once(folder: Path) -> None:
    """Two runs on the same output: both succeed, one complete dossier, nothing else."""
    runs = [subprocess.Popen(WRITE, cwd=folder, env=ENVIRONMENT, stdout=subprocess.DEVNULL) for _ in range(2)]
    assert [run.wait(60) for run in runs] == [0, 0]
    assert is_sound(folder) == "new"


@pytest.mark.long
@pytest.mark.parametrize("room", [0, 4096, 60_000])
def test_full_disk(room: int, folder: Path) -> None:
    """A system that takes no more after some bytes, temporary files included: exit 3, the old dossier."""
    done = subprocess.run(
        WRITE, cwd=folder, env=ENVIRONMENT, capture_output=True, text=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (room, room)),
    )  # fmt: skip
    assert done.returncode == 3
    assert "error[output-not-written]: cannot " in done.stderr
    assert "Traceback" not in done.stderr
    assert is_sound(folder) == "old"


def may_mount() -> bool:
    """Whether a small disk of our own can be mounted where nobody else sees it."""
    with contextlib.suppress(OSError):
        return subprocess.run(["unshare", "-m", "mount", "-t", "tmpfs", "none", "/mnt"]).returncode == 0
    return False


@pytest.mark.long
@pytest.mark.skipif(not may_mount(), reason="no right to mount a small disk")
@pytest.mark.parametrize(
    ("mount", "reason"), [("size=64k", "No space left on device"), ("size=1m,ro", "It is write-protected")]
)
def test_small_or_read_only_disk(mount: str, reason: str, folder: Path) -> None:
    """An output folder on a disk that is full or read-only: exit 3, the reason, nothing half-written."""
    disk = f'mount -t tmpfs -o size=1m none out && echo old > out/car.pdf && mount -o "remount,{mount}" none out'
    code = f'{disk} && {shlex.join(WRITE)}; echo "exit $?"; ls -A out; cat out/car.pdf'
    done = subprocess.run(
        ["unshare", "-m", "sh", "-c", code], cwd=folder, env=ENVIRONMENT, capture_output=True, text=True
    )
    assert done.stdout.split() == ["exit", "3", "car.pdf", "old"], done
    assert f"error[output-not-written]: cannot write out/car.pdf: {reason}" in done.stderr


@pytest.mark.long
def test_output_is_open(folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A reader that has the old dossier open keeps it whole; where the system forbids the exchange: exit 3."""
    monkeypatch.chdir(folder)
    with (folder / "out" / "car.pdf").open("rb") as reader:
        assert reader.read(7) == b"the old"
        assert main(["write", "car.yaml", "--quick", "-q", "-o", "out"]) == 0
        assert reader.read() == b" dossier"
    assert is_sound(folder) == "new"

    def held(*_: object) -> None:  # what Windows says of a file that a viewer holds open
        raise PermissionError(13, "The process cannot access the file")

    (folder / "out" / "car.pdf").write_bytes(b"the old dossier")
    monkeypatch.setattr(os, "replace", held)
    assert main(["write", "car.yaml", "--quick", "-q", "-o", "out"]) == 3
    assert "close the file if a viewer" in " ".join(capsys.readouterr().err.split())
    monkeypatch.undo()
    assert is_sound(folder) == "old"


@pytest.mark.long
@pytest.mark.parametrize("place", ["/proc/none", "car.yaml", "car.yaml/below"])
def test_folder_that_cannot_be(place: str, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An output folder that cannot be made, or is a file: exit 3."""
    monkeypatch.chdir(folder)
    assert main(["write", "car.yaml", "--quick", "-o", place]) == 3
    assert (folder / "car.yaml").read_text(encoding="utf-8") == plain_starter("smallest")


@pytest.mark.long
def test_output_is_a_directory(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a directory bears the dossier's name: exit 3, the directory unharmed."""
    monkeypatch.chdir(folder)
    (folder / "out" / "car.pdf").unlink()
    (folder / "out" / "car.pdf").mkdir()
    assert main(["write", "car.yaml", "--quick", "-o", "out"]) == 3
    assert (folder / "out" / "car.pdf").is_dir()


@pytest.mark.long
@pytest.mark.skipif(hasattr(os, "geteuid") and os.geteuid() == 0, reason="root may write anywhere")
def test_write_protected(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write-protected dossier or folder: exit 3, unchanged."""
    monkeypatch.chdir(folder)
    (folder / "out" / "car.pdf").chmod(0o444)
    assert main(["write", "car.yaml", "--quick", "-o", "out"]) == 3
    (folder / "out").chmod(0o555)
    assert main(["write", "car.yaml", "--quick", "-o", "out"]) == 3
    (folder / "out").chmod(0o755)
    assert is_sound(folder) == "old"


@pytest.mark.long
def test_output_through_a_link(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A symbolic link in the dossier's place is replaced; what it points to is not written to."""
    monkeypatch.chdir(folder)
    (folder / "precious").write_bytes(b"mine")
    (folder / "out" / "car.pdf").unlink()
    (folder / "out" / "car.pdf").symlink_to(folder / "precious")
    assert main(["write", "car.yaml", "--quick", "-q", "-o", "out"]) == 0
    assert (folder / "precious").read_bytes() == b"mine"
    assert is_sound(folder) == "new"


@pytest.mark.parametrize(
    ("name", "stem"),
    [("car", "car"), ("Ünder boot 車", "Ünder boot 車"), ("a:b", "a_b"), ('x"<>|?*', "x______"), ("dots..", "dots"),
     ("con", "_con"), ("LPT1.old", "_LPT1.old"), ("console", "console"), (" ..", "_"),
     (".car", "_.car"), ("é" * 200, "é" * 100), ("a\udc80\u202eb\n", "a__b_")],
)  # fmt: skip
def test_names_every_system_accepts(name: str, stem: str) -> None:
    """Output names keep the build's name but for what a Windows file may not have."""
    assert file_stem(name) == stem == file_stem(stem)
