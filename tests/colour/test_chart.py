import numpy as np
import pytest

from livery.colour.conversion import adapt, linear_rgb_from_xyz, white, xyz_from_lab
from livery.colour.difference import delta_e_00
from livery.colour.photo.chart import Chart, published_chart, read_chart, read_patches
from livery.colour.photo.perspective import carry_points, perspective
from livery.colour.photo.picture import Picture
from livery.colour.value import Colour
from livery.findings import LiveryError

CORNERS = np.array([(60.0, 50.0), (330.0, 80.0), (300.0, 250.0), (80.0, 220.0)])


def picture_of(chart, corners=CORNERS, size=(400, 300)):
    """The chart drawn in perspective, each patch 0.8 of its spacing wide, on mid grey."""
    width, height = size
    across, down = chart.columns - 1, chart.rows - 1
    back = perspective(corners, [(0, 0), (across, 0), (across, down), (0, down)])
    y, x = np.mgrid[:height, :width] + 0.5
    place = carry_points(back, np.stack([x, y], axis=-1))
    nearest = np.round(place).astype(int)
    on_patch = (np.abs(place - nearest) < 0.4).all(axis=-1)
    on_patch &= ((nearest >= 0) & (nearest <= (across, down))).all(axis=-1)
    colours = linear_rgb_from_xyz(xyz_from_lab(np.array(chart.labs)))
    linear = np.full((height, width, 3), 0.2)
    column, row = nearest[on_patch].T
    linear[on_patch] = colours[row * chart.columns + column]
    return Picture(linear.astype(np.float32), *np.zeros((2, height, width), dtype=bool), 65535)


def test_patches_are_read_through_the_perspective():
    chart = published_chart()
    reading = read_patches(picture_of(chart), chart, CORNERS)
    assert [p.name for p in reading.patches] == list(chart.names)
    misses = [float(delta_e_00(p.lab, p.sample.lab)) for p in reading.patches]
    assert max(misses) < 0.01
    assert reading.clipped == ()


@pytest.mark.parametrize(
    ("order", "words"),
    [
        ([2, 3, 0, 1], "turned half round"),
        ([1, 0, 3, 2], "left and right exchanged"),
        ([3, 2, 1, 0], "top and bottom exchanged"),
        ([3, 0, 1, 2], "begun at the corner given second"),
        ([1, 2, 3, 0], "begun at the corner given fourth"),
        ([0, 3, 2, 1], "the other way, begun at the corner given first"),
    ],
)
def test_corners_that_begin_at_the_wrong_patch_are_told(order, words):
    chart = published_chart()
    with pytest.raises(LiveryError, match=words):
        read_patches(picture_of(chart), chart, CORNERS[order])


def test_corners_that_miss_the_chart_are_told():
    chart = published_chart()
    other = Chart(chart.names, tuple(reversed(chart.labs[:12])) + chart.labs[12:], 6, "other")
    with pytest.raises(LiveryError, match="not those of the chart"):
        read_patches(picture_of(chart), other, CORNERS)


def test_clipped_patches_are_named():
    chart = published_chart()
    picture = picture_of(chart)
    picture.unusable[:] = picture.linear.max(axis=2) > 0.85
    assert "white 9.5 (.05 D)" in read_patches(picture, chart, CORNERS).clipped


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (10, 10), (10, 0), (0, 10)],
        [(0, 0), (5, 0), (10, 0), (0, 10)],
        [(0, 0), (0, 0), (10, 0), (0, 10)],
    ],
)
def test_corners_out_of_order_or_in_line_are_faults(corners):
    with pytest.raises(LiveryError, match="do not go round"):
        perspective(corners, [(0, 0), (1, 0), (1, 1), (0, 1)])


HEAD = "row,column,name,L,a,b,white\n"
FOUR = "1,1,a,90,0,1,D65\n1,2,b,50,10,1,D65\n2,1,c,30,0,-20,D65\n2,2,d,10,0,1,{}\n"


def test_a_chart_of_ones_own_is_read(tmp_path):
    (tmp_path / "own.csv").write_text(HEAD + FOUR.format("D50"))
    chart = read_chart(tmp_path / "own.csv")
    assert (chart.names, chart.columns, chart.rows) == (("a", "b", "c", "d"), 2, 2)
    np.testing.assert_allclose(chart.labs[1], (50, 10, 1), atol=1e-9)
    brought = adapt(xyz_from_lab((10, 0, 1), white("D50")), white("D50"), white("D65"))
    np.testing.assert_allclose(xyz_from_lab(chart.labs[3]), brought, atol=1e-9)


def test_a_chart_is_read_as_a_spreadsheet_of_another_country_writes_it(tmp_path):
    (tmp_path / "own.csv").write_text(HEAD + FOUR.format("D65"))
    (tmp_path / "theirs.csv").write_bytes(
        (HEAD + FOUR.format("D65") + ",,,,,,\n")
        .replace(",a,90,", ",grün,90.0,")
        .translate(str.maketrans(",.", ";,"))
        .encode("latin-1")
    )
    own, theirs = (read_chart(tmp_path / f"{name}.csv") for name in ("own", "theirs"))
    assert theirs.labs == own.labs
    assert theirs.names == ("grün", "b", "c", "d")


@pytest.mark.parametrize(("white_said", "light"), [("D65/10", "D65"), ("D50/10", "D50")])
def test_a_chart_may_have_been_read_for_the_ten_degree_observer(tmp_path, white_said, light):
    (tmp_path / "own.csv").write_text(HEAD + FOUR.format(white_said))
    chart = read_chart(tmp_path / "own.csv")
    assert chart.labs[3] == pytest.approx(Colour((10, 0, 1), light, 10).canonical().lab)
    assert chart.labs[1] == pytest.approx((50, 10, 1))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("row,column,name,L,a\n1,1,x,5,0\n", "no values under b, white"),
        (HEAD + FOUR.format("C"), 'line 5 of own.csv gives the white as "C"'),
        (HEAD + FOUR.format("D65/7"), 'line 5 of own.csv gives the white as "D65/7"'),
        (HEAD + "1,1,a,x,0,0,D50\n", "line 2 of own.csv holds something that is not a number"),
        (HEAD + FOUR.format("D50") + "2,2,e,1,1,1,D50\n", "each of 2 rows by 2 columns once"),
        (HEAD + FOUR.format("D50") + "3,2,e,1,1,1,D50\n", "each of 3 rows by 2 columns once"),
        (HEAD, "no values under row"),
        (HEAD + FOUR.format("D65") + "3,1,e,1,1,1\n", 'line 6 of own.csv gives the white as ""'),
        (HEAD + "1,1,a,nan,0,0,D50\n", "line 2 of own.csv holds something that is not a number"),
    ],
)
def test_a_faulty_chart_file_is_told(tmp_path, text, message):
    (tmp_path / "own.csv").write_text(text)
    with pytest.raises(LiveryError, match=message):
        read_chart(tmp_path / "own.csv")


def test_a_missing_chart_file_is_told(tmp_path):
    with pytest.raises(LiveryError, match="there is no file"):
        read_chart(tmp_path / "none.csv")
