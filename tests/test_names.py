"""One name, one meaning: what a newcomer meets under a name is always the same thing."""

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_no_two_public_classes_share_a_name() -> None:
    places = defaultdict(list)
    for file in sorted((ROOT / "livery").rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].append(f"{file.relative_to(ROOT)}:{node.lineno}")
    assert {name: found for name, found in places.items() if len(found) > 1} == {}
