import pytest

from livery.colour.words import WHOLE, describe, grade


@pytest.mark.parametrize(
    ("target", "found", "words"),
    [
        ((50, 20, 10), (50, 20, 10), "much the same"),
        ((50, 0, 0), (51.2, 0, 0), "a little lighter"),
        ((50, 0, 0), (40, 0, 0), "much darker"),
        ((50, 0, 0), (50, 1.5, 0), "a little redder"),
        ((50, 0, 0), (50, -1.5, -0.6), "a little greener, a trace bluer"),
        ((50, 30, 0), (50, 29.5, 4), "yellower"),
        ((50, 30, 0), (50, 29.5, -4), "bluer"),
        ((50, 0, 30), (50, 3, 29.9), "redder"),
        ((50, -30, 5), (50, -30, 0), "bluer"),
        ((50, -30, 5), (50, -29, 9), "yellower"),
        ((50, 0, -30), (50, -4, -29.8), "greener"),
        ((50, 30, 30), (50, 20, 20), "much greyer"),
        ((50, 30, 30), (50, 32, 28), "a little redder"),
        ((50, 30, 30), (50, 28, 32), "a little yellower"),
        ((50, 30, 30), (50, 34, 34), "a little stronger"),
    ],
)
def test_which_way_a_colour_departs(target, found, words):
    assert describe(target, found) == words


def test_a_grade_for_every_difference():
    reported = [grade(limit - 1e-6) for limit, _ in WHOLE] + [grade(WHOLE[-1][0])]
    assert reported == [*(words for _, words in WHOLE), "another colour"]
