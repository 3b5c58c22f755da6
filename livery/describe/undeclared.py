"""The fault of a name that is not declared, with the nearest one that is."""

from __future__ import annotations

import difflib
from collections.abc import Collection

from livery.findings import Finding


def undeclared(code: str, key: str, what: str, name: str, known: Collection[str]) -> Finding:
    """Return the fault of a name that is not declared, with the nearest that is."""
    close = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    listed = ", ".join(known) or "none yet"
    remedy = f'Did you mean "{close[0]}"? ' if close else _instead(what, name)
    return Finding(
        code, f'{what} "{name}" is not declared', f"{remedy}Declared: {listed}.", key=key
    )


def _instead(what: str, name: str) -> str:
    """Return what to write where a name is a file or a size that belongs elsewhere."""
    if what == "area":
        return (
            'Part of a panel is area = { top = "1 ft 6 in" }, all below that height; { bottom = … } '
            "is all above one. "
        )
    if what == "alphabet" and name.lower().endswith((".ttf", ".otf", ".woff2")):
        return f'For a font file, add a table [alphabet.mine] with file = "{name}". '
    if what in ("height", "station") and " " in name:
        return (
            "Write a size with its unit, a datum, or the edge or the middle of an opening by what "
            'it is called: "window centre". '
        )
    if what == "paint":
        from livery.toml.meant_values import meant_screen

        colour = meant_screen(name)
        if not colour:
            return ""
        return f'Declare it: [paint.NAME] with screen = "{colour}", and write NAME here. '
    if what == "area or keep-out" and name[:1].isdigit():
        return f'For round corners, write corner = "{name}". '
    return ""
