"""Every number with a name says what it is, where it comes from and what changes with it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

LIVERY = Path(__file__).resolve().parents[1] / "livery"
SOURCE = re.compile(
    r"\b(chosen|measured|common\s+practice|from\s+memory|by\s+definition|SVG|ISO|CIE|NEM)\b"
)
EFFECT = re.compile(
    r"\b(Larger|Smaller|Fewer|More|Longer|Another|Only\s+the\s+time|Only\s+time|A larger|A longer"
    r"|by smaller|one is enough)\b"
)
PLAIN = {"ORIGIN", "_QUARTER", "_ACROSS", "_UP", "_DIAGONALS", "_CORNERS", "NO_ALLOWANCE", "SQUARE"}
"""Names that say all there is: the origin, a quarter turn, directions, and nothing allowed, a square corner."""


def test_every_constant_says_its_source_and_its_effect(
    parsed_modules: dict[Path, ast.Module],
) -> None:
    found = {}
    for file, tree in parsed_modules.items():
        for names, docstring in _constants(tree):
            if not set(names) <= PLAIN and not (
                SOURCE.search(docstring) and EFFECT.search(docstring)
            ):
                found[f"{file.relative_to(LIVERY)}: {', '.join(names)}"] = docstring
    assert found == {}


def _constants(tree: ast.Module) -> Iterator[tuple[list[str], str]]:
    """Yield the names that a module gives to numbers, with the docstring under each."""
    for node, after in zip(tree.body, [*tree.body[1:], None], strict=True):
        if not isinstance(node, ast.Assign):
            continue
        names = [n.id for n in ast.walk(node.targets[0]) if isinstance(n, ast.Name)]
        if all(n.strip("_").isupper() for n in names) and _is_number(node.value):
            match after:
                case ast.Expr(value=ast.Constant(value=str(text))):
                    yield names, text
                case _:
                    yield names, ""


def _is_number(value: ast.expr) -> bool:
    """Return whether an expression is made of numbers, and of none but them."""
    leaves = [n.value for n in ast.walk(value) if isinstance(n, ast.Constant)]
    numbers = [v for v in leaves if isinstance(v, int | float) and not isinstance(v, bool)]
    parts = (ast.Dict, ast.List, ast.Set, ast.Lambda, ast.GeneratorExp, ast.ListComp)
    return (
        bool(numbers)
        and numbers == leaves
        and not any(isinstance(n, parts) for n in ast.walk(value))
    )
