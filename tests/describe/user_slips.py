"""Slips that a user makes in a description, each as one change to a sound one."""

from __future__ import annotations

SOUND = """\
[job]
title = "Marram van"
scale = "1:8"

[paint.green]
lab = [30, -20, 10]
finish = "satin"

[paint.cream]
lab = [88, 1, 14]

[band.double]
strands = [ { paint = "cream", width = "1/2 in" }, { gap = "1 in" }, { paint = "cream", width = "1/4 in" } ]

[film.cream]
width = "150 mm"

[panel.side]
outline = { rectangle = ["6 ft", "3 ft"] }
as_built = { width = "230 mm", height = "115 mm" }
datum = { waist = { height = "1 ft 9 in", built = "67 mm" } }

[[panel.side.keep_out]]
called = "window"
rectangle = ["1 ft", "9 in"]
at = ["2 ft", "2 ft"]

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "3 in"
process = "cut film"

[[panel.side.lettering]]
text = "VAN"
alphabet = "plain block"
cap_height = "6 in"
paint = "cream"
at = ["centre", "middle"]
shade = { paint = "green", direction = "lower right", depth = "1 in" }
"""

SLIPS: dict[str, tuple[str, str]] = {
    # what is written: what stood there, what stands there now
    "unit left out": ('cap_height = "6 in"', "cap_height = 6"),
    "unit left out in quotes": ('cap_height = "6 in"', 'cap_height = "6"'),
    "unknown unit": ('cap_height = "6 in"', 'cap_height = "6 cubits"'),
    "unit misspelt": ('cap_height = "6 in"', 'cap_height = "6 inchs"'),
    "nothing high": ('cap_height = "6 in"', 'cap_height = "0 in"'),
    "less than nothing high": ('cap_height = "6 in"', 'cap_height = "-6 in"'),
    "decimal comma": ('cap_height = "6 in"', 'cap_height = "6,5 in"'),
    "fraction over nothing": ('cap_height = "6 in"', 'cap_height = "6 1/0 in"'),
    "empty size": ('cap_height = "6 in"', 'cap_height = ""'),
    "word for a size": ('cap_height = "6 in"', 'cap_height = "large"'),
    "size in a list": ('cap_height = "6 in"', 'cap_height = ["6 in"]'),
    "size as yes or no": ('cap_height = "6 in"', "cap_height = true"),
    "quote not closed": ('text = "VAN"', 'text = "VAN'),
    "curly quotes": ('text = "VAN"', "text = \u201cVAN\u201d"),
    "no quotes": ('text = "VAN"', "text = VAN"),
    "single quote that ends early": ('text = "VAN"', "text = 'VAN'S'"),
    "equals left out": ('text = "VAN"', 'text "VAN"'),
    "colon for equals": ('text = "VAN"', 'text: "VAN"'),
    "comma at the end": ('text = "VAN"', 'text = "VAN",'),
    "key twice": ('text = "VAN"', 'text = "VAN"\ntext = "BUS"'),
    "table twice": ("[band.double]", "[paint.green]\n[band.double]"),
    "bracket left open": ("[band.double]", "[band.double"),
    "single brackets for lettering": ("[[panel.side.lettering]]", "[panel.side.lettering]"),
    "single brackets for a field": ("[[panel.side.field]]", "[panel.side.field]"),
    "single brackets for lining": ("[[panel.side.lining]]", "[panel.side.lining]"),
    "double brackets for a panel": ("[panel.side]", "[[panel.side]]"),
    "double brackets for a paint": ("[paint.green]", "[[paint.green]]"),
    "film without a name": ("[film.cream]", "[film]"),
    "paint without a name": ("[paint.green]", "[paint]"),
    "panel without a name": ("[panel.side]\n", "[panel]\n"),
    "panels for panel": ("[panel.side]\n", "[panels.side]\n"),
    "colour for paint": ("[paint.green]", "[colour.green]"),
    "color for colour": ("[paint.green]", "[color.green]"),
    "text key misspelt": ('text = "VAN"', 'txt = "VAN"'),
    "font for alphabet": ('alphabet = "plain block"', 'font = "plain block"'),
    "height for cap_height": ('cap_height = "6 in"', 'height = "6 in"'),
    "color for paint in lettering": ('paint = "cream"\nat', 'color = "cream"\nat'),
    "colour for paint in lettering": ('paint = "cream"\nat', 'colour = "cream"\nat'),
    "paint not declared": ('[[panel.side.field]]\npaint = "green"', '[[panel.side.field]]\npaint = "gren"'),
    "paint with a capital": ('[[panel.side.field]]\npaint = "green"', '[[panel.side.field]]\npaint = "Green"'),
    "band not declared": ('band = "double"', 'band = "dubble"'),
    "alphabet unknown": ('alphabet = "plain block"', 'alphabet = "plain blok"'),
    "alphabet of a system": ('alphabet = "plain block"', 'alphabet = "Helvetica"'),
    "process vinyl": ('process = "cut film"', 'process = "vinyl"'),
    "process brush": ('process = "cut film"', 'process = "brush"'),
    "process pen": ('process = "cut film"', 'process = "pen"'),
    "process transfer": ('process = "cut film"', 'process = "transfer"'),
    "process airbrush": ('process = "cut film"', 'process = "airbrush"'),
    "process film": ('process = "cut film"', 'process = "film"'),
    "process with a hyphen": ('process = "cut film"', 'process = "cut-film"'),
    "process as a number": ('process = "cut film"', "process = 3"),
    "center for centre": ('["centre", "middle"]', '["center", "middle"]'),
    "centre for middle": ('["centre", "middle"]', '["centre", "centre"]'),
    "middle for centre": ('["centre", "middle"]', '["middle", "middle"]'),
    "one place for two": ('["centre", "middle"]', '["centre"]'),
    "three places for two": ('["centre", "middle"]', '["centre", "middle", "top"]'),
    "place as one text": ('["centre", "middle"]', '"centre, middle"'),
    "datum not declared": ('["centre", "middle"]', '["centre", "wast"]'),
    "place off the panel": ('["centre", "middle"]', '["20 ft", "middle"]'),
    "direction misspelt": ('direction = "lower right"', 'direction = "down right"'),
    "direction in one word": ('direction = "lower right"', 'direction = "lowerright"'),
    "shade paint not declared": ('shade = { paint = "green"', 'shade = { paint = "black"'),
    "shade without a depth": (', depth = "1 in" }', " }"),
    "shade as a text": ('shade = { paint = "green", direction = "lower right", depth = "1 in" }', 'shade = "black"'),
    "shade key misspelt": ('depth = "1 in" }', 'dept = "1 in" }'),
    "scale left out": ('scale = "1:8"\n', ""),
    "scale as a number": ('scale = "1:8"', "scale = 8"),
    "scale without a colon": ('scale = "1:8"', 'scale = "1/8"'),
    "scale of nothing": ('scale = "1:8"', 'scale = "1:0"'),
    "scale in words": ('scale = "1:8"', 'scale = "one eighth"'),
    "scale without its foot": ('scale = "1:8"', 'scale = "7 mm"'),
    "title left out": ('title = "Marram van"\n', ""),
    "title as a number": ('title = "Marram van"', "title = 318"),
    "title misspelt": ('title = "Marram van"', 'titel = "Marram van"'),
    "job left out": ('[job]\ntitle = "Marram van"\nscale = "1:8"\n', ""),
    "paper unknown": ('scale = "1:8"', 'scale = "1:8"\npaper = "A5"'),
    "paper in small letters": ('scale = "1:8"', 'scale = "1:8"\npaper = "a4"'),
    "lab of two numbers": ("lab = [30, -20, 10]", "lab = [30, -20]"),
    "lab in words": ("lab = [30, -20, 10]", 'lab = "30 -20 10"'),
    "lab too light": ("lab = [30, -20, 10]", "lab = [130, -20, 10]"),
    "hexadecimal colour": ("lab = [30, -20, 10]", 'hex = "#204030"'),
    "red green blue": ("lab = [30, -20, 10]", "rgb = [32, 64, 48]"),
    "no colour at all": ("lab = [30, -20, 10]\n", ""),
    "two colours at once": ("lab = [30, -20, 10]", 'lab = [30, -20, 10]\nstandard = "ral 6005"'),
    "standard not there": ('lab = [88, 1, 14]', 'standard = "ral 9999"'),
    "standard of no palette": ('lab = [88, 1, 14]', 'standard = "bs381c 999"'),
    "standard without its palette": ('lab = [88, 1, 14]', 'standard = "1015"'),
    "standard in capitals": ('lab = [88, 1, 14]', 'standard = "RAL 6005"'),
    "finish unknown": ('finish = "satin"', 'finish = "shiny"'),
    "finish glossy": ('finish = "satin"', 'finish = "glossy"'),
    "strand without a width": ('{ paint = "cream", width = "1/4 in" }', '{ paint = "cream" }'),
    "strand of no paint": ('{ paint = "cream", width = "1/4 in" }', '{ width = "1/4 in" }'),
    "strand paint not declared": ('{ paint = "cream", width = "1/4 in" }', '{ paint = "red", width = "1/4 in" }'),
    "strands as one table": ('strands = [ { paint = "cream", width = "1/2 in" }, { gap = "1 in" }, { paint = "cream", width = "1/4 in" } ]', 'strands = { paint = "cream", width = "1/2 in" }'),
    "gaps alone": ('strands = [ { paint = "cream", width = "1/2 in" }, { gap = "1 in" }, { paint = "cream", width = "1/4 in" } ]', 'strands = [ { gap = "1 in" } ]'),
    "no strands": ('strands = [ { paint = "cream", width = "1/2 in" }, { gap = "1 in" }, { paint = "cream", width = "1/4 in" } ]', "strands = []"),
    "inset too large": ('inset = "3 in"', 'inset = "3 ft"'),
    "inset below nothing": ('inset = "3 in"', 'inset = "-3 in"'),
    "inset left out": ('inset = "3 in"\n', ""),
    "inset misspelt": ('inset = "3 in"', 'insett = "3 in"'),
    "corner in words": ('inset = "3 in"', 'inset = "3 in"\ncorner = "round"'),
    "corner of a wrong kind": ('inset = "3 in"', 'inset = "3 in"\ncorner = { curved = "3 in" }'),
    "corner below nothing": ('inset = "3 in"', 'inset = "3 in"\ncorner = { round = "-1 in" }'),
    "along one point": ('inset = "3 in"', 'along = [["1 ft", "1 ft"]]'),
    "along no point": ('inset = "3 in"', "along = []"),
    "along the same point twice": ('inset = "3 in"', 'along = [["1 ft", "1 ft"], ["1 ft", "1 ft"]]'),
    "level and inset at once": ('inset = "3 in"', 'inset = "3 in"\nlevel = "waist"'),
    "band and paint at once": ('band = "double"', 'band = "double"\npaint = "cream"'),
    "rectangle of one side": ('rectangle = ["6 ft", "3 ft"]', 'rectangle = ["6 ft"]'),
    "rectangle as a text": ('rectangle = ["6 ft", "3 ft"]', 'rectangle = "6 ft x 3 ft"'),
    "outline of two shapes": ('{ rectangle = ["6 ft", "3 ft"] }', '{ rectangle = ["6 ft", "3 ft"], circle = "3 ft" }'),
    "outline misspelt": ('outline = { rectangle', 'outlin = { rectangle'),
    "polygon of two points": ('{ rectangle = ["6 ft", "3 ft"] }', '{ polygon = [["0 in", "0 in"], ["6 ft", "0 in"]] }'),
    "outline file not there": ('outline = { rectangle = ["6 ft", "3 ft"] }', 'outline = { file = "side.dxf" }'),
    "as built in feet alone": ('as_built = { width = "230 mm"', 'as_built = { widht = "230 mm"'),
    "as built ten times too large": ('width = "230 mm", height', 'width = "2300 mm", height'),
    "datum without a place": ('{ height = "1 ft 9 in", built = "67 mm" }', "{ }"),
    "datum without a name": ('datum = { waist = { height = "1 ft 9 in", built = "67 mm" } }', 'datum = { height = "1 ft 9 in" }'),
    "datum in a list": ('{ waist = { height = "1 ft 9 in", built = "67 mm" } }', '[ { height = "1 ft 9 in" } ]'),
    "datum off the panel": ('height = "1 ft 9 in", built', 'height = "9 ft", built'),
    "keep-out off the panel": ('at = ["2 ft", "2 ft"]', 'at = ["20 ft", "2 ft"]'),
    "keep-out without a shape": ('rectangle = ["1 ft", "9 in"]\n', ""),
    "thicken in words": ("[film.cream]", '[kit."cut film"]\nthicken = "yes"\n[film.cream]'),
    "true in words": ('scale = "1:8"', 'scale = "1:8"\nmock_up = "yes"'),
    "true as a number": ('scale = "1:8"', 'scale = "1:8"\nmock_up = 1'),
    "key of another table": ('title = "Marram van"', 'title = "Marram van"\nas_built = "230 mm"'),
    "key of the job on a panel": ("[panel.side]", "[panel.side]\nmock_up = true"),
    "path of a line": ('inset = "3 in"', 'path = [["1 ft", "1 ft"], ["2 ft", "1 ft"]]'),
    "numbered lettering": ("shade = {", "[panel.side.lettering.0]\nshade = {"),
    "inset without unit": ('inset = "3 in"', "inset = 3"),
    "color for paint": ('paint = "green"\n\n[[panel.side.lining]]', 'color = "green"\n\n[[panel.side.lining]]'),
    "zero-based key": ("[[panel.side.lettering]]", "[panel.side.lettering.0]"),
    "letters without text": ('text = "VAN"', 'text = ""'),
    "letters the alphabet lacks": ('text = "VAN"', 'text = "\u4e2d\u6587"'),
    "mark-up not closed": ('text = "VAN"', 'text = "N{raised:o"'),
    "letters too large": ('cap_height = "6 in"', 'cap_height = "60 in"'),
    "roll too narrow": ('scale = "1:8"', 'scale = "1:8"\ntemplate_roll = "8 in"'),
    "film width of nothing": ('width = "150 mm"', 'width = "0 mm"'),
    "film of no paint": ("[film.cream]", "[film.red]"),
    "area not there": ('paint = "green"\n\n[[panel.side.lining]]', 'paint = "green"\narea = "door"\n\n[[panel.side.lining]]'),
    "field without a paint": ('[[panel.side.field]]\npaint = "green"\n', "[[panel.side.field]]\n"),
    "unknown table": ("[job]", "[extra]\n\n[job]"),
    "include not there": ("[job]", 'include = ["house.toml"]\n\n[job]'),
    "include as a text": ("[job]", 'include = "house.toml"\n\n[job]'),
    "mirror of itself": ('outline = { rectangle = ["6 ft", "3 ft"] }', 'mirror_of = "side"'),
    "same as one not there": ('outline = { rectangle = ["6 ft", "3 ft"] }', 'same_as = "end"'),
    'keep-out rectangle wrong keys': ('rectangle = ["1 ft", "9 in"]\nat = ["2 ft", "2 ft"]', 'rectangle = { width = "1 ft", height = "9 in" }\nat = ["2 ft", "2 ft"]'),
    'keep-out rectangle with x y': ('rectangle = ["1 ft", "9 in"]\nat = ["2 ft", "2 ft"]', 'rectangle = { x = "2 ft", y = "2 ft", w = "1 ft", h = "9 in" }'),
    'outline width height': ('outline = { rectangle = ["6 ft", "3 ft"] }', 'outline = { width = "6 ft", height = "3 ft" }'),
    'panel width height': ('outline = { rectangle = ["6 ft", "3 ft"] }', 'width = "6 ft"\nheight = "3 ft"'),
    'outline points': ('outline = { rectangle = ["6 ft", "3 ft"] }', 'outline = { points = [["0 ft","0 ft"],["6 ft","0 ft"],["6 ft","3 ft"]] }'),
    'outline a bare rectangle': ('outline = { rectangle = ["6 ft", "3 ft"] }', 'outline = ["6 ft", "3 ft"]'),
    'list then brackets': ('[[panel.side.field]]\npaint = "green"\n', '[panel.side2]\noutline = { rectangle = ["6 ft", "3 ft"] }\nfield = [{ paint = "green" }]\n[[panel.side2.field]]\npaint = "cream"\n\n[[panel.side.field]]\npaint = "green"\n'),
    'circle as number': ('rectangle = ["1 ft", "9 in"]\nat = ["2 ft", "2 ft"]', 'circle = "1 ft"'),
    'circle with radius': ('rectangle = ["1 ft", "9 in"]\nat = ["2 ft", "2 ft"]', 'circle = { centre = ["2 ft","2 ft"], radius = "6 in" }'),
    'circle center': ('rectangle = ["1 ft", "9 in"]\nat = ["2 ft", "2 ft"]', 'circle = { center = ["2 ft","2 ft"], diameter = "1 ft" }'),
    'keepout one word': ('[[panel.side.keep_out]]', '[[panel.side.keepout]]'),
    'window table': ('[[panel.side.keep_out]]', '[[panel.side.window]]'),
    'name for called': ('called = "window"', 'name = "window"'),
    'kind misspelt': ('called = "window"', 'called = "window"\nkind = "hole"'),
    'lines for lining': ('[[panel.side.lining]]', '[[panel.side.line]]'),
    'text table': ('[[panel.side.lettering]]', '[[panel.side.text]]'),
    'background': ('[[panel.side.field]]', '[[panel.side.background]]'),
    'offset for inset': ('inset = "3 in"', 'offset = "3 in"'),
    'corner_radius': ('inset = "3 in"', 'inset = "3 in"\ncorner_radius = "3 in"'),
    'round as size': ('inset = "3 in"', 'inset = "3 in"\nround = "2 in"'),
    'thickness in strand': ('{ paint = "cream", width = "1/4 in" }', '{ paint = "cream", thickness = "1/4 in" }'),
    'strand strings': ('{ gap = "1 in" }', '"1 in"'),
    'lab tuple': ('lab = [88, 1, 14]', 'lab = (88, 1, 14)'),
    'lab table': ('lab = [88, 1, 14]', 'lab = { L = 88, a = 1, b = 14 }'),
    'screen no hash': ('lab = [88, 1, 14]', 'screen = "e9dfc0"'),
    'screen word': ('lab = [88, 1, 14]', 'screen = "cream"'),
    'standard BS 381C 365': ('lab = [88, 1, 14]', 'standard = "BS 381C 365"'),
    'font file': ('alphabet = "plain block"', 'alphabet = "letters.ttf"'),
    'points size': ('cap_height = "6 in"', 'cap_height = "24 pt"'),
    'at x y': ('at = ["centre", "middle"]', 'at = { x = "centre", y = "middle" }'),
    'spread one': ('at = ["centre", "middle"]', 'at = ["centre", "middle"]\nspread = "5 ft"'),
    'scale gauge': ('scale = "1:8"', 'scale = { gauge = "5 in" }'),
    'scale upside down': ('scale = "1:8"', 'scale = "8:1"'),
    'paper letter': ('scale = "1:8"', 'scale = "1:8"\npaper = "US Letter"'),
    'job twice': ('[paint.green]', '[job]\npaper = "A4"\n\n[paint.green]'),
    'as_built list': ('as_built = { width = "230 mm", height = "115 mm" }', 'as_built = ["230 mm", "115 mm"]'),
    'as_built inches': ('as_built = { width = "230 mm", height = "115 mm" }', 'as_built = { width = 230, height = 115 }'),
    'datum string': ('datum = { waist = { height = "1 ft 9 in", built = "67 mm" } }', 'datum = { waist = "1 ft 9 in" }'),
    'datum y': ('height = "1 ft 9 in", built', 'y = "1 ft 9 in", built'),
    'datum named top': ('datum = { waist =', 'datum = { top ='),
    'film roll': ('width = "150 mm"', 'roll = "150 mm"'),
    'mirror': ('[film.cream]', '[panel.other]\nmirror = "side"\n\n[film.cream]'),
    'place side': ('[film.cream]', '[vehicle.van]\nlength = "10 ft"\nwidth = "6 ft"\n\n[panel.b]\noutline = { rectangle = ["6 ft", "3 ft"] }\nplace = { side = "left", x = "0 ft", height = "3 ft" }\n\n[film.cream]'),
    'plate process': ('[film.cream]', '[plate.number]\noutline = { rectangle = ["2 ft", "1 ft"] }\nprocess = "laser"\n\n[film.cream]'),
    'semicolon': ('scale = "1:8"', 'scale = "1:8";'),
    'comment //': ('scale = "1:8"', 'scale = "1:8" // one eighth'),
    'true caps': ('finish = "satin"', 'finish = "satin"\nstencil = True'),
    'multi-line array no comma': ('strands = [ { paint = "cream", width = "1/2 in" }, { gap = "1 in" }', 'strands = [ { paint = "cream", width = "1/2 in" } { gap = "1 in" }'),
    'inline table newline': ('{ rectangle = ["6 ft", "3 ft"] }', '{\n rectangle = ["6 ft", "3 ft"]\n}'),
    'inch mark': ('cap_height = "6 in"', 'cap_height = "6""'),
    'feet mark': ('cap_height = "6 in"', 'cap_height = "1\' 6""'),
    'ditto quotes': ('cap_height = "6 in"', 'cap_height = 6"'),
    'no-dot header': ('[paint.green]', '[paint green]'),
    'spaces in header name': ('[paint.green]', '[paint.dark green]'),
    'slash in name': ('[panel.side]\n', '[panel."side/left"]\n'),
    "no comma between numbers": ("lab = [88, 1, 14]", "lab = [88 1 14]"),
    "no comma between texts": ('["centre", "middle"]', '["centre" "middle"]'),
    "single brackets, then double": ('[[panel.side.lining]]', '[panel.side.lining]\nband = "double"\ninset = "1 in"\nprocess = "cut film"\n\n[[panel.side.lining]]'),
    "single brackets twice": ('[[panel.side.lining]]', '[panel.side.lining]\nband = "double"\n\n[panel.side.lining]'),
    "colour in a paint": ('lab = [88, 1, 14]', 'colour = "#e9dfc0"'),
    "field of a panel misspelt": ('[[panel.side.field]]', '[[panel.sid.field]]'),
    "other hand of a panel misspelt": ('[film.cream]', '[panel.other]\nmirror_of = "sid"\n\n[panel.other.lettering.number]\ntext = "28"\n\n[film.cream]'),
    "entry of the other hand misspelt": ('[film.cream]', '[panel.other]\nmirror_of = "side"\n\n[panel.other.ornament.crest]\nwidth = "5 in"\n\n[film.cream]'),
    "line round a window off the panel": ('inset = "3 in"', 'round = "window"\ninset = "2 ft"'),
}  # fmt: skip
