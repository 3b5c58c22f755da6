"""The next command cannot write or print in a way of its own."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

LIVERY = Path(__file__).resolve().parents[2] / "livery"
WRITES = {
    "write_text", "write_bytes", "unlink", "rename", "touch", "rmtree", "symlink_to",
    "hardlink_to", "copy2", "copyfile", "copytree", "NamedTemporaryFile",
    "TemporaryDirectory",
}  # fmt: skip
OWN_FOLDER = LIVERY / "work_cache.py"
"""The cache keeps its own folder, which holds nothing of the user's."""


@pytest.fixture(scope="module")
def modules(parsed_modules: dict[Path, ast.Module]) -> dict[Path, ast.Module]:
    """Every module but those of the writer."""
    return {m: tree for m, tree in parsed_modules.items() if m.parent != LIVERY / "write"}


def _calls(module: ast.Module) -> Iterator[tuple[str, ast.Call]]:
    for node in ast.walk(module):
        match node:
            case ast.Call(func=ast.Attribute(attr=name)) | ast.Call(func=ast.Name(id=name)):
                yield name, node


def _is_for_writing(call: ast.Call) -> bool:
    words = [*call.args, *(keyword.value for keyword in call.keywords)]
    modes = [w.value for w in words if isinstance(w, ast.Constant) and isinstance(w.value, str)]
    return any(set(mode) <= set("rwaxbt+") and set(mode) & set("wax+") for mode in modes)


def test_nothing_outside_the_writer_changes_a_file(modules: dict[Path, ast.Module]) -> None:
    found = [
        f"{module.relative_to(LIVERY)}:{call.lineno} {name}"
        for module, tree in modules.items()
        if module != OWN_FOLDER
        for name, call in _calls(tree)
        if name in WRITES or (name == "open" and _is_for_writing(call))
    ]
    assert found == []


def test_every_table_is_written_in_one_place(modules: dict[Path, ast.Module]) -> None:
    found = [
        f"{module.relative_to(LIVERY)}:{call.lineno}"
        for module, tree in modules.items()
        for name, call in _calls(tree)
        if name == "DictWriter" or (name == "writer" and "csv" in ast.unparse(call.func))
    ]
    assert found == []


def test_everything_printed_goes_through_one_place(modules: dict[Path, ast.Module]) -> None:
    found = [
        f"{module.relative_to(LIVERY)}:{call.lineno} {name}"
        for module, tree in modules.items()
        if module.parent == LIVERY / "cli" and module.name != "_say.py"
        for name, call in _calls(tree)
        if name == "print" or (name in ("echo", "secho") and isinstance(call.func, ast.Attribute))
    ]
    assert found == []


@pytest.mark.parametrize("mode", ["w", "xb", "a", "r+"])
def test_the_check_sees_a_file_opened_for_writing(mode: str) -> None:
    call = ast.parse(f"path.open({mode!r}, encoding='utf-8')").body[0]
    assert isinstance(call, ast.Expr) and isinstance(call.value, ast.Call)
    assert _is_for_writing(call.value)
