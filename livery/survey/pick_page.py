"""A page to pick places on a photograph with, in any browser, and nothing else needed.

The picture is in the page, upright and in sRGB, so that a pixel of it is a pixel to every
other command.  What is clicked becomes the text that those commands take.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from livery.colour.photo.picture import Pixels, Polygon, Rectangle, Region, Spot
from livery.page_template import content_policy, filled, html_text, script_data
from livery.survey.laid_picture import shown_pixels
from livery.survey.photograph import load_photograph

_PARTS = Path(__file__).with_name("page")
_JPEG_QUALITY = 92
"""JPEG quality of the picture on the page (chosen: edges are as sharp as in the file). Larger
makes the page larger."""

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class PickedPlace:
    """A place marked already: ``kind`` is the option it is written after, without its dashes.

    ``shape`` is spot, rectangle or polygon for a region and empty otherwise; a spot has its
    middle and a point of its rim.  ``value`` is what is known of it.
    """

    kind: str
    points: Points
    shape: str = ""
    name: str = ""
    value: str = ""


def region_place(kind: str, region: Region, name: str = "", value: str = "") -> PickedPlace:
    """Return a region as it is picked."""
    match region:
        case Spot(x, y, radius):
            return PickedPlace(kind, ((x, y), (x + radius, y)), "spot", name, value)
        case Rectangle(x0, y0, x1, y1):
            return PickedPlace(kind, ((x0, y0), (x1, y1)), "rectangle", name, value)
        case Polygon(corners):
            return PickedPlace(kind, corners, "polygon", name, value)


def pick_page(photo: Path, places: Sequence[PickedPlace] = ()) -> str:
    """Return the page, HTML, for a photograph; ``places`` are shown from the start.

    Raises:
        LiveryError: the photograph cannot be read.
    """
    picture = load_photograph(photo).picture
    data = {
        "name": photo.as_posix(),
        "width": picture.width,
        "height": picture.height,
        "marks": [_as_mark(place) for place in places],
    }
    style, places_script, page_script = (
        (_PARTS / name).read_text(encoding="utf-8").strip()
        for name in ("page.css", "places.js", "page.js")
    )
    page_script = f"const PHOTO = {script_data(data)};\n{page_script}"
    return filled(
        (_PARTS / "page.html").read_text(encoding="utf-8"),
        {
            "policy": content_policy([style], [places_script, page_script]),
            "title": html_text(photo.name),
            "width": str(picture.width),
            "height": str(picture.height),
            "picture": "data:image/jpeg;base64," + base64.b64encode(_jpeg(picture)).decode(),
            "css": style,
            "places": places_script,
            "page": page_script,
        },
    )


def _as_mark(place: PickedPlace) -> dict[str, object]:
    plain = {key: value for key, value in asdict(place).items() if value}
    return plain | {"points": [list(point) for point in place.points]}


def _jpeg(picture: Pixels) -> bytes:
    """Return the picture as a JPEG in sRGB, every pixel where it was."""
    from PIL import Image

    file = io.BytesIO()
    Image.fromarray(shown_pixels(picture)).save(file, "JPEG", quality=_JPEG_QUALITY, subsampling=0)
    return file.getvalue()
