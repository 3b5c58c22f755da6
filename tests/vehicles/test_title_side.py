"""A title that names the side on which its panel is not is said, and no other title is."""

from __future__ import annotations

import pytest

from livery.describe.entries.panel import Panel
from livery.vehicles.title_side import title_findings

FLAT = {"outline": {"rectangle": ["4 ft", "3 ft"]}}


def messages(**panels: dict[str, object]) -> list[str]:
    read = {name: Panel.model_validate(entry) for name, entry in panels.items()}
    return [found.message for found in title_findings(read)]


def placed(face: str) -> dict[str, object]:
    return {"place": {"face": face, "station": "0 ft", "height": "4 ft"}}


@pytest.mark.parametrize(
    ("title", "face", "said"),
    [
        ("Side, left", "right", "left"),
        ("RIGHT side", "left", "right"),
        ("Side, left", "left", None),
        ("Side, left", "front", None),
        ("Left and right", "right", None),
        ("Bright side", "left", None),
        ("Side", "left", None),
    ],
)
def test_a_title_is_compared_with_the_side_the_panel_is_on(
    title: str, face: str, said: str | None
) -> None:
    found = messages(side=FLAT | placed(face) | {"title": title})
    whole = [f'its title says "{said}", and the panel is on the {face} side']
    assert found == ([] if said is None else whole)


def test_the_other_hand_is_on_the_other_side() -> None:
    first, other = FLAT | {"title": "Side, left"}, {"mirror_of": "one", "title": "Side, left"}
    because = 'is the other hand of "one", whose title says "left"'
    assert messages(one=first, two=other) == [f'its title says "left", and the panel {because}']
    on = messages(one=first | placed("left"), two=other)
    assert on == ['its title says "left", and the panel is on the right side']
    assert messages(one=first, two=other | {"title": "Side, right"}) == []
    assert messages(one=first, two={"mirror_of": "one"}) == []
