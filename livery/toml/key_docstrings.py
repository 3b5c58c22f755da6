"""The docstring under each key of a table, read out of the source of its class."""

from __future__ import annotations

import ast
import inspect
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


def key_docstrings(table: type) -> dict[str, str]:
    """Return what is written under the keys of a table and of the tables it extends, by key."""
    found: dict[str, str] = {}
    for kind in reversed(table.__mro__):
        if kind.__module__.startswith("livery."):
            found |= _of_module(kind.__module__).get(kind.__qualname__, {})
    return found


@cache
def _of_module(name: str) -> dict[str, dict[str, str]]:
    """Return the docstrings of every class at the top of a module, by class and key."""
    from sys import modules

    tree = ast.parse(inspect.getsource(modules[name]))
    return {
        node.name: dict(_of_class(node)) for node in tree.body if isinstance(node, ast.ClassDef)
    }


def _of_class(node: ast.ClassDef) -> Iterator[tuple[str, str]]:
    for key, below in pairwise(node.body):
        if (
            isinstance(key, ast.AnnAssign)
            and isinstance(key.target, ast.Name)
            and isinstance(below, ast.Expr)
            and isinstance(below.value, ast.Constant)
            and isinstance(below.value.value, str)
        ):
            yield key.target.id, inspect.cleandoc(below.value.value)
