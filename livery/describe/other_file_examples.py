"""Examples of the other files that a user writes: of single keys, and whole files that can be read."""

from __future__ import annotations

OTHER_FILE_EXAMPLES = {
    "ShelfEntry": {
        "title": '"Workshop shelf"',
        "white": '"white"',
        "model": '"enamels.json"',
        "record": '"cards.toml"',
        "specular": '"excluded"',
        "ShelfEntry.wavelengths": "{ from = 400, to = 700, step = 10 }",
        "ShelfEntry.surface": "{ k1 = 0.04, k2 = 0.6 }",
    },
    "TintEntry": {
        "TintEntry.masstone": "{ lab = [24, 12, -30] }",
        "TintEntry.reduction": "{ tint = 10, white = 90, lab = [52, -9, -38] }",
        "nature": '"transparent"',
        "safety": '"Flammable: see the safety sheet."',
    },
    "Reduction": {
        "Reduction.reading": "[0.295, 0.402, 0.41]",
        "Reduction.lab": "[52, -9, -38]",
    },
    "LabReading": {"LabReading.lab": "[24, 12, -30]"},
    "CardEntry": {
        "CardEntry.mixture": '"white 62.4 + blue 11.2"',
        "CardEntry.lab": "[61.2, -4.4, -18]",
        "CardEntry.reading": "[0.295, 0.402, 0.41]",
    },
    "SurveyModel": {"note": '"drawings of the invented works"'},
    "PictureEntry": {
        "PictureEntry.file": '"side-elevation.png"',
        "PictureEntry.size": "[3508, 2480]",
        "PictureEntry.lengths": '["120,90 820,96 = 22 ft 6 in"]',
        "PictureEntry.rectangle": '"120,90 820,150 780,560 150,640 = 8 ft x 6 ft 3 in"',
        "PictureEntry.points": '["120,90 = 0 ft, 6 ft 3 in", "820,90 = 22 ft 6 in, 6 ft 3 in", '
        '"820,560 = 22 ft 6 in, 0 ft", "120,560 = 0 ft, 0 ft"]',
        "PictureEntry.edges": '["120,90 470,95 820,96"]',
        "note": '"drawing 12 of the invented works"',
    },
    "MeasureEntry": {
        "note": '"drawing 12 of the invented works"',
        "MeasureEntry.picture": '"side"',
        "MeasureEntry.pick_error": "0.5",
        "MeasureEntry.distance": '"400,90 700,90"',
        "MeasureEntry.height": '"400,90 from 100,600 900,604"',
        "MeasureEntry.radius": '"154,954 180,1019 241,1047"',
        "MeasureEntry.angle": '"100,300 900,300 and 100,300 300,100"',
    },
    "ColourEntry": {
        "note": '"drawing 12 of the invented works"',
        "ColourEntry.picture": '"cab"',
        "ColourEntry.region": '"rectangle 100,50 180,90"',
        "ColourEntry.card": '["grey card: spot 500,300 20 = 18 %"]',
        "ColourEntry.chart": '"400,80 590,80 590,194 400,194"',
    },
    "TraceEntry": {
        "note": '"drawing 12 of the invented works"',
        "TraceEntry.picture": '"side"',
        "TraceEntry.letter": '"210,80 320,240"',
        "TraceEntry.outline": '"120,270 2870,1130"',
    },
}
"""Examples of keys, by the kind of their table."""

EXAMPLE_FILES = {
    "shelf": """\
title = "Workshop shelf"
white = "white"

[tint.white]
masstone = { lab = [95, -1, 3] }
density = 1.5
price = "20 per l"
stock = "1 l"

[tint.blue]
masstone = { lab = [24, 8, -25] }
reduction = { tint = 10, white = 90, lab = [60, -5, -30] }
density = 1.1
price = "38 per l"
stock = "250 ml"
nature = "transparent"

[[card]]
mixture = "white 62.4 + blue 11.2"
lab = [57, -5.2, -31]
""",
    "survey": """\
[picture.side]
file = "side-elevation.png"
size = [3508, 2480]
lengths = ["120,90 820,96 = 22 ft 6 in"]

[[measure.waist]]
picture = "side"
height = "400,90 from 100,600 900,604"

[colour.cab-green]
picture = "side"
region = "rectangle 100,50 180,90"
card = ["grey card: spot 500,300 20 = 18 %"]

[trace.four]
picture = "side"
letter = "210,80 320,240"
""",
}
"""Whole files, by what "livery keys" calls them."""
