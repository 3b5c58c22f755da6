"""A paint and its process go together: leaf is laid as leaf, and nothing else is."""

import pytest

from livery.pipeline import examine

JOB = """
[job]
title = "Tram"
scale = "1:8"
[paint.gold]
lab = [66, 12, 52]
kind = "leaf"
[paint.black]
lab = [16, 0, 0]
[panel.side]
outline = {{ rectangle = ["300 mm on model", "100 mm on model"] }}
[[panel.side.field]]
paint = "{field}"
[[panel.side.lettering]]
text = "AB"
alphabet = "plain block"
cap_height = "40 mm on model"
paint = "gold"
at = ["60 mm on model", "30 mm on model"]
{process}
shade = {{ paint = "black", direction = "lower right", depth = "2 mm on model"{shade} }}
[panel.other]
mirror_of = "side"
"""


@pytest.mark.parametrize(
    ("process", "shade", "faults"),
    [
        ('process = "leaf"', ', process = "bow pen"', []),
        ('process = "leaf"', "", ["black is no leaf, and lettering 1 lays it as leaf"]),
        ("", "", ["gold is leaf, and lettering 1 puts it on by cut film"]),
        ('process = "bow pen"', "", ["gold is leaf, and lettering 1 puts it on by bow pen"]),
    ],
)
def test_a_process_that_is_not_that_of_the_paint_is_a_fault_once_for_both_hands(
    tmp_path, process, shade, faults
):
    file = tmp_path / "job.toml"
    file.write_text(JOB.format(field="black", process=process, shade=shade), encoding="utf-8")
    examined = examine(file)
    assert [f.message for f in examined.findings if f.code == "leaf-process"] == faults
    assert examined.exit_status == (2 if faults else 0)


def test_a_field_of_leaf_says_how_to_lay_it(tmp_path):
    file = tmp_path / "job.toml"
    laid = 'process = "leaf"'
    text = JOB.format(field="gold", process=laid, shade=', process = "bow pen"')
    file.write_text(text, encoding="utf-8")
    (fault,) = [f for f in examine(file).findings if f.code == "leaf-process"]
    assert fault.message == "gold is leaf, and field 1 puts it on by spray"
    assert fault.remedy.startswith('Write process = "leaf" beside the paint')
    file.write_text(text.replace('paint = "gold"\n', f'paint = "gold"\n{laid}\n', 1), "utf-8")
    assert examine(file).exit_status == 0
