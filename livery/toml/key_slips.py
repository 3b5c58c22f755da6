"""Keys that are written for others: what each stands for, and what to write instead."""

from __future__ import annotations

MEANT_KEYS = {
    "color": ("paint", "screen"),
    "colour": ("paint", "screen"),
    "colors": ("paint",),
    "colours": ("paint",),
    "paints": ("paint",),
    "font": ("alphabet",),
    "hex": ("screen",),
    "rgb": ("screen",),
    "cmyk": ("screen",),
    "hsl": ("screen",),
    "hsv": ("screen",),
    "lch": ("lab",),
    "xyz": ("lab",),
    "ral": ("standard",),
    "lab": ("paint",),
    "screen": ("paint",),
    "standard": ("paint",),
    "vinyl": ("film",),
    "size": ("cap_height", "width", "diameter", "side", "height"),
    "position": ("at",),
    "margin": ("inset",),
    "opening": ("keep_out",),
    "cutout": ("keep_out",),
    "cut_out": ("keep_out",),
    "hole": ("keep_out",),
    "window": ("keep_out",),
    "door": ("keep_out",),
    "other_hand": ("mirror_of",),
    "hand_of": ("mirror_of",),
    "arch": ("crown",),
    "arched": ("crown",),
    "camber": ("crown",),
    "points": ("polygon", "along"),
    "path": ("along",),
    "corners": ("corner", "polygon"),
    "radius": ("diameter", "corner"),
    "corner_radius": ("corner",),
    "offset": ("inset", "depth"),
    "distance": ("inset",),
    "thickness": ("width",),
    "text": ("lettering",),
    "words": ("lettering", "text"),
    "string": ("text",),
    "font_size": ("cap_height",),
    "letter_height": ("cap_height",),
    "letter_spacing": ("tracking",),
    "spacing": ("tracking",),
    "kerning": ("optical",),
    "label": ("lettering", "text"),
    "background": ("field",),
    "works": ("spraying",),
    "calendar": ("spraying",),
    "schedule": ("spraying",),
    "stripe": ("lining", "band"),
    "stripes": ("lining", "band"),
    "pinstripe": ("lining", "band"),
    "line": ("lining",),
    "lines": ("lining",),
    "name": ("called", "title"),
    "x": ("station", "at"),
    "y": ("height", "at"),
    "side": ("face",),
    "roll": ("width",),
    "real": ("built",),
    "actual": ("built",),
    "measured": ("built", "as_built"),
    "shadow": ("shade",),
    "w": ("rectangle",),
    "h": ("rectangle",),
    "width": ("fit_width", "rectangle", "outline", "across", "side"),
    "height": ("cap_height", "rectangle", "outline", "across"),
    "length": ("width", "rectangle"),
    "scale": ("height",),
    "crest": ("ornament",),
    "image": ("ornament",),
    "logo": ("ornament",),
    "emblem": ("ornament",),
    "badge": ("ornament",),
    "artwork": ("ornament",),
    "folds": ("faces",),
    "bends": ("faces",),
    "angle": ("bend", "lean", "slant"),
    "ellipse": ("oval",),
    "at": ("station", "region", "centre"),
    "dry": ("touch_dry",),
    "drying": ("touch_dry",),
    "dry_time": ("touch_dry",),
    "drying_time": ("touch_dry",),
    "coverage": ("volume_solids",),
    "layers": ("coats",),
    "primer": ("ground",),
    "undercoat": ("ground",),
    "gloss": ("finish",),
    "sheen": ("finish",),
    "from": ("not_before", "bottom", "start"),
    "to": ("top", "end"),
    "not_after": ("by",),
    "until": ("by",),
    "deadline": ("by",),
    "date": ("on", "not_before"),
    "day": ("on", "not_before"),
    "reversed": ("turned",),
    "flipped": ("turned",),
    "engine": ("vehicle",),
    "tender": ("vehicle",),
    "locomotive": ("vehicle",),
    "coach": ("vehicle",),
    "carriage": ("vehicle",),
    "wagon": ("vehicle",),
    "van": ("vehicle",),
}
"""The key that is meant by another word for it."""


