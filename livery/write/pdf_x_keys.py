"""A PDF read again for the keys that PDF/X-4 asks for, with another library than wrote them.

No program that checks files against the standard (ISO 15930-7:2010) is in the package registries:
what is looked for here is what the standard asks of a file of this kind, its keys from memory, and
nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

from livery.findings import fault

_METADATA = {
    "{http://www.npes.org/pdfx/ns/id/}GTS_PDFXVersion": "PDF/X-4",
    "{http://ns.adobe.com/pdf/1.3/}Trapped": "False",
    "{http://ns.adobe.com/xap/1.0/}CreateDate": None,
    "{http://ns.adobe.com/xap/1.0/}ModifyDate": None,
    "{http://ns.adobe.com/xap/1.0/}MetadataDate": None,
    "{http://ns.adobe.com/xap/1.0/mm/}DocumentID": None,
    "{http://ns.adobe.com/xap/1.0/mm/}VersionID": None,
    "{http://ns.adobe.com/xap/1.0/mm/}RenditionClass": None,
}
"""What the metadata must have, and as what, if one thing alone is right."""

_INK_OPERATORS = {4: {b"k", b"K"}, 3: {b"rg", b"RG"}}
_DEVICE_OPERATORS = frozenset((b"rg", b"RG", b"k", b"K", b"g", b"G"))


def check_pdf_x(content: bytes) -> None:
    """Raise LiveryError where the PDF lacks a key of PDF/X-4."""
    wrong = next(pdf_x_faults(content), "")
    if wrong:
        raise fault(
            "self-check",
            f"the transfers for your printer, read again, are wrong: {wrong}",
            "Nothing was written. This is a fault of Livery's own: please report it with the job.",
            exit_status=1,
        )


def pdf_x_faults(content: bytes) -> Iterator[str]:
    """Yield the keys of PDF/X-4 that a PDF lacks."""
    from pypdf import PdfReader

    read = PdfReader(BytesIO(content))
    root: Any = read.trailer["/Root"].get_object()
    if content[:8] != b"%PDF-1.6":
        yield "it is not of PDF 1.6"
    if "/ID" not in read.trailer or "/Encrypt" in read.trailer:
        yield "it has no identifier, or is encrypted"
    channels = 0
    intents = [i.get_object() for i in root.get("/OutputIntents", [])]
    if len(intents) != 1 or intents[0].get("/S") != "/GTS_PDFX":
        yield "it has no output intent for PDF/X"
    else:
        profile = intents[0]["/DestOutputProfile"].get_object()
        channels = int(profile["/N"])
        if profile.get_data()[12:16] != b"prtr":
            yield "its output intent is not the profile of an output device"
        if not intents[0].get("/OutputConditionIdentifier"):
            yield "its output intent has no name"
    yield from _metadata_faults(root)
    for number, page in enumerate(read.pages, start=1):
        yield from _page_faults(f"page {number}", page, channels)


def _metadata_faults(root: Any) -> Iterator[str]:
    if "/Metadata" not in root:
        yield "it has no metadata"
        return
    packet = ElementTree.fromstring(root["/Metadata"].get_object().get_data())
    found = {e.tag: e.text for e in packet.iter()}
    for tag, value in _METADATA.items():
        if not found.get(tag) or (value is not None and found[tag] != value):
            yield f"its metadata lacks {tag.rpartition('}')[2]}"


def _page_faults(place: str, page: Any, channels: int) -> Iterator[str]:
    if "/TrimBox" not in page or "/ArtBox" in page:
        yield f"{place} has no trim box alone"
    resources: Any = page["/Resources"].get_object()
    for font in resources.get("/Font", {}).values():
        own = font.get_object().get("/FontDescriptor")
        if own is None or "/FontFile2" not in own.get_object():
            yield f"{place} has a font that is not embedded"
    used = {operator for _, operator in page.get_contents().operations}
    if used & _DEVICE_OPERATORS - _INK_OPERATORS.get(channels, set()):
        yield f"{place} has colours that are not those of the output intent"
    for space in resources.get("/ColorSpace", {}).values():
        own = space.get_object()
        meant = {4: "/DeviceCMYK", 3: "/DeviceRGB"}.get(channels)
        if own[0] != "/Separation" or own[2] != meant:
            yield f"{place} has a plate that stands for other colours than the output intent's"
