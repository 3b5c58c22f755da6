from contextlib import nullcontext

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from livery.colour.photo.perspective import carry_points
from livery.findings import LiveryError
from livery.survey.measure import Measure, bow, height, pick_distance, radius
from livery.survey.plane import KnownLength, KnownRectangle, Pick, ScaleByLengths, densities


def length(x0, y0, x1, y1, mm, **more):
    return KnownLength(Pick(x0, y0), Pick(x1, y1), mm, **more)


HUNDRED = ScaleByLengths((length(0, 0, 100, 0, 500),))
SEEN = (Pick(120, 90), Pick(820, 150), Pick(780, 560), Pick(150, 640))
VIEW = KnownRectangle(SEEN, 2400.0, 1500.0)


def codes(findings):
    return {f.code for f in findings}


def test_one_known_length_gives_the_scale():
    assert HUNDRED.mm_per_pixel == 5.0
    assert pick_distance(HUNDRED, Pick(10, 10), Pick(40, 50)).mm == pytest.approx(250)
    assert codes(HUNDRED.findings) == {"one-scale"}


def test_several_lengths_are_fitted_and_each_is_given_back():
    scale = ScaleByLengths((length(0, 0, 100, 0, 500), length(0, 0, 0, 300, 1506)))
    slopes = np.array([100, 300])
    assert scale.mm_per_pixel == pytest.approx(slopes @ [500, 1506] / (slopes @ slopes))
    assert [c.off_mm for c in scale.checks] == pytest.approx([1.8, -0.6], abs=0.01)
    assert not codes(scale.findings)


def test_lengths_that_disagree_widen_the_uncertainty_and_say_which_way_it_is_stretched():
    agreeing = ScaleByLengths((length(0, 0, 400, 0, 2000), length(0, 0, 0, 400, 2000)))
    stretched = ScaleByLengths((length(0, 0, 400, 0, 2100), length(0, 0, 0, 400, 2000)))
    points = Pick(0, 0), Pick(200, 0)
    assert (
        pick_distance(stretched, *points).within_mm > 4 * pick_distance(agreeing, *points).within_mm
    )
    (finding,) = stretched.findings
    assert finding.code == "lengths-disagree"
    assert "across is 5.0 % larger than up" in finding.message
    paper = ScaleByLengths((length(0, 0, 400, 0, 2090), length(0, 0, 0, 400, 2000)))
    assert "--uneven" in paper.findings[0].remedy
    seen_at_an_angle = ScaleByLengths((length(0, 0, 400, 0, 2110), length(0, 0, 0, 400, 2000)))
    assert "--uneven" not in seen_at_an_angle.findings[0].remedy


def test_the_corners_of_a_rectangle_are_taken_in_one_order_only():
    a, b, c, d = SEEN
    for exchanged in ((a, d, c, b), (b, a, d, c), (d, c, b, a)):
        with pytest.raises(LiveryError, match="against the clock"):
            KnownRectangle(exchanged, 2400.0, 1500.0)
    plain = tuple(Pick(x, y) for x, y in ((0, 0), (600, 0), (600, 300), (0, 300)))
    words = (
        r"2\.6 times as high as wide by its sizes, but in the picture its first side is 2\.00 times"
    )
    with pytest.raises(LiveryError, match=words):
        KnownRectangle(plain, 1000.0, 2600.0)
    assert "rectangle-turned" not in codes(VIEW.findings)
    turned = KnownRectangle((c, d, a, b), 2400.0, 1500.0)
    (note,) = (f for f in turned.findings if f.code == "rectangle-turned")
    assert "begins at its bottom right corner" in note.message
    KnownRectangle((d, a, b, c), 1500.0, 2400.0)


