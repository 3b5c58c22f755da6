"""Sums written in an alphabet's source: ``w-c/2``, ``min(r,h/2)``.

Only arithmetic on named sizes is understood; nothing else can be run from a source.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Mapping
from functools import cache
from types import CodeType

from livery.findings import fault


def lean(thickness: float, run: float, rise: float) -> float:
    """Return the width, level across, of a sloping stroke of that true thickness.

    ``run`` and ``rise`` are how far one edge goes across and up.
    """
    return thickness * math.hypot(run, rise) / abs(rise)


def bearing(run: float, rise: float) -> float:
    """Return the heading, in degrees anticlockwise from east, of a move by ``run`` and ``rise``."""
    return math.degrees(math.atan2(rise, run))


FUNCTIONS = {"min": min, "max": max, "lean": lean, "bearing": bearing}
HEADINGS = {"E": 0.0, "N": 90.0, "W": 180.0, "S": 270.0}
_SCOPE = {"__builtins__": {}, **FUNCTIONS, **HEADINGS}
_ARITHMETIC = (
    ast.Expression,
    ast.BinOp,
    ast.UnaryOp,
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.Div,
    ast.USub,
    ast.UAdd,
    ast.Load,
)


def value(text: str | float, sizes: Mapping[str, float]) -> float:
    """Return the value of ``text`` where each name stands for one of ``sizes``."""
    if not isinstance(text, str):
        return float(text)
    try:
        return float(eval(_compiled(text), _SCOPE, dict(sizes)))  # arithmetic only, see _compiled
    except NameError as error:
        raise fault(
            "alphabet-name",
            f'"{text}" uses {str(error).split()[1]}, which is not a size of this alphabet',
            f"Known sizes: {', '.join(sorted(sizes))}.",
        ) from None
    except ZeroDivisionError:
        raise fault("alphabet-sum", f'"{text}" divides by zero', "Change the sizes.") from None


@cache
def _compiled(text: str) -> CodeType:
    try:
        tree = ast.parse(text.strip(), mode="eval")
    except SyntaxError:
        tree = None
    if tree is None or not all(_is_arithmetic(node) for node in ast.walk(tree)):
        raise fault(
            "alphabet-sum",
            f'"{text}" is not a sum of sizes',
            f"Write + - * / and brackets without spaces, or one of {', '.join(FUNCTIONS)}.",
        )
    return compile(tree, "<sum>", "eval")


def _is_arithmetic(node: ast.AST) -> bool:
    if isinstance(node, ast.Constant):
        return isinstance(node.value, int | float)
    if isinstance(node, ast.Call):
        named = isinstance(node.func, ast.Name) and node.func.id in FUNCTIONS
        return named and not node.keywords
    return isinstance(node, (*_ARITHMETIC, ast.Name))
