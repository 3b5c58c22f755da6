"""Everything from which one panel is laid out, and nothing else.

A layout that is kept (:mod:`livery.work_cache`) is then right as long as this says everything,
and it cannot say too little: the part of the description that is left out is not there to be used.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from livery.describe.entries.description import DescriptionModel
from livery.describe.load import Description
from livery.describe.named_files import texts_in
from livery.toml.read import is_file

_SHARED = ("job", "band", "paint", "alphabet")


def own_description(name: str, model: DescriptionModel) -> DescriptionModel:
    """Return a description of one panel, with the one it mirrors and what all panels share."""
    shared = {key: getattr(model, key) for key in _SHARED}
    return DescriptionModel.model_construct(**shared, panel=_own_panels(name, model.panel))


def panel_sources(name: str, description: Description, model: DescriptionModel) -> list[object]:
    """Return all that a panel's layout depends on.

    Paints are settled after they are read, so they are taken from the model.
    """
    data = description.data
    panels = _own_panels(name, data.get("panel", {}))
    shared = {key: data.get(key) for key in ("job", "band", "alphabet")}
    folders = {
        key: _folder(place.file)
        for key, place in description.places.items()
        if key[0] in shared or (key[0] == "panel" and key[1:2] and key[1] in panels)
    }
    home = _folder(description.file)
    texts = sorted({*texts_in(panels), *texts_in(shared)})
    files = list(_files_named(texts, sorted(map(Path, {home, *folders.values()}))))
    return [name, panels, shared, model.paint, home, folders, files]


@lru_cache(maxsize=64)
def _folder(file: Path) -> str:
    """Return the folder of a file; there are few files, and a place in one for every key."""
    return str(file.parent)


def _own_panels(name: str, panels: dict[str, Any]) -> dict[str, Any]:
    """Return the panel of a name and the one it mirrors, or is the same as and turned round."""
    own = panels[name]
    if isinstance(own, dict):
        first = own.get("same_as" if own.get("turned") is True else "mirror_of")
    else:
        first = own.laid_out_from
    return {n: panels[n] for n in dict.fromkeys((name, first)) if n in panels}


def _files_named(texts: list[str], folders: list[Path]) -> Iterator[tuple[str, str, str]]:
    """Yield every file that one of the texts names in one of the folders, with its digest."""
    for folder in folders:
        for text in texts:
            if is_file(folder / text):
                content = (folder / text).read_bytes()
                yield str(folder), text, sha256(content).hexdigest()
