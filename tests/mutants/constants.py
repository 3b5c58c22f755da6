"""Changes of constants, made in modules that are imported already, and in all that is made from them."""

from __future__ import annotations

import ast
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType


class Constants:
    """The constants of imported modules below a folder: where each is imported and used at import."""

    def __init__(self, root: Path) -> None:
        self.modules: dict[str, ModuleType] = {}
        self.trees: dict[str, ast.Module] = {}
        self.uses: dict[tuple[str, str], list[ast.stmt]] = defaultdict(list)
        self.imported: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
        for name, module in sorted(sys.modules.items()):
            file = getattr(module, "__file__", None)
            if file and file.startswith(f"{root}/") and file.endswith(".py"):
                self.modules[name] = module
                self._read(name, Path(file).read_bytes())

    def _read(self, module: str, source: bytes) -> None:
        self.trees[module] = ast.parse(source)
        for statement in self.trees[module].body:
            if isinstance(statement, ast.ImportFrom) and not statement.level:
                for one in statement.names:
                    key = (statement.module or "", one.name)
                    self.imported[key].append((module, one.asname or one.name))
            elif not isinstance(statement, ast.Import):
                for name in set(_used(statement)):
                    self.uses[module, name].append(statement)

    def change(self, module: str, after: bytes) -> bool:
        """Run what a text of a module has other than it was, and all that uses it at import.

        Returns False, with some of it done, where a class or more than an assignment uses it, or
        where an assignment or a default cannot be made with it: a new session tells what becomes of it.
        """
        before, now = self.trees[module].body, ast.parse(after).body
        pairs = zip(before, now, strict=True)
        left = [(module, new) for old, new in pairs if ast.dump(old) != ast.dump(new)]
        for _ in range(MOST_USES):
            if not left:
                return True
            where, statement = left.pop(0)
            try:
                if isinstance(statement, ast.FunctionDef):
                    if not self._with_new_defaults(where, statement):
                        return False
                elif isinstance(statement, ast.Assign | ast.AnnAssign):
                    left += self._assigned(where, statement)
                else:
                    return False
            except Exception:
                return False
        return False

    def _assigned(
        self, module: str, statement: ast.Assign | ast.AnnAssign
    ) -> Iterator[tuple[str, ast.stmt]]:
        """Run an assignment, and yield what uses its names, with the module that does."""
        space = vars(self.modules[module])
        if isinstance(statement, ast.AnnAssign):
            assert statement.value is not None
            plain = ast.Assign([statement.target], statement.value)
            statement = ast.copy_location(plain, statement)
        file = self.modules[module].__file__ or ""
        exec(compile(ast.Module([statement], []), file, "exec", dont_inherit=True), space)
        targets = [n for t in statement.targets for n in ast.walk(t) if isinstance(n, ast.Name)]
        for name in {target.id for target in targets}:
            yield from (
                (module, use) for use in self.uses[module, name] if use.lineno > statement.lineno
            )
            for importer, alias in self.imported[module, name]:
                if importer in self.modules:
                    vars(self.modules[importer])[alias] = space[name]
                    yield from ((importer, use) for use in self.uses[importer, alias])

    def _with_new_defaults(self, module: str, statement: ast.FunctionDef) -> bool:
        """Give a function the defaults it has in a statement; return whether that could be done."""
        space = vars(self.modules[module])
        function = space.get(statement.name)
        if not isinstance(function, FunctionType) or statement.decorator_list:
            return False

        def value(of: ast.expr) -> object:
            return eval(compile(ast.Expression(of), "", "eval", dont_inherit=True), space)

        function.__defaults__ = tuple(map(value, statement.args.defaults)) or None
        function.__kwdefaults__ = {
            arg.arg: value(of)
            for arg, of in zip(statement.args.kwonlyargs, statement.args.kw_defaults, strict=True)
            if of is not None
        }
        return True


MOST_USES = 200
"""A constant from which more than so many are made is tried in a new session."""


def _used(node: ast.AST) -> Iterator[str]:
    """Yield the names that a statement uses when its module is imported."""
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
        parts = [*node.args.defaults, *filter(None, node.args.kw_defaults), *node.decorator_list]
    elif isinstance(node, ast.Lambda):
        parts = [*node.args.defaults, *filter(None, node.args.kw_defaults)]
    elif isinstance(node, ast.AnnAssign):
        parts = [node.value] if node.value is not None else []
    else:
        parts = list(ast.iter_child_nodes(node))
    if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
        yield node.id
    for part in parts:
        yield from _used(part)
