"""Slips in what goes round the panels: a vehicle, a table of rows, a plate, a crest, the works."""

from __future__ import annotations

FILES = {
    "wagons.csv": "called,number\n101,101\n102,102\n",
    "crest.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path fill="#c01020" d="M0 0H9V9Z"/></svg>',
}
"""The files beside the description."""

SOUND_JOB = """\
row = { table = "wagons.csv", called = "101" }

[job]
title = "Marram wagon"
scale = "1:8"

[paint.grey]
lab = [50, 0, 0]
volume_solids = "45 %"
touch_dry = "1 h"

[paint.red]
screen = "#a01818"

[film.grey]
price = 12.50

[vehicle.wagon]
length = "10 ft"

[panel.side]
place = { face = "left", station = "0 ft", height = "4 ft" }
datum = { waist = { height = "2 ft" } }

[panel.side.sheet]
faces = [ { flat = "6 ft" }, { bend = "90 deg", radius = "6 in" }, { flat = "2 ft" } ]
across = "3 ft"

[[panel.side.ornament]]
file = "crest.svg"
paints = [{ fill = "#c01020", paint = "red" }]
at = ["2 ft", "1 ft 6 in"]
height = "1 ft"

[[panel.side.lettering]]
text = "No. {number}"
alphabet = "plain block"
cap_height = "9 in"
paint = "grey"
at = ["4 ft", "middle"]

[plate.works]
outline = { rectangle = ["12 in", "6 in"] }
process = "etched"
lettering = [{ text = "M", alphabet = "plain block", cap_height = "2 in", at = ["centre", "middle"] }]

[spraying]
system = "two-pack"
start = "2027-03-06 9:00"
hours = "9:00 to 17:00"
days = { sunday = "off" }
off = ["2027-03-26"]
loss = "40 %"
when = [{ paint = "grey", not_before = "2027-03-13" }]
"""

_DAY = 'not_before = "2027-03-13"'
_HOURS = 'hours = "9:00 to 17:00"'
_SUNDAY = 'sunday = "off"'
_LOSS = 'loss = "40 %"'
_SOLIDS = 'volume_solids = "45 %"'
_SCREEN = 'screen = "#a01818"'
_ETCHED = 'process = "etched"'
_FILE = 'file = "crest.svg"'
_HIGH = 'cap_height = "9 in"'
_AT = 'at = ["4 ft", "middle"]'
_ROW = 'called = "101" }'

