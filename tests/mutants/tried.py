"""The record of what was tried: of each module and kind of change, at which text of the module."""

from __future__ import annotations

import ast
import hashlib
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path

FILE = Path(__file__).parent / "tried.toml"
HEADING = """\
# Written by `python -m tests.mutants`: of each module and kind of change, the digest of the text that was
# tried, how many changes were, how many were passed over for a reason, and those that no test noticed.
"""


@dataclass(frozen=True, slots=True)
class Tried:
    """What became of one kind of change of one module."""

    text: str
    changes: int
    excused: int
    unnoticed: tuple[str, ...]


Record = dict[tuple[str, str], Tried]


def digest(source: bytes) -> str:
    """Return the digest of a module's text, without its comments on their own and docstrings."""
    tree = ast.parse(source)
    passed_over: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed_over.update(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    kept = [
        line
        for number, line in enumerate(source.splitlines(), 1)
        if number not in passed_over and line.strip() and not line.strip().startswith(b"#")
    ]
    return hashlib.sha256(b"\n".join(kept)).hexdigest()[:12]


def read(file: Path = FILE) -> Record:
    """Return what the record holds."""
    if not file.exists():
        return {}
    told = tomllib.loads(file.read_text(encoding="utf-8"))
    return {
        (module, kind): Tried(
            own["text"], own["changes"], own.get("excused", 0), tuple(own.get("unnoticed", ()))
        )
        for module, kinds in told.items()
        for kind, own in kinds.items()
    }


def write(record: Record, file: Path = FILE) -> None:
    """Write the record, by module and kind."""
    lines = [HEADING]
    for module in sorted({module for module, _ in record}):
        lines.append(f'["{module}"]')
        for (of, kind), own in sorted(record.items()):
            if of == module:
                figures = f'text = "{own.text}", changes = {own.changes}'
                if own.excused:
                    figures += f", excused = {own.excused}"
                if own.unnoticed:
                    figures += f", unnoticed = {json.dumps(own.unnoticed, ensure_ascii=False)}"
                lines.append(f"{kind} = {{ {figures} }}")
        lines.append("")
    file.write_text("\n".join(lines), encoding="utf-8")
