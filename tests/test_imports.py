"""The house holds: no module imports from a room above it, and heavy packages are imported late."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

LATE = [
    "cairosvg",
    "coloraide",
    "colour",
    "contourpy",
    "ezdxf",
    "pathops",
    "pikepdf",
    "pypdf",
    "reportlab",
    "resvg_py",
    "shapely",
    "spyrrow",
    "starlette",
    "svgelements",
    "svgwrite",
    "tree_sitter",
    "uharfbuzz",
    "uvicorn",
]
"""Packages that are imported inside functions: each costs more than most commands take."""


def _imported_at_once(node: ast.AST) -> Iterator[str]:
    """Run through the packages that importing a module imports, whatever is called or not."""
    for child in ast.iter_child_nodes(node):
        match child:
            case ast.Import():
                yield from (alias.name.split(".")[0] for alias in child.names)
            case ast.ImportFrom(module=str(module)):
                yield module.split(".")[0]
            case ast.FunctionDef() | ast.AsyncFunctionDef() | ast.Lambda():
                pass
            case ast.If(test=ast.Name(id="TYPE_CHECKING")):
                pass
            case _:
                yield from _imported_at_once(child)


def test_nothing_is_imported_from_a_room_above() -> None:
    program = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"
    done = subprocess.run(
        [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); {program}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_no_import_goes_in_a_circle(parsed_modules: dict[Path, ast.Module]) -> None:
    """Imports inside functions and those for type hints count: a reader follows them too."""
    names = {_dotted(file): tree for file, tree in parsed_modules.items()}
    imports = {name: {*_modules_imported(tree, names)} - {name} for name, tree in names.items()}
    assert len([*TopologicalSorter(imports).static_order()]) == len(names)
    assert imports["livery.make.film.film_sheets"] >= {
        "livery.make.film.laid_sheet",
        "livery.make.nest.packing",
    }


def _dotted(file: Path) -> str:
    parts = file.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _modules_imported(tree: ast.Module, names: dict[str, ast.Module]) -> Iterator[str]:
    """Run through the modules of Livery that a module imports from, at any depth."""
    for node in ast.walk(tree):
        match node:
            case ast.Import():
                yield from (alias.name for alias in node.names if alias.name in names)
            case ast.ImportFrom(module=str(module)) if module in names:
                submodules = {f"{module}.{alias.name}" for alias in node.names} & names.keys()
                yield from submodules or {module}


@pytest.fixture(scope="module")
def packages_at_once(parsed_modules: dict[Path, ast.Module]) -> dict[str, set[str]]:
    """Each file of Livery with the packages that importing it imports."""
    return {
        str(file.relative_to(ROOT)): set(_imported_at_once(tree))
        for file, tree in parsed_modules.items()
    }


@pytest.mark.parametrize("package", LATE)
def test_a_heavy_package_is_imported_inside_functions(
    package: str, packages_at_once: dict[str, set[str]]
) -> None:
    assert [file for file, packages in packages_at_once.items() if package in packages] == []
