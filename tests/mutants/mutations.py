"""Every change that may be made to a module: its numbers, its signs and its comparisons."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

# A figure that is half of another, or a third more, should never pass unseen.
UP, DOWN = 1.35, 0.65
SMALL_WHOLE_NUMBER = 9
OPPOSITE: dict[type[ast.AST], tuple[str, str]] = {
    ast.Lt: ("<", ">"),
    ast.Gt: (">", "<"),
    ast.LtE: ("<=", ">="),
    ast.GtE: (">=", "<="),
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
}


@dataclass(frozen=True, slots=True)
class Mutation:
    """One change of one place: ``name`` is the constant, function or class that holds it.

    ``lines`` are those of its statement, ``code`` the operation or number with all its parts.
    """

    line: int
    name: str
    before: str
    after: str
    start: int
    end: int
    lines: tuple[int, ...] = ()
    code: str = ""

    @property
    def label(self) -> str:
        """What it is listed as: its name and code are as an excuse would have them."""
        return f"{self.name}: {self.code}: {self.before} -> {self.after}"

    @property
    def is_in_function(self) -> bool:
        """Whether it is a sign or a comparison, which is changed within functions alone."""
        return any(self.before in pair for pair in OPPOSITE.values())

    def is_named(self, name: str, source: bytes) -> bool:
        """Whether a name is this change's own; after a colon it has the code that must hold it."""
        own, _, code = name.partition(": ")
        held = (m.span() for m in re.finditer(re.escape(code.encode()), source))
        return own == self.name and (
            not code or any(a <= self.start and self.end <= b for a, b in held)
        )

    def applied_to(self, source: bytes) -> bytes:
        """Return the module's text so changed."""
        return source[: self.start] + self.after.encode() + source[self.end :]


def mutations(source: bytes, kinds: frozenset[str]) -> list[Mutation]:
    """Return every change of the given kinds, in the order of the text.

    ``numbers`` are those outside function bodies (constants, fields, default values); ``signs``
    are unary minus, + and - within functions; ``comparisons`` turn <, >, <= and >= about.
    """
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    found: list[Mutation] = []
    for node, name, inside, lines in _named(ast.parse(source), "", False, ()):
        for before, after, first, last in _changes(node, inside, kinds):
            start = starts[first[0] - 1] + first[1]
            end = starts[last[0] - 1] + last[1]
            text = source[start:end].decode()
            before = before or text
            place = start + text.index(before)
            whole = source[
                starts[node.lineno - 1] + node.col_offset : starts[node.end_lineno - 1]
                + node.end_col_offset
            ]
            found.append(
                Mutation(
                    line=first[0],
                    name=name,
                    before=before,
                    after=after,
                    start=place,
                    end=place + len(before.encode()),
                    lines=lines,
                    code=whole.decode(),
                )
            )
    return sorted(set(found), key=lambda m: (m.start, m.after))


Place = tuple[int, int]


def _named(
    node: ast.AST, name: str, inside: bool, lines: tuple[int, ...]
) -> Iterator[tuple[ast.AST, str, bool, tuple[int, ...]]]:
    """Yield every node, the name it stands under, whether it is in a function, its statement."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            own = f"{name}.{child.name}".lstrip(".")
            for default in (*child.args.defaults, *child.args.kw_defaults):
                if default is not None:
                    yield from _named(ast.Expr(default), own, inside, lines)
            for line in child.body:
                yield from _named(ast.Module([line], []), own, True, lines)
            continue
        own = name
        if isinstance(child, ast.ClassDef):
            own = f"{name}.{child.name}".lstrip(".")
        elif isinstance(child, ast.Assign | ast.AnnAssign) and not inside:
            targets = child.targets if isinstance(child, ast.Assign) else [child.target]
            own = f"{name}.{ast.unparse(targets[0])}".lstrip(".")
        statement = _own_lines(child) if isinstance(child, ast.stmt) else lines
        yield child, own, inside, statement
        yield from _named(child, own, inside, statement)


def _own_lines(statement: ast.stmt) -> tuple[int, ...]:
    """Return the lines of a statement without those of statements within it."""
    within = [getattr(inner, "pattern", inner).lineno for inner in _body(statement)[:1]]
    last = max(statement.lineno, within[0] - 1) if within else statement.end_lineno
    return tuple(range(statement.lineno, (last or statement.lineno) + 1))


def _body(statement: ast.stmt) -> list[ast.AST]:
    return getattr(statement, "body", None) or getattr(statement, "cases", None) or []


def _changes(
    node: ast.AST, inside: bool, kinds: frozenset[str]
) -> Iterator[tuple[str, str, Place, Place]]:
    """Yield (before, after, where the text with it starts, where that ends); no before is all."""
    if isinstance(node, ast.Constant) and "numbers" in kinds and not inside:
        if type(node.value) in (int, float):
            start, end = (node.lineno, node.col_offset), (node.end_lineno, node.end_col_offset)
            for after in _other_numbers(node.value):
                yield "", after, start, end
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub) and "signs" in kinds:
        if inside:
            yield "-", "+", (node.lineno, node.col_offset), (node.lineno, node.col_offset + 1)
    elif isinstance(node, ast.BinOp) and type(node.op) in OPPOSITE and "signs" in kinds and inside:
        yield from _between(node.left, node.right, *OPPOSITE[type(node.op)])
    elif isinstance(node, ast.Compare) and "comparisons" in kinds and inside:
        sides = [node.left, *node.comparators]
        for left, op, right in zip(sides, node.ops, sides[1:], strict=False):
            if type(op) in OPPOSITE:
                yield from _between(left, right, *OPPOSITE[type(op)])


def _between(
    left: ast.expr, right: ast.expr, before: str, after: str
) -> Iterator[tuple[str, str, Place, Place]]:
    start = (left.end_lineno or 0, left.end_col_offset or 0)
    yield before, after, start, (right.lineno, right.col_offset)


def _other_numbers(value: int | float) -> tuple[str, ...]:
    if value == 0:
        return ("1" if isinstance(value, int) else "1.0",)
    if isinstance(value, float):
        return (repr(value * UP), repr(value * DOWN))
    if abs(value) <= SMALL_WHOLE_NUMBER:
        return (str(value + 1), str(value - 1))
    return (str(round(value * UP)), str(round(value * DOWN)))
