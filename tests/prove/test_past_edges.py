"""Film that reaches further past the metal than the record says is found."""

from pathlib import Path

import pytest

from livery.prove.past_edges import past_edge_faults
from livery.prove.record import Laid, Record, RecordedPanel
from livery.prove.svg_file import read_svg

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="60mm" viewBox="0 0 120 60">
<g id="cut"><path id="piece-1" d="M 7 25 H 113 V 35 H 7 Z"/></g></svg>"""
"""A line 106 mm long on a sheet of metal 100 mm long that begins at 10 mm."""


def record(past_mm: float, openings: tuple[str, ...] = ()) -> Record:
    step = Laid.model_construct(
        do="lay film",
        file="a.svg",
        element="piece-1",
        to_panel=(1, 0, 0, -1, -10, 60),
        past_edges_mm=past_mm,
    )
    panel = RecordedPanel.model_construct(
        name="side", outline="M 0 0 H 100 V 60 H 0 Z", openings=openings, steps=(step,)
    )
    return Record.model_construct(panels=(panel,))


@pytest.mark.parametrize(
    ("past_mm", "openings", "found"),
    [
        (3.0, (), 0),
        (2.9, (), 1),
        (0.0, (), 1),
        (3.0, ("M 40 20 H 60 V 40 H 40 Z",), 1),
        (10.0, ("M 40 20 H 60 V 40 H 40 Z",), 0),
    ],
)
def test_a_part_may_run_past_the_metal_as_far_as_is_recorded(
    tmp_path: Path, past_mm: float, openings: tuple[str, ...], found: int
) -> None:
    file = tmp_path / "a.svg"
    file.write_text(SVG, encoding="utf-8")
    faults = list(past_edge_faults(read_svg(file), "a.svg", record(past_mm, openings)))
    assert len(faults) == found
    assert all(words.startswith("piece-1 reaches over") for words in faults)
    assert not list(past_edge_faults(read_svg(file), "b.svg", record(0.0)))