JOB_SLIPS: dict[str, tuple[str, str]] = {
    # dates, hours and days
    "date with its month in words": (_DAY, 'not_before = "13 March 2027"'),
    "date with slashes": (_DAY, 'not_before = "13/03/2027"'),
    "date that may be read two ways": (_DAY, 'not_before = "03/06/2027"'),
    "date that is not in the calendar": (_DAY, 'not_before = "2027-02-30"'),
    "last day by another word": (_DAY, 'not_after = "2027-03-13"'),
    "day off by its weekday": ('off = ["2027-03-26"]', 'off = ["sunday"]'),
    "days off as a range": ('off = ["2027-03-26"]', 'off = ["2027-03-26 to 2027-03-29"]'),
    "hours with am and pm": (_HOURS, 'hours = "9am to 5pm"'),
    "hours without minutes": (_HOURS, 'hours = "9-17"'),
    "hours with points": (_HOURS, 'hours = "9.00-17.00"'),
    "hours in a list": (_HOURS, 'hours = ["9:00", "17:00"]'),
    "hours backwards": (_HOURS, 'hours = "22:00 to 18:00"'),
    "weekday cut short": (_SUNDAY, 'sun = "off"'),
    "weekday in another language": (_SUNDAY, 'sonntag = "off"'),
    "weekday false": (_SUNDAY, "sunday = false"),
    "weekday closed": (_SUNDAY, 'sunday = "closed"'),
    "start with am": ('start = "2027-03-06 9:00"', 'start = "2027-03-06 9am"'),
    "date of a paint not declared": ('when = [{ paint = "grey"', 'when = [{ paint = "gray"'),
    "date of a panel not declared": (_DAY, f'on = ["sides"], {_DAY}'),
    "one date without its list": (f'[{{ paint = "grey", {_DAY} }}]', f'{{ paint = "grey", {_DAY} }}'),
    # shares, durations, volumes, weights, areas
    "share as a fraction": (_LOSS, "loss = 0.4"),
    "share in words": (_LOSS, 'loss = "40 percent"'),
    "share above all": (_LOSS, 'loss = "140 %"'),
    "share as a number": (_SOLIDS, "volume_solids = 45"),
    "duration in words": (_SOLIDS, 'pot_life = "two hours"'),
    "duration as a clock": (_SOLIDS, 'pot_life = "1:30"'),
    "duration as a range": (_SOLIDS, 'recoat = "4-6 h"'),
    "duration in months": (_SOLIDS, 'latest = "1 month"'),
    "film in microns without a unit": (_SOLIDS, "dry_film = 25"),
    "film in mils": (_SOLIDS, 'dry_film = "1 mil"'),
    "mix in words": (_SOLIDS, 'mix = "4 to 1"'),
    "mix in a list": (_SOLIDS, "mix = [4, 1, 1]"),
    "mix with thinner in per cent": (_SOLIDS, 'mix = "4:1 + 10 %"'),
    "density with its unit": (_SOLIDS, 'density = "1.2 kg/l"'),
    "tin by its weight": (_SOLIDS, 'packs = [{ holds = "1 kg" }]'),
    "tin in pints": (_SOLIDS, 'packs = [{ holds = "1 pint" }]'),
    "price with its currency": ("price = 12.50", 'price = "£12,50"'),
    "roll in yards": ("price = 12.50", 'sold_by = "36 yd"'),
    "area by its sides": (_LOSS, 'booth = "1 m x 60 cm"'),
    "panels of a booth without the word": (_LOSS, "booth = 2"),
    "coats in words": (_LOSS, 'coats = "two"'),
    "coats by half": (_LOSS, "coats = 2.5"),
    "system by its short name": ('system = "two-pack"', 'system = "2K"'),
    "material with a word more": (_LOSS, 'material = "mild steel"'),
    "works with a name": ("[spraying]", "[spraying.main]"),
    # colours
    "screen of three figures": (_SCREEN, 'screen = "#a11"'),
    "screen with its alpha": (_SCREEN, 'screen = "#a01818ff"'),
    "screen as a list": (_SCREEN, "screen = [160, 24, 24]"),
    "screen as a function": (_SCREEN, 'screen = "rgb(160, 24, 24)"'),
    "screen as a number": (_SCREEN, "screen = 0xa01818"),
    "screen with a letter O": (_SCREEN, 'screen = "#ao1818"'),
    "colour for a printer": (_SCREEN, "cmyk = [0, 85, 85, 37]"),
    "colour by lightness, chroma and hue": (_SCREEN, "lch = [34, 60, 33]"),
    "palette as a key": (_SCREEN, "ral = 3002"),
    "recipe as a table": (_SCREEN, 'recipe = { red = 60, white = 40 }\nshelf = "demo"'),
    "illuminant in words": ("lab = [50, 0, 0]", 'lab = [50, 0, 0]\nilluminant = "daylight"'),
    "observer in words": ("lab = [50, 0, 0]", 'lab = [50, 0, 0]\nobserver = "10 degrees"'),
    "varnish as a kind": (_SOLIDS, 'kind = "varnish"'),
    "coverage for solids": (_SOLIDS, 'coverage = "10 m2/l"'),
    "layers for coats": (_SOLIDS, "layers = 2"),
    "sample by its place": (_SCREEN, 'sample = { photo = "photo.jpg", at = "120,140" }'),
    # files
    "file as an address": (_FILE, 'file = "https://example.org/crest.svg"'),
    "file as a folder": (_FILE, 'file = "."'),
    "file in the user's own folder": (_FILE, 'file = "~/crest.svg"'),
    "ornament without its file": (f"{_FILE}\n", ""),
    "ornament called crest": ("[[panel.side.ornament]]", "[[panel.side.crest]]"),
    "ornament by its scale": ('height = "1 ft"\n', "scale = 0.5\n"),
    "ornament held by its center": ('height = "1 ft"\n', 'height = "1 ft"\nby = "center"\n'),
    "fills as pairs": ('[{ fill = "#c01020", paint = "red" }]', '{ "#c01020" = "red" }'),
    "fill as a function": ('fill = "#c01020"', 'fill = "rgb(192,16,32)"'),
    # angles, plates, sheets
    "angle without its unit": ('bend = "90 deg"', 'bend = "90"'),
    "angle as a number": ('bend = "90 deg"', "bend = 90"),
    "angle in radians": ('bend = "90 deg"', 'bend = "1.5708 rad"'),
    "draft as a slope": (_ETCHED, 'process = "sand cast"\ndraft = "1:20"'),
    "width of a folded sheet": ('across = "3 ft"', 'width = "3 ft"'),
    "folds for faces": ("faces = [", "folds = ["),
    "plate cast": (_ETCHED, 'process = "cast"'),
    "plate by its metal": (_ETCHED, 'process = "brass"'),
    "plate of bronze": (_ETCHED, 'process = "sand cast"\nmetal = "bronze"'),
    "letters engraved": (_ETCHED, f'{_ETCHED}\nletters = "engraved"'),
    "holes by their size": (_ETCHED, f'{_ETCHED}\nholes = {{ size = "1/2 in", corners = "1 in" }}'),
    "ellipse for an oval": ('{ rectangle = ["12 in", "6 in"] }', '{ ellipse = ["12 in", "6 in"] }'),
    "plate within a panel": ("[plate.works]", "[[panel.side.plate]]"),
    # rows, vehicles, places
    "row not in the table": (_ROW, 'called = "109" }'),
    "row as a number": (_ROW, "called = 101 }"),
    "row by its column": (_ROW, 'number = "101" }'),
    "column misspelt": ("No. {number}", "No. {numbr}"),
    "vehicle called wagon": ("[vehicle.wagon]", "[wagon.wagon]"),
    "vehicles in double brackets": ("[vehicle.wagon]", "[[vehicle]]"),
    "length by a longer name": ('length = "10 ft"', 'length_over_headstocks = "10 ft"'),
    "wheels in braces": ('length = "10 ft"', 'length = "10 ft"\nwheels = { diameter = "3 ft" }'),
    "place of a panel by at": ('station = "0 ft", height = "4 ft"', 'at = ["0 ft", "4 ft"]'),
    "field in a colour": ("[plate.works]", "[[panel.side.field]]\nlab = [50, 0, 0]\n\n[plate.works]"),
    "paint by its screen colour": ('paint = "grey"\nat', 'paint = "#808080"\nat'),
    # sizes and places
    "size in words": (_HIGH, 'cap_height = "nine inches"'),
    "size as a range": (_HIGH, 'cap_height = "9 to 10 in"'),
    "about a size": (_HIGH, 'cap_height = "~9 in"'),
    "fraction behind its unit": (_HIGH, 'cap_height = "9 in 1/2"'),
    "fraction with a backslash": (_HIGH, 'cap_height = "9 1\\2 in"'),
    "sixteenths in words": (_HIGH, 'cap_height = "9 16ths"'),
    "thousands with a blank": (_HIGH, 'cap_height = "1 228 mm"'),
    "size of the prototype": (_HIGH, 'cap_height = "228 mm prototype"'),
    "height first": (_AT, 'at = ["waist", "3 ft"]'),
    "place in per cent": (_AT, 'at = ["50 %", "middle"]'),
    "place without blanks": (_AT, 'at = ["4 ft", "waist-2 in"]'),
    "place the other way about": (_AT, 'at = ["4 ft", "2 in + waist"]'),
    "place in words": (_AT, 'at = ["4 ft", "2 in above waist"]'),
    "size of a drawing": ('height = "1 ft"\n', 'size = "1 ft"\n'),
}  # fmt: skip
