"""How a command ends: quietly at Ctrl-C and at a closed pipe, in words at whatever else."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from livery.cli import livery, run

BESIDE_CLICK = """
import os, signal, sys
class Pressing:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Pressing())
sys.argv = ["livery", "keys"]
from livery.start import main
main()
"""


@pytest.mark.parametrize("module", ["click", "livery.cli.keys", "pydantic", "livery.cli._say"])
def test_ctrl_c_is_quiet_from_the_first_import_on(module: str) -> None:
    done = subprocess.run(
        [sys.executable, "-c", BESIDE_CLICK.format(module=module)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 130
    assert done.stderr.strip() == ""


def test_a_closed_pipe_is_quiet() -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "livery", "schema"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    assert process.stderr.read() == b""
    process.wait()


def test_a_full_disk_is_said_in_words() -> None:
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "livery", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert "no space left" in done.stderr
    assert "Traceback" not in done.stderr


def _breaking(error: Exception) -> None:
    raise error


def test_what_nobody_expected_names_the_file_and_how_to_report_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text("")
    monkeypatch.delenv("LIVERY_TRACEBACK", raising=False)
    monkeypatch.setattr(livery, "main", lambda *_, **__: _breaking(ZeroDivisionError("by zero")))
    assert run(["check", str(job)]) == 1
    said = capsys.readouterr().err
    assert said.startswith(f"{job}: error: ")
    assert "ZeroDivisionError: by zero" in said
    assert "LIVERY_TRACEBACK=1" in said
    assert "Traceback" not in said


def test_the_traceback_comes_where_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("LIVERY_TRACEBACK", "1")
    monkeypatch.setattr(livery, "main", lambda *_, **__: _breaking(KeyError("x")))
    assert run(["keys"]) == 1
    assert "Traceback" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (PermissionError(13, "Permission denied", "out.svg"), '"out.svg": permission denied'),
        (MemoryError(), "enough memory for this"),
    ],
)
def test_what_the_system_refuses_is_no_fault_of_liverys(
    error: Exception,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(livery, "main", lambda *_, **__: _breaking(error))
    assert run(["keys"]) == 1
    said = capsys.readouterr().err
    assert words in said
    assert "fault of Livery" not in said


def test_the_statuses_of_click_are_kept(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--help"]) == 0
    assert run(["no-such-command"]) == 2
    assert "Traceback" not in capsys.readouterr().err
