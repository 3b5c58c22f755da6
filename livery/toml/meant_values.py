"""What to write instead of a screen colour or a number that is written in another way."""

from __future__ import annotations

import re
from typing import Any


def meant_screen(value: Any) -> str:
    """Return the screen colour that a value stands for, as ``#rrggbb``, or nothing.

    Three numbers, ``rgb(160, 24, 24)``, ``#a11``, ``#a01818ff``, ``0xa01818``, and a letter O for a
    zero are read.
    """
    if isinstance(value, list | tuple):
        return _of_numbers(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return f"#{value:06x}" if 0 <= value <= 0xFFFFFF else ""
    text = str(value).strip().lower()
    if called := re.fullmatch(r"rgba?\((.*)\)", text):
        parts = re.findall(r"\d+", called[1])[:3]
        return _of_numbers([int(p) for p in parts])
    digits = text.removeprefix("#").removeprefix("0x").replace("o", "0")
    if re.fullmatch(r"[0-9a-f]{3}", digits):
        digits = "".join(2 * d for d in digits)
    return f"#{digits[:6]}" if re.fullmatch(r"[0-9a-f]{6}([0-9a-f]{2})?", digits) else ""


def _of_numbers(parts: Any) -> str:
    """Return the colour of red, green and blue from 0 to 255, or nothing."""
    is_colour = len(parts) == 3 and all(isinstance(p, int) and 0 <= p <= 255 for p in parts)
    return "#" + "".join(f"{p:02x}" for p in parts) if is_colour else ""


def meant_number(value: Any) -> str:
    """Return the number in a text such as ``"1.2 kg/l"`` or ``"£12,50"``, or nothing.

    >>> meant_number("1.2 kg/l"), meant_number("two")
    ('1.2', '2')
    """
    from livery.units import in_figures

    found = re.findall(r"\d+(?:[.,]\d+)?", in_figures(str(value)))
    return found[0].replace(",", ".") if len(found) == 1 else ""
