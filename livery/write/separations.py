"""Artwork for printing as PDF in spot colours: one plate for each paint, white and the film edge.

Every plate is a Separation with the paint's Lab for a printer that lacks its ink (ISO 32000-1,
8.6.6.4), and overprints, so that the white beneath is printed whole.  What lies over something
else must leave it out of that plate itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from livery.drawing import Label
from livery.findings import fault
from livery.geometry.outline import Outline, Point
from livery.write.measuring_bar import HUNDRED_MM
from livery.write.pdf import POINTS_PER_MM, draw_marks, open_canvas, path_operators
from livery.write.pdf_x import is_of_a_press, pdf_x

LabValues = tuple[float, float, float]

MOST_MM = 0.01
"""How far a page's written size may be out, in millimetres (chosen: what any written line may be).
Larger, and a wrong page passes."""

D65 = (0.9505, 1.0, 1.089)
"""The white of the Lab values (CIE illuminant D65, 2 degrees, Y = 1). Another prints other
colours."""


@dataclass(frozen=True, slots=True)
class SpotColour:
    """A spot colour: its name on the plate, and its Lab (D65)."""

    name: str
    lab: LabValues


WHITE = SpotColour("White", (97.0, 0.0, -2.0))
"""White ink; not quite white, or it could not be seen on a screen."""

EDGE = SpotColour("Film edge", (60.0, 75.0, -30.0))
"""The line to cut the film by."""


@dataclass(frozen=True, slots=True)
class SpotArea:
    """A region on a plate: filled, or, with ``line_mm``, only its edge drawn."""

    outline: Outline
    spot: SpotColour
    line_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class SpotPage:
    """A page in millimetres, y up: its regions in the order they are printed, and its words.

    The bar of 100 mm begins at ``bar``.
    """

    width_mm: float
    height_mm: float
    areas: tuple[SpotArea, ...]
    labels: tuple[Label, ...]
    bar: Point

    @property
    def spots(self) -> tuple[SpotColour, ...]:
        """The spot colours it is printed in, each once."""
        return tuple(dict.fromkeys(area.spot for area in self.areas))


@dataclass(frozen=True, slots=True)
class DeviceInks:
    """What a printer without the spot inks is sent for each, through its ICC profile.

    ``values`` are from 0 to 1, three for RGB and four for CMYK; ``paper`` is what leaves it bare.
    ``name`` is what the profile is called.
    """

    profile: bytes
    name: str
    values: Mapping[SpotColour, tuple[float, ...]]

    @property
    def paper(self) -> tuple[float, ...]:
        """No ink, or all light."""
        return (0.0,) * 4 if self.channels == 4 else (1.0,) * 3

    @property
    def channels(self) -> int:
        """How many inks or lights the printer has."""
        return len(next(iter(self.values.values())))


def separations_pdf(
    pages: Sequence[SpotPage], title: str, device: DeviceInks | None = None
) -> bytes:
    """Return a PDF of the pages, true to size, the same bytes from the same pages.

    A printer that lacks a plate's ink prints its Lab, or, with ``device``, the colours of that;
    with the profile of a press it is a PDF/X-4 for it (see :mod:`~livery.write.pdf_x`).
    """
    plates = plate_names(spot for page in pages for spot in page.spots)
    file = BytesIO()
    canvas = open_canvas(file, title)
    for page in pages:
        canvas.setPageSize((page.width_mm * POINTS_PER_MM, page.height_mm * POINTS_PER_MM))
        canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
        canvas.setFillOverprint(True)
        canvas.setStrokeOverprint(True)
        canvas.setOverprintMask(True)
        for area in page.areas:
            _draw(canvas, area, plates[area.spot])
        canvas.setFillOverprint(False)
        canvas.setStrokeOverprint(False)
        draw_marks(canvas, page.labels)
        draw_marks(canvas, HUNDRED_MM.marks(page.bar))
        canvas.showPage()
    canvas.save()
    spots = {name: spot for spot, name in plates.items()}
    made = _with_colours(file.getvalue(), spots, device)
    if device is not None and is_of_a_press(device.profile):
        return pdf_x(made, device.profile, device.name)
    return made


def plate_names(spots: Iterable[SpotColour]) -> dict[SpotColour, str]:
    """Return the name of each spot's plate: plain letters, figures and spaces, each its own."""
    names: dict[SpotColour, str] = {WHITE: WHITE.name, EDGE: EDGE.name}
    for spot in spots:
        if spot in names:
            continue
        plain = re.sub(r"[^A-Za-z0-9 -]", " ", spot.name).strip() or "Paint"
        name, number = plain, 1
        while name in names.values():
            number += 1
            name = f"{plain} {number}"
        names[spot] = name
    return names


