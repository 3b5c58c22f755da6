"""The livery on a photograph: every piece where the view has it, the lens followed."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from livery.cli import livery
from livery.colour.photo.perspective import carry_points
from livery.findings import LiveryError
from livery.geometry.measure import Bounds, bounds
from livery.geometry.outline import Point
from livery.geometry.shapes import circle, rectangle
from livery.make.drawings.on_photograph import (
    LaidPiece,
    PanelView,
    _bounded,
    _carrier,
    _drawn,
    _require_in_view,
    corner_points,
    laid_on_photograph,
    laid_side_on_photograph,
    vehicle_side,
)
from livery.pipeline import examine
from livery.survey.known_points import KnownPoint, KnownPoints, fitted_view
from livery.survey.lens import Lens
from livery.survey.plane import Pick
from livery.vehicles.as_drawn import vehicles_as_drawn
from livery.vehicles.view import View
from tests.local_page.conftest import write_job

SIZE = (800, 500)
SEEN = ((100, 130), (710, 165), (690, 345), (115, 320))


@pytest.fixture(scope="module", autouse=True)
def cache(tmp_path_factory):
    """The job is examined again and again: what is as it was is laid out once."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LIVERY_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture(scope="module")
def job(tmp_path_factory) -> Path:
    return write_job(tmp_path_factory.mktemp("job"))


@pytest.fixture(scope="module")
def side(job):
    return next(p for p in examine(job).plan.panels if p.name == "side")


def view_of(plan, lens=None, **more) -> PanelView:
    points = corner_points(plan.frame.extent, [Pick(*map(float, p)) for p in SEEN])
    return PanelView(KnownPoints(points), lens or Lens(SIZE), **more)


def extent(pieces, name):
    rings = np.concatenate([r for p in pieces if p.name == name for r in p.rings])
    return rings.min(axis=0), rings.max(axis=0)


def test_every_piece_is_where_the_view_has_it(side):
    pieces = laid_on_photograph(side, view_of(side))
    edge = next(p for p in pieces if p.layer == "edge").rings[0]
    assert sorted(map(tuple, np.round(edge, 6))) == sorted(SEEN)
    box = side.frame.extent
    places = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]  # fmt: skip
    to_picture = fitted_view(np.array(places), np.array(SEEN, dtype=float))
    letters = next(p for p in side.pieces if p.name.startswith("word"))
    own = bounds(letters.outline)
    corners = carry_points(to_picture, [(x, y) for x in (own.left, own.right) for y in (own.bottom, own.top)])  # fmt: skip
    low, high = extent(pieces, letters.name)
    assert (corners.min(axis=0) - 0.1 <= low).all() and (high <= corners.max(axis=0) + 0.1).all()
    assert (high - low > 0.9 * np.ptp(corners, axis=0) - 4).all()


def test_the_bend_of_the_lens_is_followed_between_the_points(side):
    lens = Lens(SIZE, -0.15)
    bent = next(p for p in laid_on_photograph(side, view_of(side, lens)) if p.layer == "edge")
    top = bent.rings[0][np.abs(bent.rings[0][:, 0] - 405) < 20]
    middle = top[top[:, 1].argmin()]
    chord = 130 + 35 * (middle[0] - 100) / 610
    assert middle[1] < chord - 3.0
    straight = lens.straight(bent.rings[0])
    ends = lens.straight(np.array(SEEN, dtype=float))
    along = ends[1] - ends[0]
    upper = straight[straight[:, 1] < 200]
    off = (upper - ends[0]) @ np.array([-along[1], along[0]]) / np.hypot(*along)
    upper_side = np.abs(off) < 5
    assert upper_side.sum() > 15 and np.abs(off[upper_side]).max() < 1e-6