@pytest.mark.parametrize(
    ("shown", "aspect", "is_refused"),
    # 2.5 times narrowed, which exchanged is 1.11; twice as well where the picture is half root 2 wide.
    [(0.6, 1.49, False), (0.6, 1.51, True), (0.71, 3.0, False), (0.70, 3.0, True)],
)
def test_a_rectangle_that_contradicts_its_sizes_is_refused(shown, aspect, is_refused):
    corners = tuple(
        Pick(x, y) for x, y in ((0, 0), (1000 * shown, 0), (1000 * shown, 1000), (0, 1000))
    )
    with pytest.raises(LiveryError) if is_refused else nullcontext():
        plane = KnownRectangle(corners, 1000.0 * aspect, 1000.0)
        assert "rectangle-exchanged" in codes(plane.findings)


@pytest.mark.parametrize(("aspect", "is_said"), [(1.27, False), (1.29, True), (0.6, False)])
def test_a_rectangle_that_looks_narrow_is_said(aspect, is_said):
    corners = tuple(Pick(x, y) for x, y in ((0, 0), (800, 0), (800, 1000), (0, 1000)))
    plane = KnownRectangle(corners, 1000.0 * aspect, 1000.0)
    assert ("rectangle-exchanged" in codes(plane.findings)) is is_said


def test_the_corners_of_a_rectangle_measure_its_own_size():
    top_left, top_right, bottom_right, bottom_left = SEEN
    assert pick_distance(VIEW, top_left, top_right).mm == pytest.approx(2400)
    assert pick_distance(VIEW, bottom_right, top_right).mm == pytest.approx(1500)
    assert pick_distance(VIEW, top_left, bottom_right).mm == pytest.approx(np.hypot(2400, 1500))
    assert height(VIEW, top_right, (bottom_left, bottom_right)).mm == pytest.approx(1500)


@settings(max_examples=50, deadline=None)
@given(
    st.tuples(st.floats(0, 2400), st.floats(0, 1500)),
    st.tuples(st.floats(0, 2400), st.floats(0, 1500)),
)
def test_distances_on_the_plane_are_measured_through_the_view(start, end):
    to_picture = np.linalg.inv(VIEW.matrix(VIEW.numbers))
    picks = [Pick(*carry_points(to_picture, p)) for p in (start, end)]
    if np.hypot(*(np.array(start) - end)) > 1:
        expected = np.hypot(*(np.array(start) - end))
        assert pick_distance(VIEW, *picks).mm == pytest.approx(expected, rel=1e-6)


def test_radius_of_points_on_a_circle_seen_at_an_angle():
    to_picture = np.linalg.inv(VIEW.matrix(VIEW.numbers))
    turns = np.linspace(0.3, 2.8, 6)
    circle = np.array([1200, 500]) + 610 * np.column_stack([np.cos(turns), np.sin(turns)])
    assert radius(VIEW, [Pick(*p) for p in carry_points(to_picture, circle)]).mm == pytest.approx(
        610
    )


@pytest.mark.parametrize(
    "size",
    [
        lambda c, p: pick_distance(c, p[0], p[1]),
        lambda c, p: height(c, p[2], (p[0], p[1])),
        lambda c, p: radius(c, p),
    ],
    ids=["distance", "height", "radius"],
)
def test_the_uncertainty_covers_the_truth_95_times_in_100(size):
    """Every pick, of the rectangle and of the thing, is off by a normal error of a pixel."""
    points = np.array([(200.0, 200.0), (600.0, 260.0), (400.0, 420.0), (300.0, 380.0)])
    truth = size(VIEW, [Pick(*p) for p in points]).mm
    rng, covered = np.random.default_rng(0), []
    for _ in range(300):
        corners = tuple(Pick(*(np.array(c) + rng.normal(size=2))) for c in SEEN)
        view = KnownRectangle(corners, 2400.0, 1500.0, pick_error=1.0)
        found = size(view, [Pick(*p) for p in points + rng.normal(size=points.shape)])
        covered.append(abs(found.mm - truth) <= found.within_mm)
    assert 0.92 <= np.mean(covered) <= 0.985


