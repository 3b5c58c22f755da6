"""Words divided by a coupling, a step or another keep-out: its letters on either side of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fontTools.misc.transform import Identity

from livery.findings import fault
from livery.geometry.measure import bounds
from livery.geometry.outline import Outline
from livery.layout.frame import Frame
from livery.layout.plan import PlacedKeepOut
from livery.lettering.set_text import SetText

if TYPE_CHECKING:
    from livery.describe.entries.lettering import DividedEntry

_LEVEL = 1e-6
"""Letters that turn less, in radians, or stand less out of line, in mm, stand in one level line
(chosen: rounding). Larger, and words that climb are divided as level ones."""


def divided(
    entry: DividedEntry, words: SetText, keep_outs: Sequence[PlacedKeepOut], frame: Frame
) -> SetText:
    """Return words in one line with their parts moved along it, as far from a keep-out on each side.

    Each part keeps its own spacing.  Without a keep-out, which is reported elsewhere, words stay.

    Raises:
        LiveryError: there are too few letters, or the keep-out is not between them.
    """
    if not keep_outs:
        return words
    seen = [i for i, letter in enumerate(words.letters) if letter.outline]
    if entry.after >= len(seen):
        count = f"{len(seen)} letter{'s' if len(seen) > 1 else ''}"
        raise fault(
            "divided",
            f"these words have {count}, and {entry.after} are to stand to the left",
            "Leave at least one for the right: write a smaller number for after.",
        )
    if any(
        abs(x.angle) > _LEVEL or abs(x.origin.y - words.letters[0].origin.y) > _LEVEL
        for x in words.letters
    ):
        raise fault(
            "divided",
            "words that bend over their sheet cannot be divided",
            "Write a lettering for each part.",
        )
    first = seen[entry.after]
    before = replace(words, letters=words.letters[:first])
    beyond = replace(words, letters=words.letters[first:])
    between = bounds(Outline(tuple(c for k in keep_outs for c in k.outline)))
    ink = words.ink
    if not (between.bottom < ink.top and ink.bottom < between.top):
        raise fault(
            "divided",
            f'"{entry.by}" is not at the height of these words',
            f"Check the place of both; {entry.by} is {between.bottom:.1f} to {between.top:.1f} mm up.",
        )
    gap = frame.scale.to_model(entry.gap)
    left = Identity.translate(between.left - gap - before.ink.right, 0.0)
    right = Identity.translate(between.right + gap - beyond.ink.left, 0.0)
    return replace(
        words, letters=before.transformed(left).letters + beyond.transformed(right).letters
    )