_LEVEL = 'A band straight across has its middle at a height: level = "waist - 2 in". '
_UPRIGHT = 'A band straight up has its middle at a station: upright = "3 ft". '
_ROUND = 'To run round an area, write round = { bottom = "1 ft", top = "2 ft" }.'
_AREA = (
    'Write area = { top = "1 ft 6 in" } for all below a height, { bottom = … } for all above it.'
)

_RAIL = 'A handrail is rail = { along = [["2 ft", "4 ft"], ["9 ft", "4 ft"]], diameter = "1 in" }.'
_RIVETS = (
    'A row is rivets = { start = ["1 ft", "2 in"], end = ["9 ft", "2 in"], pitch = "4 in", '
    'diameter = "1 in" }; it is spaced evenly, as near the pitch as it can be.'
)
_SPREAD = 'Write spread = ["4 ft", "16 ft"]: where the first and the last letter stand.'
_SIZED = 'Write rectangle = ["18 ft", "4 ft 6 in"]: its width and its height.'

REMEDIES = {
    **dict.fromkeys(
        (("as_built", "diagonal"), ("as_built", "diagonals")),
        'Write which it is: bottom_left_to_top_right = "784 mm", or top_left_to_bottom_right.',
    ),
    ("as_built", "top_right_to_bottom_left"): 'Write bottom_left_to_top_right = "784 mm".',
    ("as_built", "bottom_right_to_top_left"): 'Write top_left_to_bottom_right = "784 mm".',
    ("area", "height"): _AREA,
    **{("rivets", key): _RIVETS for key in ("along", "count", "number")},
    **{("lettering", key): _SPREAD for key in ("from", "to")},
    **{
        ("lettering", key): 'Write at = ["centre", "middle"]: its place across and up.'
        for key in ("level", "upright", "centre", "middle", "x", "y")
    },
    **{
        (
            "lettering",
            kind,
        ): f'Write shade = {{ paint = "black", depth = "1 in", kind = "{kind}" }}.'
        for kind in ("block", "drop")
    },
    ("shade", "size"): 'Did you mean "depth"?',
    ("as_built", "corners"): (
        'Places of corners are polygon = [["0 mm", "0 mm"], …]; their form is corner = "19 mm".'
    ),
    **{
        ("as_built", key): f'Write {edge} = "603 mm", with all four edges and a diagonal.'
        for edge, way in (
            ("top", "width"),
            ("bottom", "width"),
            ("left", "height"),
            ("right", "height"),
        )
        for key in (f"{way}_{edge}", f"{edge}_{way}", f"{way}_at_{edge}")
    },
    ("as_built", "x"): 'Write left = "31 mm".',
    ("as_built", "y"): 'Write bottom = "80 mm".',
    ("as_built", "size"): 'Write width = "603 mm" and height = "142 mm".',
    ("", "handrail"): f"Write [[panel.NAME.keep_out]]. {_RAIL}",
    ("keep_out", "along"): _RAIL,
    ("keep_out", "diameter"): (
        'A round opening is circle = { centre = ["3 ft", "2 ft"], diameter = "1 ft" }. ' + _RAIL
    ),
    **{("rail", key): _RAIL for key in ("level", "upright", "start", "end", "at")},
    **{("outline", key): _SIZED for key in ("width", "height", "size")},
    **{
        (table, key): _SIZED.replace(":", ' and at = ["3 ft", "1 ft"]:')
        for table, key in (
            *(("keep_out", k) for k in ("width", "height", "size")),
            ("area", "size"),
        )
    },
    **{("lining", key): (_LEVEL + _UPRIGHT).rstrip() for key in ("at", "x", "y")},
    ("as_built", "outline"): 'Write the outline without "outline": as_built = { polygon = [...] }.',
    ("", "film"): 'A film names its paints: [film.NAME] with paints = ["cream"].',
    **{("lining", key): _LEVEL + _ROUND for key in ("bottom", "top", "height")},
    **{("lining", key): _UPRIGHT + _ROUND for key in ("left", "right", "station")},
    **{("field", key): _AREA for key in ("bottom", "top", "height", "up_to")},
    **{
        (table, form): f'Write corner = {{ {form} = "4 in" }}.'
        for table in ("outline", "lining", "as_built", "keep_out", "area")
        for form in ("incurved", "chamfered", "notched")
    },
    ("ornament", "size"): 'Did you mean "height"?',
}
"""What to write instead of a key, by the table it was written in ("" for any)."""
