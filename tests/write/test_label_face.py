"""Captions in few lines, on whatever page they stand."""

import pytest

from livery.write.label_face import few_lines, label_width


@pytest.mark.parametrize("room", [-3.0, 0.0, 4.0])
def test_words_on_a_page_too_narrow_for_them_are_as_few_lines_as_asked(room: float) -> None:
    words = "stencil of the left side, cream, first layer"
    lines, long = few_lines(words, 1.85, room, 2)
    assert len(lines) <= 2 and " ".join(lines) == words
    assert long == max(label_width(line, 1.85) for line in lines)
