"""The alphabets of a job, each opened or drawn once, when words first need it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from fontTools.misc.transform import Transform

from livery.data_folder import data_folder
from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.findings import attached_to, not_found
from livery.geometry.outline import Outline
from livery.geometry.path_text import orient, read_path
from livery.layout.drawn_shape import refuse_faulty_outline
from livery.toml.read import is_file
from livery.units import Length, read_length

if TYPE_CHECKING:
    from livery.alphabet.glyphs import OwnLetter
    from livery.alphabet.spacing import Bearings
    from livery.describe.entries.alphabet import AlphabetEntry, LetterEntry
    from livery.lettering.face import Face

ANY_HEIGHT_MM = 100.0
"""The height in millimetres at which letters are drawn where only proportions are given (chosen;
words are set from it at their own height). Another moves the rounding of their outlines, and
nothing else."""


class Alphabets:
    """The alphabets that words may name: the description's own, and those that come with Livery."""

    def __init__(self, description: Description, model: DescriptionModel) -> None:
        self._description = description
        self._entries = model.alphabet
        self._scale = model.job.read_scale()
        self._open: dict[str, Face] = {}

    def __getitem__(self, name: str) -> Face:
        """Return an alphabet by its name; raise LiveryError where it cannot be opened or drawn."""
        if name not in self._open:
            self._open[name] = self._opened(name)
        return self._open[name]

    def _opened(self, name: str) -> Face:
        from livery.lettering.face import Face

        entry = self._entries.get(name)
        if entry is None:
            own = data_folder("fonts_open") / f"{_file_stem(name)}.otf"
            if not own.is_file():
                raise not_found(name)
            return Face.read(own)
        key = f"alphabet.{name}"
        with attached_to(key):
            if entry.file is not None:
                file = self._description.folder_of(f"{key}.file") / entry.file
                if not is_file(file):
                    raise not_found(entry.file)
                return self._with_letters(Face.read(file), entry, self._letters(entry, key))
            return self._drawn(name, entry, self._letters(entry, key))

    def _letters(self, entry: AlphabetEntry, key: str) -> dict[str, OwnLetter]:
        letters: dict[str, OwnLetter] = {}
        if entry.letters:
            from livery.alphabet.glyphs import OwnLetter
        for character, letter in entry.letters.items():
            own_key = f"{key}.letters.{character}"
            folder = self._description.folder_of(f"{own_key}.image")
            with attached_to(own_key):
                outline = self._letter(letter, folder, own_key)
                letters[character] = OwnLetter(outline, self._beside(letter))
        return letters

    def _beside(self, letter: LetterEntry) -> Bearings | None:
        if letter.beside is None:
            return None
        from livery.alphabet.spacing import Bearings

        return Bearings(*(self._scale.to_model(side) for side in letter.beside))

    def _with_letters(
        self, face: Face, entry: AlphabetEntry, letters: Mapping[str, OwnLetter]
    ) -> Face:
        """Return a font with the letters that are drawn outright."""
        if not letters:
            return face
        from livery.alphabet.added import with_letters

        assert entry.cap_height is not None
        font = with_letters(
            face.data,
            face.name,
            letters,
            cap_height=face.cap_height,
            cap_height_mm=self._scale.to_model(entry.cap_height),
        )
        return face.from_bytes(font, face.name)

    def _drawn(self, name: str, entry: AlphabetEntry, letters: Mapping[str, OwnLetter]) -> Face:
        """Return an alphabet drawn to its measures."""
        from livery.alphabet.drawn import draw_alphabet
        from livery.lettering.face import Face

        assert entry.drawn is not None
        drawing = draw_alphabet(
            _file_stem(entry.drawn),
            cap_height_mm=self._size(entry.cap_height) or ANY_HEIGHT_MM,
            stroke_mm=self._size(entry.stroke),
            width_mm=self._size(entry.width),
            corner_mm=self._size(entry.corner),
            forms={c: _file_stem(form) for c, form in entry.forms.items()},
            letters=letters,
        )
        return Face.from_bytes(drawing.font, name)

    def _letter(self, entry: LetterEntry, folder: Path, key: str) -> Outline:
        """Return one letterform as described, at the size of its alphabet's drawing."""
        if entry.path is not None:
            unit = self._scale.to_model(read_length(f"1 {entry.unit}"))
            contours = read_path(entry.path, Transform(unit, 0, 0, unit, 0, 0))
            refuse_faulty_outline(contours, f"{key}.path", self._scale)
            return orient(Outline(contours))
        from livery.alphabet.traced import traced_letter

        assert entry.image is not None and entry.height is not None
        foot = self._size(entry.foot) or 0.0
        return traced_letter(folder / entry.image, self._scale.to_model(entry.height), foot)

    def _size(self, length: Length | None) -> float | None:
        return None if length is None else self._scale.to_model(length)


def _file_stem(name: str) -> str:
    """Return what the files of an alphabet that comes with Livery are called."""
    return name.replace(" ", "-")
