"""Jobs whose sheets are drawn as they were looked at."""

STENCIL = """
[job]
title = "Test stencil"
scale = "1:1"
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = { rectangle = ["300 mm", "120 mm"] }
[[panel.side.lettering]]
text = "M.C.R. 8"
alphabet = "roman"
cap_height = "30 mm"
paint = "cream"
at = ["centre", "40 mm"]
process = "stencil"
stencil = { bridge = "2 mm", margin = "18 mm" }
"""
VANS = """
[job]
title = "Test vans"
scale = "1:10"
paper = "A4"
mock_up = true

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 1, 19]

[band.double]
strands = [{ paint = "cream", width = "10 mm" }, { gap = "20 mm" }, { paint = "black", width = "5 mm" }]

[paint.black]
lab = [16, 0, 0]

[vehicle.first]
length = "2600 mm"
width = "1500 mm"
coupling = "500 mm"
gauge = "750 mm"
wheels = [{ station = "500 mm", diameter = "400 mm" }, { station = "2100 mm", diameter = "400 mm" }]
buffers = { height = "500 mm", diameter = "150 mm", length = "200 mm", centres = "900 mm", ends = "front" }
gangways = { width = "500 mm", height = "600 mm", tall = "900 mm", length = "180 mm" }

[vehicle.second]
length = "2600 mm"
width = "1500 mm"

[line.waist]
datum = "waist"

[panel.side]
outline = { unit = "mm", path = "M 0 0 L 2500 0 L 2500 900 A 300 300 0 0 1 2200 1200 L 300 1200 C 120 1200 0 1020 0 800 Z" }
as_built = { width = "251 mm", height = "119 mm" }
place = { vehicle = "first", face = "left", station = "50 mm", height = "300 mm" }

[panel.side.datum.waist]
height = "600 mm"
built = "61 mm"

[[panel.side.keep_out]]
called = "window"
left = "1900 mm"
right = "2200 mm"
bottom = "waist + 100 mm"
top = "waist + 400 mm"
corner = "60 mm"

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "80 mm"
corner = { incurved = "60 mm" }
process = "bow pen"

[[panel.side.lettering]]
text = "VAN 16"
alphabet = "plain block"
cap_height = "200 mm"
paint = "cream"
process = "bow pen"
at = ["1100 mm", "middle"]

[panel.other]
mirror_of = "side"
place = { vehicle = "second", face = "right", station = "50 mm", height = "300 mm" }

[panel.next]
outline = { rectangle = ["2500 mm", "1200 mm"] }
place = { vehicle = "second", face = "left", station = "50 mm", height = "305 mm" }

[panel.next.datum.waist]
height = "600 mm"

[[panel.next.field]]
paint = "cream"

[plate.works]
outline = { oval = ["200 mm", "120 mm"] }
border = { width = "6 mm" }
holes = { diameter = "16 mm", at = [["18 mm", "middle"], ["182 mm", "middle"]] }
paint = "black"
process = "etched"
thickness = "0.5 mm on model"
relief = "0.2 mm on model"

[[plate.works.lettering]]
text = "47"
alphabet = "plain block"
cap_height = "40 mm"
at = ["centre", "middle"]
stand = "middle"
"""
PLATES = """
[job]
title = "Test plates"
scale = "1:10"
[paint.black]
lab = [16, 0, 0]
[paint.cream]
lab = [86, 1, 19]
[paint.gold]
lab = [66, 12, 52]
kind = "leaf"
[panel.side]
outline = { rectangle = ["900 mm", "600 mm"] }
[[panel.side.lettering]]
text = "I"
alphabet = "plain block"
cap_height = "100 mm"
paint = "gold"
process = "leaf"
at = ["800 mm", "400 mm"]
[[panel.side.lettering]]
text = "I"
alphabet = "plain block"
cap_height = "60 mm"
paint = "black"
process = "stencil"
stencil = { bridge = "0.5 mm", margin = "4 mm" }
at = ["850 mm", "50 mm"]
[[panel.side.lettering]]
text = "TEST VAN"
alphabet = "plain block"
cap_height = "80 mm"
paint = "cream"
shade = { paint = "black", direction = "lower right", depth = "12 mm" }
process = "decal"
at = ["300 mm", "400 mm"]
[[panel.side.lettering]]
text = "8"
alphabet = "plain block"
cap_height = "30 mm"
paint = "cream"
process = "decal"
at = ["100 mm", "100 mm"]
[plate.cast]
outline = { rectangle = ["600 mm", "300 mm"] }
border = { width = "20 mm" }
holes = { diameter = "15 mm", at = [["40 mm", "middle"], ["560 mm", "middle"]] }
panel = "side"
at = ["450 mm", "300 mm"]
[[plate.cast.lettering]]
text = "318"
alphabet = "plain block"
cap_height = "150 mm"
at = ["centre", "middle"]
stand = "middle"
[plate.milled]
outline = { oval = ["500 mm", "300 mm"] }
process = "milled"
cutter = "1 mm"
[[plate.milled.lettering]]
text = "47"
alphabet = "plain block"
cap_height = "120 mm"
at = ["centre", "middle"]
stand = "middle"
"""
ODD = """
[job]
title = "Test of odd panels"
scale = "1:10"

[paint.green]
lab = [30, -20, 10]

[paint.cream]
lab = [86, 1, 19]

[paint.black]
lab = [16, 0, 0]

[band.double]
strands = [{ paint = "cream", width = "10 mm" }, { gap = "20 mm" }, { paint = "black", width = "5 mm" }]

[panel.side]
outline = { unit = "mm", path = "M 60 40 L 2500 60 L 2510 900 A 300 300 0 0 1 2210 1200 L 1500 1210 C 900 1300 300 1150 0 1000 Z" }

[panel.side.datum]
waist = { height = "600 mm" }
rail = { height = "600 mm" }
door = { station = "1800 mm" }

[[panel.side.keep_out]]
called = "window"
rectangle = ["300 mm", "250 mm"]
at = ["600 mm", "700 mm"]
corner = "40 mm"

[[panel.side.keep_out]]
called = "window"
rectangle = ["300 mm", "250 mm"]
at = ["1000 mm", "700 mm"]
corner = "40 mm"

[[panel.side.field]]
paint = "green"

[[panel.side.lining]]
band = "double"
inset = "60 mm"
process = "bow pen"

[[panel.side.lining]]
band = "double"
along = [["300 mm", "200 mm"], ["1500 mm", "320 mm"], ["2200 mm", "240 mm"]]
process = "tape"

[[panel.side.lettering]]
text = "SANDHAVEN QUAY"
alphabet = "plain block"
cap_height = "80 mm"
paint = "cream"
along = [["400 mm", "420 mm"], ["1700 mm", "560 mm"]]

[[panel.side.lettering]]
text = "HIGH STREET TO SANDHAVEN QUAY AND MARRAM POINT"
alphabet = "plain block"
cap_height = "50 mm"
paint = "cream"
at = ["1250 mm", "100 mm"]

[panel.dome]
sheet = { gores = { count = 6, profile = [["300 mm", "0 mm"], ["0 mm", "300 mm"]] } }
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "20 mm", level = "100 mm" }, { paint = "black", width = "20 mm", upright = "300 mm" }]

[panel.folded]
sheet = { across = "1 m", faces = [{ flat = "600 mm" }, { bend = "90 deg", radius = "100 mm" }, { flat = "1 m" }] }
field = [{ paint = "green" }]
lining = [{ paint = "cream", width = "20 mm", upright = "300 mm" }, { paint = "cream", width = "20 mm", level = "300 mm" }]

[panel.barrel]
sheet = { cone = { length = "1400 mm", left = "700 mm", right = "600 mm" } }
field = [{ paint = "green" }]
lining = [{ band = "double", upright = "200 mm" }, { paint = "cream", width = "20 mm", level = "900 mm" }]

[panel.board]
outline = { rectangle = ["4 m", "400 mm"] }

[[panel.board.lettering]]
text = "A SANDHAVENQUAYROAD"
alphabet = "plain block"
cap_height = "220 mm"
paint = "cream"
at = ["centre", "100 mm"]
"""
