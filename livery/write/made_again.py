"""What a build makes again, against what the last build left in its folder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from livery.write.manifest import digest_of, listed

MOST_NAMED = 12
"""So many changed files are named (chosen: of more, their number shows enough). More only fill the
screen."""


@dataclass(frozen=True)
class MadeAgain:
    """The names of files, in order: those that are new, changed, the same, and no longer made."""

    new: tuple[str, ...]
    changed: tuple[str, ...]
    same: tuple[str, ...]
    gone: tuple[str, ...]

    @property
    def is_first(self) -> bool:
        """Whether nothing was made in the folder before."""
        return not (self.changed or self.same or self.gone)

    def as_text(self) -> str:
        """Return it in words: how many of each, and which changed where they are few."""
        counts = [
            f"{len(names)} {words}"
            for names, words in (
                (self.new, "new"),
                (self.changed, "changed"),
                (self.same, "the same as before"),
                (self.gone, "no longer made"),
            )
            if names
        ]
        named = [*self.new, *self.changed]
        few = f": {', '.join(named)}" if 0 < len(named) <= MOST_NAMED else ""
        return ", ".join(counts) + few


def made_again(out: Path, files: Mapping[str, bytes]) -> MadeAgain:
    """Compare what is to be written with what the last build wrote into ``out``, by its list.

    Raises:
        LiveryError: the folder's list is there and cannot be read.
    """
    before = listed(out)
    now = {name: digest_of(content) for name, content in files.items()}
    return MadeAgain(
        tuple(sorted(now.keys() - before.keys())),
        tuple(sorted(n for n in now if n in before and before[n] != now[n])),
        tuple(sorted(n for n in now if before.get(n) == now[n])),
        tuple(sorted(before.keys() - now.keys())),
    )