def _draw(canvas: Any, area: SpotArea, plate: str) -> None:
    from reportlab.lib.colors import CMYKColorSep

    # What it is on a press without the ink is set afterwards, in Lab.
    ink = CMYKColorSep(0, 0.1, 0, 0, spotName=plate, density=1)
    if area.line_mm:
        canvas.setStrokeColor(ink)
        canvas.setLineWidth(area.line_mm)
    else:
        canvas.setFillColor(ink)
    canvas.addLiteral(f"{path_operators(area.outline)} {'S' if area.line_mm else 'f'}")


def _with_colours(
    content: bytes, spots: Mapping[str, SpotColour], device: DeviceInks | None
) -> bytes:
    """Return the PDF with each plate's colour instead of the writer's own ink values."""
    import pikepdf

    with pikepdf.open(BytesIO(content)) as pdf:
        inks = None if device is None else _ink_space(pdf, device)
        for space in list(_separations(pdf)):
            spot = spots[str(space[1])[1:]]
            if device is None:
                space[2], space[3] = _lab_space(spot)
                continue
            space[2] = inks
            space[3] = _tint(device.paper, device.values[spot], [0, 1] * device.channels)
        file = BytesIO()
        pdf.save(file, deterministic_id=True, static_id=False)
    return file.getvalue()


def _ink_space(pdf: Any, device: DeviceInks) -> Any:
    """Return the space of a printer's own inks or lights: plain where it is the output intent's."""
    import pikepdf

    plain = pikepdf.Name.DeviceCMYK if device.channels == 4 else pikepdf.Name.DeviceRGB
    if is_of_a_press(device.profile):
        return plain
    profile = pdf.make_stream(device.profile)
    profile.N, profile.Alternate = device.channels, plain
    return pikepdf.Array([pikepdf.Name.ICCBased, profile])


def _lab_space(spot: SpotColour) -> tuple[Any, Any]:
    """Return the space and the tints of a plate by its Lab."""
    import pikepdf

    white = pikepdf.Dictionary(WhitePoint=list(D65), Range=[-128, 127, -128, 127])
    tint = _tint((100, 0, 0), [round(v, 2) for v in spot.lab], [0, 100, -128, 127, -128, 127])
    return pikepdf.Array([pikepdf.Name.Lab, white]), tint


def _tint(bare: Sequence[float], full: Sequence[float], limits: Sequence[float]) -> Any:
    """Return the colours of a plate from bare paper to its full ink (ISO 32000-1, 7.10.3)."""
    import pikepdf

    return pikepdf.Dictionary(
        FunctionType=2, Domain=[0, 1], Range=list(limits), C0=list(bare), C1=list(full), N=1
    )


def _separations(pdf: Any) -> Iterator[Any]:
    """Yield every Separation colour space of a PDF."""
    import pikepdf

    for found in pdf.objects:
        is_four = isinstance(found, pikepdf.Array) and len(found) == 4
        if is_four and found[0] == pikepdf.Name.Separation:
            yield found


def check_separations(pages: Sequence[SpotPage], content: bytes) -> None:
    """Raise LiveryError where the PDF, read by another library, lacks a plate or a page's size."""
    from pypdf import PdfReader

    read = PdfReader(BytesIO(content)).pages
    plates = plate_names(spot for page in pages for spot in page.spots)
    wrong = "" if len(read) == len(pages) else f"it has {len(read)} pages"
    for number, (page, found) in enumerate(zip(pages, read, strict=False), start=1):
        size = [float(v) / POINTS_PER_MM for v in (found.mediabox.width, found.mediabox.height)]
        if max(abs(size[0] - page.width_mm), abs(size[1] - page.height_mm)) > MOST_MM:
            wrong = f"page {number} is {size[0]:.2f} x {size[1]:.2f} mm"
        spaces: Any = found["/Resources"]["/ColorSpace"].get_object()  # type: ignore[index]
        named = {str(space.get_object()[1])[1:] for space in spaces.values()}
        lost = {plates[spot] for spot in page.spots} - named
        if lost:
            wrong = f"page {number} has no plate {min(lost)}"
    if wrong:
        raise fault(
            "self-check",
            f"the transfers, read again, are wrong: {wrong}",
            "Nothing was written. This is a fault of Livery's own: please report it with the job.",
            exit_status=1,
        )
