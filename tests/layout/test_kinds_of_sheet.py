"""Which kind of surface a panel has is asked where sheets are made, and in no new place.

A flat panel, a barrel and gores answer `Frame` and `Surface` alike.  The modules below still
ask which one it is; each number may only become smaller.
"""

import ast
from collections import Counter
from pathlib import Path

LIVERY = Path(__file__).resolve().parents[2] / "livery"
KIND = {"rolled", "gored"}
"""Fields that hold one kind of sheet only."""
CLASSES = {
    "Barrel", "ConeSurface", "FlatSurface", "FoldedSheet", "FoldedSurface", "GoreSurface", "Gored",
    "GoredCourse",
    "Rolled",
}  # fmt: skip
MAKES = {
    "layout/folded_sheet.py", "layout/frame.py", "layout/framing.py", "layout/gore_sheet.py",
    "layout/rolled_sheet.py",
    "layout/sheet_kinds.py",
}  # fmt: skip
"""Where a sheet is developed by the kind of its entry, and the frame that answers for it."""
STILL_ASK = {
    "describe/entries/sheet.py": 1,  # what the entry itself names
    "layout/course.py": 1,
    "layout/free_line.py": 2,
    "layout/metal_check.py": 1,
    "layout/panel_shape.py": 2,
}


def _asks(node: ast.AST) -> bool:
    match node:
        case ast.Compare(left=ast.Attribute(attr=name) | ast.Name(id=name)) if name in KIND:
            return True
        case ast.IfExp(test=ast.Attribute(attr=name)) | ast.If(test=ast.Attribute(attr=name)):
            return name in KIND
        case ast.Call(func=ast.Name(id="isinstance"), args=[_, kinds]):
            return any(isinstance(n, ast.Name) and n.id in CLASSES for n in ast.walk(kinds))
    return False


def test_no_new_place_asks_which_kind_of_surface_a_panel_has(
    parsed_modules: dict[Path, ast.Module],
) -> None:
    found: Counter[str] = Counter()
    for file, tree in parsed_modules.items():
        name = file.relative_to(LIVERY).as_posix()
        if not name.startswith("surfaces/") and name not in MAKES:
            found[name] += sum(map(_asks, ast.walk(tree)))
    assert {name: count for name, count in found.items() if count} == STILL_ASK


def test_the_ways_to_ask_are_seen() -> None:
    for text in (
        "frame.rolled is None",
        "1 if frame.gored else 2",
        "isinstance(course, (A, Gored))",
    ):
        assert any(map(_asks, ast.walk(ast.parse(text)))), text
