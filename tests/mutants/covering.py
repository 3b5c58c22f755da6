"""Which tests cover a module, and the changes of it that are passed over, each with its reason."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

from tests.mutants.mutations import Mutation
from tests.mutants.sessions import TREE

HERE = Path(__file__).parent


def equivalents() -> dict[tuple[str, str], str]:
    """Return the reason for every (module, name) whose change alters no output."""
    read = tomllib.loads((HERE / "equivalents.toml").read_text(encoding="utf-8"))
    return {(m, name): why for m, names in read.items() for name, why in names.items()}


def parted(
    module: str, found: list[Mutation], source: bytes
) -> tuple[list[Mutation], list[Mutation]]:
    """Return the changes of a module that are to be tried, and those that have an excuse."""
    names = [name for of, name in equivalents() if of == module]
    excused = [m for m in found if any(m.is_named(name, source) for name in names)]
    return [m for m in found if m not in excused], excused


def covering(module: str) -> list[str]:
    """Return the tests that cover a module: its mirrored folder or file, and what is named for it."""
    read = tomllib.loads((HERE / "coverage.toml").read_text(encoding="utf-8"))
    inner = Path(module).relative_to("livery").with_suffix("")
    own = [f"tests/{inner.parent}/test_{inner.name}.py"]
    own += [f"tests/{folder}" for folder in inner.parents if folder != Path()][:1]
    named = [t for part, tests in read.items() if module.startswith(part) for t in tests]
    found = dict.fromkeys([t for t in own if (TREE / t).exists()] + named)
    return [t for t in found if not any(t.startswith(f"{folder}/") for folder in found)]


def modules(asked: list[str]) -> Iterator[str]:
    """Yield the modules of what is asked for, files or folders."""
    for name in asked:
        path = TREE / name
        files = sorted(path.rglob("*.py")) if path.is_dir() else [path]
        yield from (f.relative_to(TREE).as_posix() for f in files)
