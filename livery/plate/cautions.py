"""What can hurt in making plates, said wherever a plate is handed over to be made."""

from __future__ import annotations

from livery.plate.limits import PlateProcess

_MOLTEN = (
    "Molten metal: damp sand, tools or moulds make it explode. Leave melting and pouring to a "
    "foundry, or learn it under someone who does it; eye, face, hand and foot protection, good "
    "ventilation (brass and zinc give off zinc fume) and the local code on furnaces."
)
_CHIPS = (
    "Fine chips fly and dust stays in the air: eye protection, work clamped, dust drawn off; lead-bearing "
    "brass dust is kept away from food and hands."
)
_CAUTIONS = {
    PlateProcess.SAND_CAST: _MOLTEN,
    PlateProcess.INVESTMENT_CAST: (
        f"{_MOLTEN} Burning out wax or print resin gives off harmful smoke: only in a kiln with "
        "extraction; investment powder holds silica, so wear a mask rated for fine dust."
    ),
    PlateProcess.ETCHED: (
        "Etchants burn and stain: goggles, gloves and ventilation, acid into water and never the "
        "reverse; the product's safety sheet decides, and spent liquor goes to a licensed disposer."
    ),
    PlateProcess.MILLED: f"{_CHIPS} Small cutters shatter: keep the guard closed.",
    PlateProcess.ENGRAVED: _CHIPS,
}


def caution(making: PlateProcess) -> str:
    """Return the usual cautions for a way of making plates."""
    return _CAUTIONS[making]
