"""An alphabet's construction source: a TOML file of dimensions, sizes and letters.

Everything is in thousandths of the cap height.  ``dimensions`` are what a drawing
of the alphabet would give; ``sizes`` are worked out from them, in order; each
letter has a width and the steps that build it, one to a line.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from livery.data_folder import data_folder
from livery.findings import Finding, LiveryError, fault
from livery.toml.parse import parse_toml

Sum = str | float


class _SourceEntry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class LetterForm(_SourceEntry):
    """How one form of a letter is built."""

    width: Sum = 0
    steps: str
    let: dict[str, Sum] = {}


class LetterSource(LetterForm):
    """A letter, with other forms of it by name.

    ``top`` and ``foot`` are where across it carries an accent or a cedilla (its middle
    by default); ``kind`` how its white is judged, where its character does not show it.
    """

    form: dict[str, LetterForm] = {}
    top: Sum | None = None
    foot: Sum | None = None
    kind: Literal["", "tall", "low", "point", "part"] = ""


class Spacing(_SourceEntry):
    """How white is shared between letters.

    ``white`` is the gap between two upright stems and ``space`` the word space.  The
    others are shares of that gap: ``low`` the gap between lower case stems, ``depth`` the deepest a hollow counts as white,
    ``nearest`` the least gap, ``tuck`` the most by which a pair is closed up.
    """

    white: Sum
    space: Sum
    low: float = 0.86
    depth: float
    nearest: float
    tuck: float


class Small(_SourceEntry):
    """Letters and figures of a smaller height: raised letters, the figures of fractions.

    ``scale`` is their height as a share of the capitals'; to look of one weight they
    are heavier and wider than in proportion, by ``stroke``, ``thin`` and ``width``.  Round
    corners are the smaller by ``corner``, so that what is straight between them stays so.
    """

    scale: float = 0.58
    stroke: float = 1.24
    thin: float = 1.3
    width: float = 1.08
    corner: float = 1.0


class AlphabetSource(_SourceEntry):
    """A whole construction source.

    ``letter`` is by character, ``mark`` by name, ``part`` what several letters share;
    ``composed`` lists the accented letters.
    """

    family: str
    note: str = ""
    dimensions: dict[str, float]
    sizes: dict[str, Sum]
    spacing: Spacing
    small: Small = Small()
    small_capital: Small = Small(scale=0.8, stroke=1.2, thin=1.2, width=1.06)
    letter: dict[str, LetterSource]
    part: dict[str, LetterForm] = {}
    mark: dict[str, LetterForm] = {}
    composed: str = ""


def names() -> tuple[str, ...]:
    """Return the names of the alphabets that come with Livery."""
    return tuple(sorted(p.stem for p in data_folder("fonts_open").glob("*.toml")))


def read_source(path: Path) -> AlphabetSource:
    """Read a construction source; raise LiveryError naming each entry that is wrong."""
    try:
        return AlphabetSource.model_validate(_merged(path))
    except ValidationError as error:
        raise LiveryError(
            Finding(
                "alphabet-source",
                f"{path.name}: {'.'.join(map(str, e['loc']))}: {e['msg']}",
                key=".".join(map(str, e["loc"])),
            )
            for e in error.errors()
        ) from None


def _merged(path: Path) -> dict[str, Any]:
    """Return a source's data laid over that of the source it is based on."""
    try:
        data: dict[str, Any] = parse_toml(path.read_bytes())
    except FileNotFoundError:
        raise fault(
            "alphabet-missing",
            f"there is no alphabet source {path.name}",
            f"Alphabets that come with Livery: {', '.join(names())}.",
        ) from None
    except ValueError as error:
        raise fault("alphabet-toml", f"{path.name}: {error}") from None
    base = data.pop("based_on", None)
    return _over(_merged(path.parent / base), data) if base else data


def _over(under: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    merged = dict(under)
    for key, value in over.items():
        below = merged.get(key)
        both = isinstance(below, Mapping) and isinstance(value, Mapping)
        # Built again, a letter takes nothing from the one below it.
        is_replaced = not both or "steps" in value
        merged[key] = value if is_replaced else _over(below, value)  # type: ignore[arg-type]
    return merged