def test_a_distance_by_one_length_has_the_uncertainty_of_the_textbook():
    """d = s q, s = mm/p: relative variances add; each distance has variance 2 sigma squared."""
    found = pick_distance(HUNDRED, Pick(0, 50), Pick(60, 50))
    expected = 1.96 * 300 * np.sqrt(2 / 100**2 + 2 / 60**2)
    assert found.within_mm == pytest.approx(expected, rel=1e-3)


def test_an_uncertain_known_size_widens_the_uncertainty():
    loose = ScaleByLengths((length(0, 0, 100, 0, 500, error_mm=20.0),))
    points = Pick(0, 0), Pick(100, 0)
    assert pick_distance(loose, *points).within_mm == pytest.approx(
        np.hypot(pick_distance(HUNDRED, *points).within_mm, 1.96 * 20), rel=1e-3
    )


@pytest.mark.parametrize(
    ("mm", "within", "text"),
    [
        (1435.1, 4.0, '1435 mm ± 4 mm (4 ft 8 1/2 in)'),
        (1440.0, 40.0, '1440 mm ± 40 mm (4 ft 9 in)'),
        (12.7, 0.1, '12.70 mm ± 0.10 mm (1/2 in)'),
    ],
)  # fmt: skip
def test_a_size_is_written_no_finer_than_its_uncertainty(mm, within, text):
    assert str(Measure(mm, within)) == text


def test_a_steep_view_is_warned_of_and_a_square_one_is_not():
    square = KnownRectangle((Pick(0, 0), Pick(240, 0), Pick(240, 150), Pick(0, 150)), 2400, 1500)
    steep = KnownRectangle((Pick(0, 0), Pick(240, 60), Pick(240, 90), Pick(0, 150)), 2400, 1500)
    assert square.convergence == pytest.approx(1.0)
    assert "steep-view" in codes(steep.findings)
    assert codes(square.findings) == {"off-the-plane"}


def test_density_of_a_plain_scale():
    assert densities(HUNDRED.matrix(HUNDRED.numbers), Pick(3, 4)) == pytest.approx((0.2, 0.2))


def test_a_bent_edge_is_told_and_a_straight_one_is_not():
    run = np.linspace(0, 1000, 7)
    straight = [Pick(x, 50 + 0.2 * x) for x in run]
    bent = [Pick(x, 50 + 0.2 * x + 12 * 4 * x * (1000 - x) / 1e6) for x in run]
    assert bow(straight).pixels == pytest.approx(0, abs=1e-9)
    assert not bow(straight).findings
    assert bow(bent).pixels == pytest.approx(12, rel=0.05)
    assert codes(bow(bent).findings) == {"lens-bends"}


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: ScaleByLengths(()), "nothing of known size"),
        (lambda: length(5, 5, 5, 5, 100), "greater than zero"),
        (lambda: length(5, 5, 9, 5, 0), "greater than zero"),
        (lambda: KnownRectangle(SEEN, 0, 5), "must have a width"),
        (lambda: KnownRectangle((SEEN[0], SEEN[2], SEEN[1], SEEN[3]), 9, 5), "do not go round"),
        (lambda: height(VIEW, SEEN[0], (SEEN[1], SEEN[1])), "base line are the same"),
        (lambda: radius(VIEW, SEEN[:2]), "needs three points; 2 given"),
        (lambda: radius(HUNDRED, [Pick(0, 0), Pick(50, 0.1), Pick(99, 0)]), "give no radius"),
        (lambda: radius(HUNDRED, [Pick(0, 0), Pick(50, 0), Pick(99, 0)]), "give no radius"),
        (lambda: bow(SEEN[:2]), "at least three points; 2 given"),
        (lambda: bow([SEEN[0], SEEN[1], SEEN[0]]), "ends of the edge are the same"),
    ],
)
def test_what_cannot_be_measured_is_told(make, message):
    with pytest.raises(LiveryError, match=message):
        make()
