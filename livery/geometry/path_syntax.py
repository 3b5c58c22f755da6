"""Whether text is a path as SVG writes it, command by command.

A parser that follows the standard draws a faulty path up to its fault and leaves out the rest:
what is cut would then be another shape than the one meant.

Source: W3C, Scalable Vector Graphics (SVG) 2, 9.3.9 "The grammar for path data".
"""

from __future__ import annotations

import math
import re

_ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_ARC_FLAGS = (3, 4)
"""The places of the two flags among an arc's numbers, from 0 (SVG 1.1, 8.3.8). Another place reads
flags that are run together wrongly."""
_SPACE = re.compile(r"[\s,]*")
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_FLAG = re.compile(r"[01]")


def path_fault(text: str) -> str:
    """Return what keeps text from being a path, in words; empty where nothing does."""
    at = _skip(text, 0)
    if at < len(text) and text[at] not in "Mm":
        return "a path begins with M"
    while at < len(text):
        command = text[at]
        if command.upper() not in _ARGUMENTS:
            return f"{_shown(text, at)} is not a command of a path"
        end = _after_arguments(text, at + 1, command.upper())
        if end < 0:
            return f"{_shown(text, at)} has not the numbers that {command} takes"
        at = end
    return ""


def _after_arguments(text: str, at: int, command: str) -> int:
    """Return where a command's numbers end; -1 where there are too few, or one is none."""
    count, at = 0, _skip(text, at)
    takes = _ARGUMENTS[command]
    while takes and at < len(text):
        flag = command == "A" and count % takes in _ARC_FLAGS
        match = (_FLAG if flag else _NUMBER).match(text, at)
        if match is None:
            break
        if not math.isfinite(float(match[0])):
            return -1
        count, at = count + 1, _skip(text, match.end())
    return at if (count and count % takes == 0 if takes else True) else -1


def _skip(text: str, at: int) -> int:
    match = _SPACE.match(text, at)
    return match.end() if match else at


def _shown(text: str, at: int) -> str:
    return repr(text[at : at + 20])
