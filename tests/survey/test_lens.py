"""What a lens bends: found from straight edges, and taken out of measures and pictures."""

from __future__ import annotations

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from livery.cli import livery
from livery.colour.photo.perspective import carry_points, perspective
from livery.findings import LiveryError, Severity
from livery.survey.lens import Lens, fit_lens
from livery.survey.measure import pick_distance
from livery.survey.named_sizes import calibrated_picture
from livery.survey.plane import KnownRectangle, Pick
from livery.survey.survey_file import PictureEntry

SIZE = (4000, 3000)
# A plane of 3 x 2 m seen a little from the side, filling most of the picture.
PLANE = [(0.0, 2000.0), (3000.0, 2000.0), (3000.0, 0.0), (0.0, 0.0)]
SEEN = [(300.0, 250.0), (3700.0, 380.0), (3650.0, 2700.0), (260.0, 2800.0)]
TO_PICTURE = perspective(PLANE, SEEN)


def brown(points: np.ndarray, k1: float, k2: float = 0.0) -> np.ndarray:
    """Brown's polynomial, another form of bend than the one that is fitted."""
    off = (points - np.array(SIZE) / 2) / 2500.0
    square = (off**2).sum(axis=-1, keepdims=True)
    return np.array(SIZE) / 2 + 2500.0 * off * (1 + k1 * square + k2 * square**2)


def edges_on_plane(count: int = 9) -> list[np.ndarray]:
    """The four edges of the plane, as picked with no lens to bend them."""
    run = np.linspace(0, 1, count)[:, None]
    corners = np.array(PLANE)
    return [
        carry_points(TO_PICTURE, a + run * (b - a))
        for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)
    ]


def picks(points: np.ndarray) -> list[Pick]:
    return [Pick(float(x), float(y)) for x, y in points]


@given(st.floats(-0.15, 0.2), st.floats(0, 4000), st.floats(0, 3000))
def test_bending_is_the_way_back_of_straightening(bend: float, x: float, y: float) -> None:
    lens = Lens(SIZE, bend)
    assert lens.bent(lens.straight((x, y))) == pytest.approx((x, y), abs=1e-6)


@pytest.mark.parametrize("bend", [-0.12, -0.03, 0.0, 0.05])
def test_the_bend_is_found_as_well_as_it_says(bend: float) -> None:
    true = Lens(SIZE, bend)
    off = []
    for seed in range(60):
        noise = np.random.default_rng(seed)
        seen = [true.bent(e) + noise.normal(0, 1.0, e.shape) for e in edges_on_plane()]
        found, _ = fit_lens(SIZE, [picks(e) for e in seen], 1.0)
        if found.error:
            off.append((found.bend - bend) / found.error)
        else:
            assert bend == 0.0
    if bend:
        assert len(off) == 60
        assert np.mean(np.abs(off) < 1.96) >= 0.85
    else:  # a straight edge is said to be bent as seldom as the error says
        assert len(off) <= 4


@pytest.mark.parametrize(("k1", "k2"), [(-0.12, 0.02), (-0.05, 0.0), (0.06, 0.01)])
def test_sizes_come_out_right_through_a_lens_of_another_form(k1: float, k2: float) -> None:
    seen = [brown(e, k1, k2) for e in edges_on_plane()]
    lens, reported = fit_lens(SIZE, [picks(e) for e in seen], 0.5)
    assert reported[0].code == "lens-taken-out"
    corners = picks(brown(np.array(SEEN), k1, k2))
    known = KnownRectangle(tuple(corners), 3000.0, 2000.0, 0.5)
    ends = picks(
        brown(carry_points(TO_PICTURE, np.array([(1200.0, 1000.0), (1800.0, 1000.0)])), k1, k2)
    )
    bent = pick_distance(known, *ends).mm
    straight = pick_distance(known.moved(lens.pick), *lens.picks(ends)).mm
    assert abs(bent - 600.0) > 5.0
    assert abs(straight - 600.0) < 0.15 * abs(bent - 600.0)


