"""What of a survey the options of a command give: a picture with what is known in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from livery.survey.survey_file import PictureEntry


def picture_entry(file: Path, *, page: int = 1, dots_per_inch: float = 300.0, **known: Any) -> PictureEntry:  # fmt: skip
    """Return a picture with what is known in it, as a survey would have it.

    Raises LiveryError where it is known in two ways at once.
    """
    from pydantic import ValidationError

    from livery.findings import fault
    from livery.survey.large_picture import large_size
    from livery.survey.survey_file import PictureEntry

    size = large_size(file, page, dots_per_inch)
    try:
        return PictureEntry(
            file=file.as_posix(), page=page, dots_per_inch=dots_per_inch, size=size, **known
        )
    except ValidationError as error:
        context = error.errors()[0].get("ctx", {})
        raise fault(
            context.get("code", "value"), str(context.get("message")), context.get("remedy", "")
        ) from None
