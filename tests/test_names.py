"""One name, one meaning: what a newcomer meets under a name is always the same thing."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_no_two_public_classes_share_a_name(parsed_modules: dict[Path, ast.Module]) -> None:
    places = defaultdict(list)
    for file, tree in parsed_modules.items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].append(f"{file.relative_to(ROOT)}:{node.lineno}")
    assert {name: found for name, found in places.items() if len(found) > 1} == {}


def test_no_two_public_functions_of_modules_share_a_name(
    parsed_modules: dict[Path, ast.Module],
) -> None:
    places = defaultdict(list)
    for file, tree in parsed_modules.items():
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                places[node.name].append(f"{file.relative_to(ROOT)}:{node.lineno}")
    shared = {name: found for name, found in places.items() if len(found) > 1}
    # What a command is found by, and where a module that is run begins.
    assert {name: found for name, found in shared.items() if name not in ("command", "main")} == {}


ARCHAIC = {
    "taught": "updated",
    "teach": "apply",
    "learnt": "fitted",
    "learn": "fit",
    "lesson": "correction",
    "lessons": "corrections",
    "wanted": "target, expected, needed",
    "told": "reported",
    "enough": "in_stock, tolerance",
    "bench": "setup",
    "doubt": "uncertainty",
    "doubtful": "uncertain",
    "mend": "fix",
    "besides": "other",
    "nought": "zero",
    "toll": "loss",
    "sought": "searched",
    "wound": "oriented, winding",
}
"""Words that no name has, and what to write instead."""


def test_names_are_made_of_the_words_of_the_field(
    parsed_modules: dict[Path, ast.Module],
) -> None:
    found = []
    for file, tree in parsed_modules.items():
        for name in {file.stem, *_names(tree)}:
            words = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).lower().split("_")
            found += [
                f"{file.relative_to(ROOT)}: {name}: not {word}, but {ARCHAIC[word]}"
                for word in words
                if word in ARCHAIC and name not in NOT_OF_MEANING
            ]
    assert sorted(found) == []


NOT_OF_MEANING = {"bench_sheets", "bench_faults", "bench_pages", "bench_lines"}
"""The sheets that lie on the workbench while one works: the word means the bench itself."""


def _names(tree: ast.AST) -> Iterator[str]:
    """Yield every name that a module gives to something."""
    for node in ast.walk(tree):
        match node:
            case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                yield name
            case ast.ClassDef(name=name):
                yield name
            case ast.arg(arg=name):
                yield name
            case ast.Name(id=name, ctx=ast.Store()) | ast.Attribute(attr=name, ctx=ast.Store()):
                yield name
