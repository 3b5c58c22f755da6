"""More than five arguments are by keyword, so that no call is read by counting commas.

The linter holds it for functions where they are written (PLR0917); here it is held for the
values, whose fields have no such rule, where they are made.
"""

import ast
from pathlib import Path

LIVERY = Path(__file__).resolve().parents[1] / "livery"
MOST = 5
"""Arguments without a keyword: the linter's max-positional-args."""


def test_no_value_is_made_of_more_than_five_fields_without_their_names(
    parsed_modules: dict[Path, ast.Module],
) -> None:
    nodes = [
        (file, node)
        for file, tree in parsed_modules.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call | ast.ClassDef)
    ]
    own = {node.name for _, node in nodes if isinstance(node, ast.ClassDef)}
    found = [
        f"{file.relative_to(LIVERY)}:{node.lineno} {node.func.id}"
        for file, node in nodes
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in own
        and len(node.args) > MOST
    ]
    assert found == []
