"""Solids as a 3MF package in millimetres, for a printer's program: every part with its name.

Laid out as the 3MF Core Specification says (3MF Consortium, version 1.3; ISO/IEC 25422): a zip
archive of the model, what it relates to and the types of its files.  Written here and not by the
consortium's own library, which has no build for every processor and puts random names in.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple
from xml.sax.saxutils import quoteattr

from livery.rounding import rounded_value
from livery.work_cache import kept

if TYPE_CHECKING:
    from livery.mesh import Mesh

_CORE = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_MODEL = "3D/3dmodel.model"
_NO_TIME = (1980, 1, 1, 0, 0, 0)
"""The time of every file in the package (by definition: the first that ZIP can hold). Another
gives other bytes."""

_DECIMALS = 4
"""Decimals of a millimetre that are written (chosen: far below a printer's step). Fewer, and near
corners become one."""

_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_TYPES = (
    f'{_HEAD}<Types xmlns="{_PACKAGE}/content-types">'
    '<Default Extension="rels" '
    'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="model" '
    'ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>\n'
)
_RELATED = (
    f'{_HEAD}<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rel0" '
    f'Target="/{_MODEL}" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>'
    "</Relationships>\n"
)


class PrintedPart(NamedTuple):
    """A solid to print, with its name and how far it is moved on the bed; millimetres."""

    name: str
    mesh: Mesh
    moved: tuple[float, float, float] = (0.0, 0.0, 0.0)


@kept
def three_mf_bytes(parts: Sequence[PrintedPart], title: str) -> bytes:
    """Return the parts as one 3MF package, each an object that is placed once, its up side up."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as package:
        for name, text in (
            ("[Content_Types].xml", _TYPES),
            ("_rels/.rels", _RELATED),
            (_MODEL, "".join(_model(parts, title))),
        ):
            entry = zipfile.ZipInfo(name, _NO_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            entry.create_system = 3  # as on every system, so that the bytes are the same
            package.writestr(entry, text.encode())
    return archive.getvalue()


def _model(parts: Sequence[PrintedPart], title: str) -> Iterator[str]:
    yield f'{_HEAD}<model unit="millimeter" xml:lang="en" xmlns="{_CORE}">\n'
    yield f'<metadata name="Title">{quoteattr(title)[1:-1]}</metadata>\n<resources>\n'
    for number, part in enumerate(parts, start=1):
        yield from _object(number, part)
    yield "</resources>\n<build>\n"
    for number, part in enumerate(parts, start=1):
        moved = " ".join(_decimal(v) for v in part.moved)
        yield f'<item objectid="{number}" transform="1 0 0 0 1 0 0 0 1 {moved}"/>\n'
    yield "</build>\n</model>\n"


def _object(number: int, part: PrintedPart) -> Iterator[str]:
    yield f'<object id="{number}" type="model" name={quoteattr(part.name)}>\n<mesh>\n<vertices>\n'
    for point in part.mesh.points.tolist():
        x, y, z = (_decimal(v) for v in point)
        yield f'<vertex x="{x}" y="{y}" z="{z}"/>\n'
    yield "</vertices>\n<triangles>\n"
    for a, b, c in part.mesh.triangles.tolist():
        yield f'<triangle v1="{a}" v2="{b}" v3="{c}"/>\n'
    yield "</triangles>\n</mesh>\n</object>\n"


def _decimal(value: float) -> str:
    return f"{rounded_value(value, _DECIMALS):.{_DECIMALS}f}"