def test_a_prototype_is_laid_as_drawn_and_not_as_built(side):
    # Built 611 x 152 mm of 16 ft x 4 ft at 1:8, which is 609.6 x 152.4 mm.
    scale = np.array([(0, 152.4), (609.6, 152.4), (609.6, 0), (0, 0)])
    fronts = [(x, 400 - y) for x, y in scale * 0.5 + 20]
    points = corner_points(side.frame.extent, [Pick(*map(float, p)) for p in fronts])
    lining = next(p for p in side.pieces if "lining" in p.name)
    widths = {}
    for is_prototype in (False, True):
        view = PanelView(KnownPoints(points), Lens(SIZE), is_prototype=is_prototype)
        low, high = extent(laid_on_photograph(side, view), lining.name)
        widths[is_prototype] = high[0] - low[0]
    inset = 2 * 6 * 25.4 / 8 * 0.5
    assert widths[True] == pytest.approx(304.8 - inset * 609.6 / 611, abs=0.01)
    assert widths[False] == pytest.approx(304.8 * (1 - inset / 0.5 / 611), abs=0.01)


def run(*arguments):
    return CliRunner().invoke(livery, ["overlay", *map(str, arguments)])


def test_the_command_writes_the_photograph_with_the_livery_on_it(job, tmp_path):
    photo = tmp_path / "model.png"
    Image.new("RGB", SIZE, (180, 184, 186)).save(photo)
    on = "side: " + " ".join(f"{x},{y}" for x, y in SEEN)
    whole, half = tmp_path / "whole.png", tmp_path / "half.png"
    assert run(job, photo, whole, "--on", on).exit_code == 0
    done = run(job, photo, half, "--on", on, "--strength", "50")
    assert done.exit_code == 0 and "800 x 500 pixels" in done.output
    field, bare = (130, 150), (20, 20)
    full, mixed = (Image.open(p) for p in (whole, half))
    assert full.getpixel(bare) == mixed.getpixel(bare) == (180, 184, 186)
    red = full.getpixel(field)
    assert red[0] > red[1] + 30
    expected = [(a + b) / 2 for a, b in zip(red, (180, 184, 186), strict=True)]
    assert mixed.getpixel(field) == pytest.approx(expected, abs=2)
    lines = tmp_path / "lines.png"
    text = "side: 100,130 = left, top; 710,165 = right, top; 690,345 = right, bottom; 115,320 = left, bottom"
    assert run(job, photo, lines, "--on", text, "--lines", "--prototype").exit_code == 0
    assert Image.open(lines).getpixel(field) == (180, 184, 186)
    # It is Livery's own file; what it reads is never written over.
    assert run(job, photo, photo, "--on", on, "--replace").exit_code == 1


@pytest.mark.parametrize(
    ("on", "words"),
    [
        ("side: 1,1 2,2", "corners are given"),
        ("tank: 1,1 9,1 9,9 1,9", "not a panel of this job"),
        ("side: 1,1 = left; 9,1 = right, top", "does not say where"),
        ("side: 1,1 = brow, top; 9,1 = right, top", "does not say where"),
        ("side: 1,1 9,1 9,9 1,9000", "outside the picture"),
        ("side: 100,130 690,345 710,165 115,320", "behind the camera"),
    ],
)
def test_places_that_tell_no_view_are_refused(job, tmp_path, on, words):
    photo = tmp_path / "model.png"
    Image.new("RGB", SIZE).save(photo)
    found = run(job, photo, tmp_path / "out.png", "--on", on)
    assert isinstance(found.exception, LiveryError) and words in str(found.exception)
    assert not (tmp_path / "out.png").exists()


def test_a_point_too_many_is_reported(side):
    points = corner_points(side.frame.extent, [Pick(*map(float, p)) for p in SEEN])
    view = PanelView(KnownPoints((*points, KnownPoint(Pick(400, 100), 300, 76))), Lens(SIZE))
    assert "points-disagree" in [f.code for f in view.findings]


