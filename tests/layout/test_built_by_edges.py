"""A panel as built by its four edges and a diagonal or both."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from livery.findings import Severity
from livery.geometry.measure import bounds
from livery.geometry.outline import Arc
from livery.pipeline import examine

JOB = """
[job]
title = "Tender"
scale = "1:10"
[paint.cream]
lab = [86, 1, 19]
[panel.side]
outline = {{ {outline} }}
as_built = {{ {built} }}
[[panel.side.field]]
paint = "cream"
{more}
"""
BOX = 'rectangle = ["4000 mm", "3000 mm"], corner = "100 mm"'
EDGES = 'bottom = "400 mm", right = "300 mm", top = "400 mm", left = "300 mm"'
RISING, FALLING = "bottom_left_to_top_right", "top_left_to_bottom_right"
SQUARE = f'{EDGES}, {RISING} = "500 mm"'
OTHER = '[panel.other]\nmirror_of = "side"\nas_built = {{ {built} }}\n'
LEANS = f'bottom = "400 mm", right = "300 mm", top = "397 mm", left = "301 mm", {RISING} = "502 mm"'


def examined(folder: Path, built: str, outline: str = BOX, more: str = ""):
    file = folder / "job.toml"
    file.write_text(JOB.format(built=built, outline=outline, more=more), encoding="utf-8")
    return examine(file)


def frames(found):
    assert not [f for f in found.findings if f.severity is Severity.ERROR], found.findings
    return [panel.frame for panel in found.plan.panels]


def radii(frame) -> dict[tuple[bool, bool], float]:
    """Return the radius of each round corner by whether it is on the right, and at the top."""
    box = bounds(frame.outline)
    return {
        (s.centre.x > box.centre.x, s.centre.y > box.centre.y): round(s.radius, 6)
        for c in frame.outline
        for s in c.segments
        if isinstance(s, Arc)
    }


def test_edges_and_a_diagonal_of_a_rectangle_give_it(tmp_path) -> None:
    """By Pythagoras: 300, 400 and 500 make a right angle."""
    for diagonal in (RISING, FALLING):
        (frame,) = frames(examined(tmp_path, f'{EDGES}, {diagonal} = "500 mm"'))
        assert bounds(frame.outline) == pytest.approx((0, 0, 400, 300))
        assert set(radii(frame).values()) == {10.0} and len(radii(frame)) == 4


@pytest.mark.parametrize(
    ("corner", "expected"),
    [
        (
            'corner = "8 mm"',
            dict.fromkeys([(False, False), (True, False), (True, True), (False, True)], 8.0),
        ),
        (
            'corner = { top_right = "8 mm" }',
            {(False, False): 10.0, (True, False): 10.0, (True, True): 8.0, (False, True): 10.0},
        ),
        ('corner = { top_right = "8 mm", others = "square" }', {(True, True): 8.0}),
    ],
)
def test_a_corner_that_was_not_measured_is_as_drawn(tmp_path, corner, expected) -> None:
    (frame,) = frames(examined(tmp_path, f"{SQUARE}, {corner}"))
    assert radii(frame) == expected


def test_the_same_panel_by_its_corners_and_by_its_edges_is_the_same(tmp_path) -> None:
    by_edges = f'bottom = "400 mm", right = "301 mm", top = "396 mm", left = "302 mm", {FALLING} = "501 mm"'
    (frame,) = frames(examined(tmp_path, by_edges, 'rectangle = ["4000 mm", "3000 mm"]'))
    corners = [s.start for c in frame.outline for s in c.segments]
    text = ", ".join(f'["{p.x - corners[0].x:.9f} mm", "{p.y:.9f} mm"]' for p in corners)
    (again,) = frames(
        examined(tmp_path, f"polygon = [{text}]", 'rectangle = ["4000 mm", "3000 mm"]')
    )
    assert bounds(frame.outline) == pytest.approx(bounds(again.outline), abs=1e-6)
    assert frame.origin == pytest.approx(again.origin, abs=1e-6)


def test_the_other_hand_is_measured_as_it_is_faced(tmp_path) -> None:
    """Its left edge and its named corners are those on the left as it is seen."""
    drawn = 'rectangle = ["4000 mm", "3000 mm"], corner = { top_left = "100 mm", others = "20 mm" }'
    own = LEANS + ', corner = { bottom_left = "5 mm" }'
    first, other = frames(examined(tmp_path, SQUARE, drawn, OTHER.format(built=own)))
    assert radii(first)[False, True] == 10.0
    # As it is faced, its drawn corner of 100 mm is at the top right, and it leans as measured.
    square = (False, True), (True, False)
    assert radii(other) == {(True, True): 10.0, (False, False): 5.0, **dict.fromkeys(square, 2.0)}
    (alone,) = frames(examined(tmp_path, LEANS, 'rectangle = ["4000 mm", "3000 mm"]'))
    top = max(p.y for p in nodes(alone))
    (peak,) = (p for p in nodes(alone) if p.y == top)
    assert peak.x < 200.0 and max(p.y for p in nodes(other) if p.x < 200.0) > top - 0.5


def test_the_table_has_the_edges_and_diagonals_as_each_hand_is_faced(tmp_path) -> None:
    drawn = 'rectangle = ["4000 mm", "3000 mm"]'
    found = examined(tmp_path, SQUARE, drawn, OTHER.format(built=LEANS))
    frames(found)
    rows = {
        (p.name, r.what): (round(r.at_scale, 3), round(r.as_fitted, 3))
        for p in found.plan.panels
        for r in p.sizes
    }
    assert rows["side", "diagonal, bottom left to top right"] == (500.0, 500.0)
    for what, built in (("bottom", 400.0), ("right", 300.0), ("top", 397.0), ("left", 301.0)):
        assert rows["other", f"{what} edge"][1] == built
    # Drawn from the bottom left to the top right of the first hand, it falls to the right here.
    assert rows["other", "diagonal, top right to bottom left"] == (500.0, 502.0)


def test_a_length_of_the_other_hand_is_named_as_it_is_faced(tmp_path) -> None:
    slip = OTHER.format(built=SQUARE.replace('left = "300 mm"', 'left = "30 mm"'))
    found = examined(tmp_path, SQUARE, more=slip)
    (fault,) = (f for f in found.findings if f.severity is Severity.ERROR)
    assert (
        fault.message
        == f"{RISING} (500 mm) is longer than top and left together, so that these make no triangle"
    )
    assert fault.place is not None and fault.place.text.startswith("as_built")


def test_a_panel_turned_half_round_is_measured_as_it_is_faced(tmp_path) -> None:
    """Its drawn top left is seen at the bottom right."""
    drawn = 'rectangle = ["4000 mm", "3000 mm"], corner = { top_left = "100 mm" }'
    turned = f'[panel.rear]\nsame_as = "side"\nturned = true\nas_built = {{ {LEANS} }}\n'
    first, rear = frames(examined(tmp_path, SQUARE, drawn, turned))
    assert radii(first) == {(False, True): 10.0}
    assert radii(rear) == {(True, False): 10.0}
    (alone,) = frames(examined(tmp_path, LEANS, 'rectangle = ["4000 mm", "3000 mm"]'))
    assert max(p.y for p in nodes(rear)) == pytest.approx(max(p.y for p in nodes(alone)))


def nodes(frame):
    return [s.start for c in frame.outline for s in c.segments]


def faults(found) -> list[tuple[str, str, str]]:
    return [
        (f.key.rpartition(".")[2], f.message, f.remedy)
        for f in found.findings
        if f.severity in (Severity.ERROR, Severity.WARNING)
    ]


def test_lengths_of_no_triangle_name_the_one_that_is_likely_wrong(tmp_path) -> None:
    slip = SQUARE.replace('top = "400 mm"', 'top = "40 mm"')
    ((key, message, remedy),) = faults(examined(tmp_path, slip))
    assert key == "top"
    assert (
        message
        == f"{RISING} (500 mm) is longer than top and left together, so that these make no triangle"
    )
    assert remedy.startswith(
        "Measure top again first: the drawing has 400.0 mm at scale, and 40 mm"
    )
    both = f'{SQUARE}, {FALLING} = "500 mm"'.replace("500 mm", "50 mm", 1)
    ((key, message, _),) = faults(examined(tmp_path, both))
    assert key == RISING and "bottom (400 mm) is longer than right and" in message


@pytest.mark.parametrize(
    ("falling", "gap"), [("502.4 mm", 2.4), ("502.6 mm", 2.6), ("497.6 mm", 2.4)]
)
def test_both_diagonals_are_held_against_each_other(tmp_path, falling, gap) -> None:
    found = examined(tmp_path, f'{SQUARE}, {FALLING} = "{falling}"')
    if gap > 2.5:
        ((key, message, _),) = faults(found)
        assert key == FALLING
        assert f"is 500.0 mm, and {falling} is written, {gap} mm away" in message
    else:
        (note,) = (f for f in found.findings if f.code == "built-edges")
        assert note.severity is Severity.NOTE
        assert note.message == f"both diagonals agree with the four edges within {gap} mm"


@pytest.mark.parametrize(("left", "is_warned"), [("286 mm", False), ("284 mm", True)])
def test_one_length_far_from_the_drawing_is_warned_of(tmp_path, left, is_warned) -> None:
    found = examined(tmp_path, SQUARE.replace('left = "300 mm"', f'left = "{left}"'))
    words = f"as built left is {left}, 5.3% less than the 300.0 mm at scale"
    warned = [key for key, message, _ in faults(found) if message == words]
    assert warned == (["left"] if is_warned else [])


def test_a_panel_that_leans_out_on_both_sides_is_wide_as_a_whole(tmp_path) -> None:
    """Its top corners are at -25, 300 and 420, 300 mm: it is 445 mm wide, not one length alone."""
    left, right, rising = (math.hypot(x, 300.0) for x in (25.0, 20.0, 420.0))
    built = f'bottom = "400 mm", right = "{right} mm", top = "445 mm", left = "{left} mm"'
    found = examined(tmp_path, f'{built}, {RISING} = "{rising} mm"')
    (frame,) = frames(found)
    assert bounds(frame.outline).width == pytest.approx(445.0, abs=10.0)
    assert not [f for f in found.findings if f.code == "built-edges"]


@pytest.mark.parametrize(
    ("built", "outline", "said"),
    [
        (SQUARE, 'rectangle = ["4000 mm", "3000 mm"], crown = "100 mm"', "it is not drawn so"),
        (
            SQUARE,
            'polygon = [["0 m", "0 m"], ["4 m", "0 m"], ["2 m", "3 m"]]',
            "it is not drawn so",
        ),
        (SQUARE.replace("500 mm", "90 mm"), BOX, "is longer than"),
        (
            f'bottom = "400 mm", right = "300 mm", top = "595 mm", left = "100 mm", {RISING} = "500 mm"',
            BOX,
            "a corner of the panel points inward",
        ),
    ],
)
def test_lengths_that_give_no_panel_are_refused(tmp_path, built, outline, said) -> None:
    ((_, message, remedy),) = faults(examined(tmp_path, built, outline))
    assert said in message and remedy
