"""A PDF for a press, with the keys that PDF/X-4 asks for (ISO 15930-7:2010).

The profile of the press is its output intent; whatever is not in a spot colour is in the colours
of that press; fonts are embedded; and its metadata says what it is.
:mod:`~livery.write.pdf_x_keys` looks for all this again.
"""

from __future__ import annotations

import hashlib
from io import BytesIO
from typing import Any

_OUTPUT_DEVICE, _CLASS = b"prtr", slice(12, 16)
"""An output device profile, and where a profile says its class (ICC.1, 7.2)."""

VERSION = "PDF/X-4"
_DATE, _XMP_DATE = "D:20000101000000+00'00'", "2000-01-01T00:00:00+00:00"
"""No clock: the same pages give the same bytes."""
_PDFX_ID = "http://www.npes.org/pdfx/ns/id/"


def is_of_a_press(profile: bytes) -> bool:
    """Return whether a profile is one of an output device, which alone can be an output intent."""
    return profile[_CLASS] == _OUTPUT_DEVICE


def pdf_x(content: bytes, profile: bytes, condition: str) -> bytes:
    """Return a PDF in spot colours and greys with the keys of PDF/X-4.

    ``profile`` is that of the press, ``condition`` what it is called.
    """
    import pikepdf

    channels = 4 if profile[16:20] == b"CMYK" else 3
    with pikepdf.open(BytesIO(content)) as pdf:
        intent = pdf.make_stream(profile)
        intent.N = channels
        pdf.Root.OutputIntents = pikepdf.Array(
            [
                pikepdf.Dictionary(
                    Type=pikepdf.Name.OutputIntent,
                    S=pikepdf.Name.GTS_PDFX,
                    OutputConditionIdentifier=pikepdf.String(condition),
                    Info=pikepdf.String(condition),
                    DestOutputProfile=pdf.make_indirect(intent),
                )
            ]
        )
        for page in pdf.pages:
            page.obj.TrimBox = page.obj.MediaBox
            for key in ("/Trans", "/Rotate"):
                if key in page.obj:
                    del page.obj[key]
            _only_embedded_fonts(pdf, page, in_cmyk=channels == 4)
        title = str(pdf.docinfo.get("/Title", ""))
        del pdf.trailer["/Info"]
        pdf.docinfo["/Title"] = title
        pdf.docinfo["/CreationDate"] = pdf.docinfo["/ModDate"] = _DATE
        pdf.docinfo["/Trapped"] = pikepdf.Name("/False")
        packet = pdf.make_stream(_metadata(title, hashlib.sha256(content).hexdigest()))
        packet.Type, packet.Subtype = pikepdf.Name.Metadata, pikepdf.Name.XML
        pdf.Root.Metadata = pdf.make_indirect(packet)
        file = BytesIO()
        pdf.save(
            file,
            min_version="1.6",
            force_version="1.6",
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            deterministic_id=True,
            fix_metadata_version=False,
        )
    return file.getvalue()


def _only_embedded_fonts(pdf: Any, page: Any, *, in_cmyk: bool) -> None:
    """Leave out fonts that are not embedded; put greys into the colours of the press."""
    import pikepdf

    fonts = page.obj.Resources.get("/Font", {})
    bare = {name for name, font in fonts.items() if "/FontDescriptor" not in font}
    for name in bare:
        del fonts[name]
    kept = []
    for one in pikepdf.parse_content_stream(page):
        operands: list[Any] = list(one.operands)
        name = str(one.operator)
        if name == "Tf" and str(operands[0]) in bare:
            continue
        if in_cmyk and name in ("rg", "RG"):
            # Words and bars are grey: black ink alone, so that no ink has to lie true to another.
            black = 1.0 - float(max(operands))
            operands, name = [0, 0, 0, round(black, 4)], {"rg": "k", "RG": "K"}[name]
        kept.append((operands, pikepdf.Operator(name)))
    page.obj.Contents = pdf.make_stream(pikepdf.unparse_content_stream(kept))
    for state in page.obj.Resources.get("/ExtGState", {}).values():
        if "/OPM" in state:
            state["/OPM"] = 0


def _metadata(title: str, digest: str) -> bytes:
    """Return the packet of metadata (XMP, ISO 16684-1) of a file of this content."""
    from xml.sax.saxutils import escape

    uuid = f"uuid:{digest[:8]}-{digest[8:12]}-{digest[12:16]}-{digest[16:20]}-{digest[20:32]}"
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfxid="{_PDFX_ID}">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>
<xmp:CreateDate>{_XMP_DATE}</xmp:CreateDate>
<xmp:ModifyDate>{_XMP_DATE}</xmp:ModifyDate>
<xmp:MetadataDate>{_XMP_DATE}</xmp:MetadataDate>
<xmpMM:DocumentID>{uuid}</xmpMM:DocumentID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdf:Trapped>False</pdf:Trapped>
<pdfxid:GTS_PDFXVersion>{VERSION}</pdfxid:GTS_PDFXVersion>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>""".encode()
