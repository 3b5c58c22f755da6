import pytest

from livery.geometry.outline import Arc, Contour, Line, Outline, Point, chain
from livery.geometry.shapes import circle, rectangle
from livery.geometry.validity import faults

P = Point


def kinds(shape):
    return [f.kind for f in faults(shape)]


def test_good_outlines_have_no_fault(specimen):
    assert faults(specimen) == []


def test_bad_outlines_have_one(nasty):
    found = faults(nasty)
    assert found
    assert all(f.words[0].islower() and not f.words.endswith(".") for f in found)


@pytest.mark.parametrize(
    ("shape", "kind", "where"),
    [
        (Outline((chain([P(0, 0), P(40, 30), P(40, 0), P(0, 30)]),)), "self-crossing", P(20, 15)),
        (
            Outline((chain([P(-20, -15), P(20, 15), P(20, -15), P(-20, 15)]),)),
            "self-crossing",
            P(0, 0),
        ),
        (
            Outline((*rectangle(30, 30).contours, *rectangle(30, 30, P(20, 10)).contours)),
            "contours crossing",
            P(30, 10),
        ),
        (Outline((Contour((Line(P(0, 0), P(9, 0)), Line(P(9, 0), P(9, 8)))),)), "open", P(9, 8)),
        (
            Outline(
                (
                    Contour(
                        (Line(P(0, 0), P(9, 0)), Arc(P(9, 1), P(0, 0), 1)),
                    ),
                )
            ),
            "broken",
            P(9, 0),
        ),
        (
            Outline((chain([P(0, 0), P(30, 0), P(30, 30), P(30, 60), P(30, 30), P(0, 30)]),)),
            "doubled back",
            P(30, 30),
        ),
        (Outline((circle(P(5, 5), 3).contours[0].reversed(),)), "inside out", None),
        (rectangle(0.005, 0.005), "tiny area", P(0, 0)),
    ],
)
def test_fault_says_what_and_where(shape, kind, where):
    (found, *_) = faults(shape)
    assert found.kind == kind
    if where is not None:
        assert found.where == pytest.approx(where, abs=1e-9)


def test_the_gap_is_measured():
    gap = Outline((Contour((Line(P(0, 0), P(9, 0)), Line(P(9, 0), P(0, 2))), closed=True),))
    assert "2.000 mm from its start" in faults(gap)[0].words


def test_nested_the_same_way_round_lies_over():
    both = Outline(rectangle(30, 30).contours + rectangle(10, 10, P(10, 10)).contours)
    assert kinds(both) == ["contours crossing"]
    assert "over one another" in faults(both)[0].words
    assert "the wrong way" in faults(Outline((circle(P(5, 5), 3).contours[0].reversed(),)))[0].words


def test_touching_is_allowed():
    assert faults(Outline(rectangle(20, 20).contours + rectangle(20, 20, P(20, 20)).contours)) == []


@pytest.mark.filterwarnings("error")
def test_numbers_too_small_to_be_sizes_do_no_harm():
    speck = 5e-324
    shape = chain([P(0, 0), P(40, 0), P(40, 20), P(speck, 20), P(0, 10), P(speck, 1)])
    assert faults(Outline((shape,))) == []


@pytest.mark.parametrize(("lines", "shown"), [(28, 28 * 28), (34, 10)])
def test_of_a_thousand_crossings_ten_are_shown_and_of_fewer_all(lines, shown):
    """A line to and fro, then up and down across all of it, and back round outside."""
    level = [P(x, y) for y in range(1, lines + 1) for x in ((0, 99) if y % 2 else (99, 0))]
    upright = [P(x, y) for x in range(lines, 0, -1) for y in ((50, 0) if x % 2 else (0, 50))]
    found = faults(Outline((chain([*level, *upright, P(1, -9), P(-9, -9)]),)))
    assert len(found) == pytest.approx(shown, abs=3 if shown > 10 else 0)
