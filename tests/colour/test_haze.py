import math

import pytest

from livery.colour.haze import Haze, haze_share, read_haze
from livery.findings import LiveryError


def test_koschmieder_leaves_two_per_cent_contrast_at_the_visual_range():
    assert 1 - haze_share(20_000) == pytest.approx(0.02, abs=1e-5)
    assert haze_share(0) == 0


@pytest.mark.parametrize(
    ("text", "share", "distance"),
    [
        ("3 %", 0.03, ""),
        ("3%", 0.03, ""),
        ("3", 0.03, ""),
        (" .5 ", 0.005, ""),
        ("0", 0.0, ""),
        ("30 m", 1 - math.exp(-3.912 * 30 / 20_000), "30 m"),
        ("40 yd", 1 - math.exp(-3.912 * 36.576 / 20_000), "40 yd"),
        ("120 ft", 1 - math.exp(-3.912 * 36.576 / 20_000), "120 ft"),
        ("0 m", 0.0, "0 m"),
    ],
)
def test_a_share_or_a_distance(text, share, distance):
    found = read_haze(text)
    assert found.share == pytest.approx(share)
    assert found.distance == distance


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("120 %", "120 % is not possible"),
        ("-3", "-3 % is not possible"),
        ("-3 m", "negative distance"),
        ("3 m on model", 'as the prototype from "24 m"'),
        ("far", "neither a share of haze nor a distance"),
        ("", "neither a share of haze nor a distance"),
        ("nan", "neither a share of haze nor a distance"),
        ("3 leagues", "neither a share of haze nor a distance"),
    ],
)
def test_what_is_neither_is_told(text, message):
    with pytest.raises(LiveryError, match=message):
        read_haze(text)


def test_haze_in_words():
    assert str(Haze(0.03)) == "3 % haze"
    assert str(read_haze("30 m")) == "0.585 % haze (seen from 30 m in clear air)"
    assert read_haze("30 m").per_cent == 0.5851