def test_a_whole_side_is_laid_down_to_the_rail(job, tmp_path):
    found = examine(job)
    (wagon,) = found.vehicles.placed
    side = vehicle_side(wagon, View.LEFT, found.shown_colours)
    box = side.extent
    # The side is 152 mm high as built, its foot 3 ft over the rail; as drawn 152.4 mm.
    assert (box.left, box.bottom, box.right) == pytest.approx((0.0, 0.0, 611.0))
    assert box.top == pytest.approx(3 * 304.8 / 8 + 152.0)
    points = KnownPoints(corner_points(box, [Pick(*map(float, p)) for p in SEEN]))
    pieces = laid_side_on_photograph(side, PanelView(points, Lens(SIZE)))
    assert {p.layer for p in pieces} == {"livery", "fitting", "edge"}
    assert {p.paint for p in pieces if p.layer == "livery"} == {"red", "white"}
    edge = next(p for p in pieces if p.layer == "edge").rings[0]
    to_picture = fitted_view(
        np.array([(0, box.top), (611, box.top), (611, 0), (0, 0)]), np.array(SEEN, dtype=float)
    )
    foot = 3 * 304.8 / 8
    expected = carry_points(to_picture, [(0, foot), (611, foot), (611, box.top), (0, box.top)])
    assert sorted(map(tuple, np.round(edge, 4))) == sorted(map(tuple, np.round(expected, 4)))
    (drawn,) = vehicles_as_drawn(found.description)
    extent_drawn = vehicle_side(drawn, View.LEFT, found.shown_colours).extent
    assert extent_drawn.right == pytest.approx(609.6)
    assert extent_drawn.top == pytest.approx(3 * 304.8 / 8 + 152.4)
    with pytest.raises(LiveryError, match="shows nothing"):
        vehicle_side(wagon, View.REAR, found.shown_colours)
    photo, out = tmp_path / "model.png", tmp_path / "out.png"
    Image.new("RGB", SIZE, (180, 184, 186)).save(photo)
    on = "wagon left: " + " ".join(f"{x},{y}" for x, y in SEEN)
    assert run(job, photo, out, "--on", on).exit_code == 0
    red = Image.open(out).getpixel((130, 150))
    assert red[0] > red[1] + 30 and Image.open(out).getpixel((400, 330)) == (180, 184, 186)
    again = on.replace("100,130", "100,130 = left, top; ").replace(
        "710,165", "710,165 = right, top;"
    )
    again = again.replace("690,345", "690,345 = right, bottom;").replace(
        "115,320", "115,320 = 0 ft, 0 ft"
    )
    assert run(job, photo, out, "--on", again, "--prototype", "--replace").exit_code == 0


def carried_at_5_px(outline, lens):
    """Return the rings of an outline on a picture that shows 5 pixels of each millimetre."""
    box = Bounds(0.0, 0.0, 100.0, 60.0)
    seen = ((100, 100), (600, 100), (600, 400), (100, 400))
    view = PanelView(
        KnownPoints(corner_points(box, [Pick(float(x), float(y)) for x, y in seen])), lens
    )
    return _carrier(box, lambda places: places, view)(outline)


def test_curves_are_within_a_tenth_of_a_pixel_of_their_chords():
    (ring,) = carried_at_5_px(circle(Point(50.0, 30.0), 20.0), Lens(SIZE))
    middles = (ring + np.roll(ring, 1, axis=0)) / 2.0
    off = 100.0 - np.hypot(*(middles - (350.0, 250.0)).T)
    assert 0.08 < off.max() <= 0.1


def test_edges_that_a_lens_bends_have_points_within_24_pixels():
    (ring,) = carried_at_5_px(rectangle(100.0, 60.0), Lens(SIZE, 1e-9))
    assert len(ring) in (68, 69)  # 21 along 500 pixels and 13 along 300, twice
    assert np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).max() <= 24.0


def test_a_place_beyond_what_was_measured_is_drawn_at_scale():
    fit = SimpleNamespace(knots=((2.0, 3.0), (6.0, 13.0), (10.0, 23.0)))
    built = np.array([1.0, 3.0, 8.0, 13.0, 23.0, 25.0])
    assert _drawn(fit, built) == pytest.approx([0.0, 2.0, 4.0, 6.0, 10.0, 12.0])


def test_only_a_panel_that_runs_behind_the_camera_is_refused():
    view = np.array([(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.001, 0.0, 1.0)])
    _require_in_view(view, np.array([(-999.0, 0.0), (2000.0, 0.0)]))
    with pytest.raises(LiveryError, match="behind the camera"):
        _require_in_view(view, np.array([(-1001.0, 0.0), (2000.0, 0.0)]))


def test_a_picture_of_more_than_four_million_coordinates_is_refused():
    ring = np.broadcast_to(0.0, (2_000_000, 2))
    found = [LaidPiece("side", "green", "livery", (ring,))]
    assert len(_bounded(found)) == 1
    with pytest.raises(LiveryError, match="too many points"):
        _bounded([*found, LaidPiece("dot", "green", "livery", (ring[:1],))])
