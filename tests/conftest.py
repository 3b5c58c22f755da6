"""One profile for every property test: the same examples each time, no clock and no cache."""

from __future__ import annotations

import ast
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# Everything is worked out anew, unless a test is about the cache.
os.environ["LIVERY_CACHE"] = "off"

# Tests run side by side already, and their matrices are small: more threads only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# No test asserts a time: a busy machine fails none of them.
settings.register_profile(
    "livery",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("livery")

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "demo"


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Gives the folder that a demo is built into: once for all tests, which may only read it.

    Tests that run side by side in several processes share one folder.
    """
    own = tmp_path_factory.getbasetemp()
    shared = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "built-demos"
    shared.mkdir(exist_ok=True)

    def built(name: str) -> Path:
        from livery.pipeline import examine, make_files, require_sound
        from livery.write.folder import write_folder
        from livery.write.lock import locked

        out = shared / name
        with locked(shared / f"{name}.lock"):
            if not out.exists():
                examined = examine(DEMO / name / "job.toml")
                require_sound(examined)
                files, _ = make_files(examined)
                write_folder(out, files)
        return out

    return built


@pytest.fixture(scope="session")
def files_in() -> Callable[[Path], dict[str, bytes]]:
    """Reads all files of a folder by their places in it, without those that begin with a dot."""

    def files(folder: Path) -> dict[str, bytes]:
        return {
            path.relative_to(folder).as_posix(): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and path.name[0] != "."
        }

    return files


@pytest.fixture(scope="session")
def parsed_modules() -> dict[Path, ast.Module]:
    """Every module of Livery parsed, in the order of their paths: once for all that look through it."""
    return {
        file: ast.parse(file.read_text(encoding="utf-8"))
        for file in sorted((ROOT / "livery").rglob("*.py"))
    }