def test_straight_edges_and_no_edges_leave_the_picks_alone() -> None:
    assert fit_lens(SIZE, []) == (Lens(SIZE), ())
    assert fit_lens(SIZE, [picks(e) for e in edges_on_plane()]) == (Lens(SIZE), ())
    assert Lens(SIZE).pick(Pick(3.0, 4.0)) == Pick(3.0, 4.0)


def test_edges_that_no_lens_straightens_are_refused_or_told() -> None:
    crooked = picks(np.array([(100, 100), (1000, 900), (2000, 100), (3000, 900), (3900, 100)]))
    found, reported = fit_lens(SIZE, [crooked], 1.0)
    assert not found.bend and [f.severity for f in reported] == [Severity.WARNING]
    bulging = picks(
        np.array([(100.0 + 950 * i, 100.0 + h) for i, h in enumerate((0, 900, 1200, 900, 0))])
    )
    with pytest.raises(LiveryError, match="no lens makes these edges straight"):
        fit_lens(SIZE, [bulging], 1.0)


def bent_picture(path, lens: Lens) -> None:
    """A panel, white with a black square in its middle, seen through a lens; 400 x 300."""
    x, y = np.meshgrid(np.arange(400) + 0.5, np.arange(300) + 0.5)
    place = lens.straight(np.stack([x, y], axis=-1))
    panel = (np.abs(place - (200, 150)) <= (170, 120)).all(axis=-1)
    square = (np.abs(place - (200, 150)) <= (60, 60)).all(axis=-1)
    Image.fromarray(np.where(square, 0, np.where(panel, 255, 128)).astype(np.uint8)).save(path)


def test_the_commands_take_the_bend_out(tmp_path) -> None:
    lens = Lens((400, 300), -0.1)
    bent_picture(tmp_path / "a.png", lens)

    def text(points) -> str:
        return " ".join(f"{x:.2f},{y:.2f}" for x, y in lens.bent(points))

    corners = [(30, 30), (370, 30), (370, 270), (30, 270)]
    rectangle = f"{text(corners)} = 340 mm x 240 mm"
    run = np.linspace(0, 1, 7)[:, None]
    edges = []
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        edges += ["--edge", text(np.array(a) + run * (np.array(b) - np.array(a)))]
    wide = ["--distance", f"square: {text([(140, 150), (260, 150)])}", "--pick-error", "0.2"]
    photo, out = str(tmp_path / "a.png"), str(tmp_path / "b.png")

    def reported(*words: str) -> str:
        result = CliRunner().invoke(livery, words, catch_exceptions=False)
        assert result.exit_code == 0
        return result.output

    assert "square: 120." in reported("measure", photo, "--rectangle", rectangle, *wide, *edges)
    assert "square: 120." not in reported("measure", photo, "--rectangle", rectangle, *wide)
    assert "taken out" in reported(
        "straighten", photo, out, "--rectangle", rectangle, "--pixel", "1 mm", *edges
    )
    straight = np.asarray(Image.open(out).convert("L"), float)
    assert straight.shape == (240, 340)
    rows = [np.flatnonzero(row < 128) for row in straight[65:175]]
    lefts, rights = [r.min() for r in rows], [r.max() + 1 for r in rows]
    assert np.ptp(lefts) <= 1 and np.ptp(rights) <= 1
    assert np.mean(rights) - np.mean(lefts) == pytest.approx(120, abs=1.0)


@pytest.mark.parametrize(
    ("known", "said"),
    [
        ({"rectangle": "100,100 700,100 700,330 100,330 = 6 ft x 2 ft"}, True),
        ({"lengths": ("100,100 700,100 = 6 ft",)}, False),
    ],
)
def test_a_picture_seen_at_an_angle_without_edges_says_that_its_lens_is_not_known(known, said):
    picture = PictureEntry(file="p.jpg", size=(900, 500), **known)
    straight = ("the foot: 100,400 400,400 700,400",)
    for edges, expected in (((), said), (straight, False)):
        found = calibrated_picture(picture.model_copy(update={"edges": edges})).findings
        assert ("lens-not-known" in [f.code for f in found]) is expected
