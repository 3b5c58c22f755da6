"""Pictures of drawings: SVG turned to PNG where the system's Cairo library is there."""

from __future__ import annotations


class NoCairoError(Exception):
    """No PNG was written because the system has no Cairo library; the text is the one line to show."""

    def __init__(self) -> None:
        super().__init__(
            "no PNG was written: the Cairo library is missing; install it with "
            "'apt install libcairo2' (Debian, Ubuntu) or 'brew install cairo' (macOS)"
        )


def png_bytes(svg: str, *, dpi: float = 96.0, width_px: int | None = None) -> bytes:
    """Return a PNG of the SVG text on white, at ``dpi`` dots to the inch or ``width_px`` wide.

    Raises:
        NoCairoError: the system's Cairo library is missing.
    """
    try:
        import cairosvg
    except OSError as missing:
        raise NoCairoError from missing
    picture: bytes = cairosvg.svg2png(
        bytestring=svg.encode(), dpi=dpi, output_width=width_px, background_color="#ffffff"
    )
    return picture
