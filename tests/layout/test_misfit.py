"""Sizes and places as built that a slip has made wrong are said at their value, and near ones pass."""

from __future__ import annotations

from pathlib import Path

import pytest

from livery.findings import Finding, Severity
from livery.layout.misfit import place_misfit, size_misfit
from livery.layout.panel_axes import PanelAxis
from livery.pipeline import examine

HEAD = """\
[job]
title = "Marram Coast wagon 41"
scale = "1:10"
[paint.green]
lab = [30, -20, 10]
"""
VEHICLE = """\
[vehicle.41]
length = "6000 mm"
coupling = "1000 mm"
built = { %s }
"""
SIDE = """\
[panel.side]
outline = { rectangle = ["4000 mm", "2000 mm"] }
as_built = { width = "401 mm", height = "202 mm" }
%s
[[panel.side.field]]
paint = "green"
"""
FOLDED = """\
[panel.tank.sheet]
along = "height"
across = "3000 mm"
radii_of = "outside"
faces = [
    { called = "near", flat = "500 mm", built = "%s" },
    { called = "over", bend = "90 deg", radius = "400 mm", built = "%s" },
    { called = "off", flat = "20 mm", built = "%s" },
]
[[panel.tank.field]]
paint = "green"
"""
WARNING, ERROR = Severity.WARNING, Severity.ERROR


def told(folder: Path, text: str) -> list[tuple[str, str, Severity]]:
    """Return the words of each finding of a description, what its place shows, and how grave it is."""
    (folder / "job.toml").write_text(HEAD + text, encoding="utf-8")
    return [_as_seen(f) for f in examine(folder / "job.toml").findings]


def _as_seen(finding: Finding) -> tuple[str, str, Severity]:
    assert finding.place is not None
    at = finding.place.value_column - 1
    return finding.message, finding.place.text[at:].split('"')[1], finding.severity


@pytest.mark.parametrize(
    ("lengths", "found"),
    [
        # 50 mm, a quarter of a turn at 40 mm: 62.8 mm, and 2 mm.
        (("51 mm", "64 mm", "2.9 mm"), []),
        (("53 mm", "62 mm", "2 mm"), [("flat", "near", "53.0", "6.0% more", "50.0", WARNING)]),
        (("5 mm", "62 mm", "2 mm"), [("flat", "near", "5.0", "90.0% less", "50.0", ERROR)]),
        (("50 mm", "40 mm", "2 mm"), [("bend", "over", "40.0", "36.3% less", "62.8", ERROR)]),
        (("50 mm", "62 mm", "4 mm"), [("flat", "off", "4.0", "100.0% more", "2.0", WARNING)]),
        (("50 mm", "62 mm", "5.1 mm"), [("flat", "off", "5.1", "155.0% more", "2.0", ERROR)]),
    ],
)
def test_a_face_as_built_is_near_its_length_at_scale(
    tmp_path: Path, lengths: tuple[str, ...], found: list[tuple[object, ...]]
) -> None:
    expected = [
        (f'as built {kind} "{name}" is {mm} mm long, {off} than the {due} mm at scale', severity)
        for kind, name, mm, off, due, severity in found
    ]
    seen = told(tmp_path, FOLDED % lengths)
    assert [(words, severity) for words, _, severity in seen] == expected
    assert {shown for _, shown, _ in seen} <= set(lengths)


@pytest.mark.parametrize(
    ("built", "off", "severity"),
    [
        ("151 mm", None, None),
        ("150 mm", None, None),
        ("160 mm", "8.5 mm more than the 151.5 mm by the panel's ends as built", WARNING),
        ("15 mm", "135.0 mm less than the 150.0 mm at scale", ERROR),
    ],
)
def test_a_datum_as_built_is_near_where_the_panel_puts_it(
    tmp_path: Path, built: str, off: str | None, severity: Severity | None
) -> None:
    seen = told(tmp_path, SIDE % f'datum.waist = {{ height = "1500 mm", built = "{built}" }}')
    words = f'as built "waist" is {float(built[:-3]):.1f} mm, {off}'
    assert seen == ([] if off is None else [(words, built, severity)])


@pytest.mark.parametrize(
    ("datum", "where"),
    [
        ('height = "2000 mm"', None),
        ('height = "2300 mm"', "30.0 mm on the model above the top"),
        ('height = "-20 mm"', "2.0 mm on the model below the bottom"),
        ('station = "4010 mm"', "1.0 mm on the model beyond the right end"),
        ('station = "-10 mm"', "1.0 mm on the model before the left end"),
    ],
)
def test_a_datum_drawn_beyond_its_panel_is_warned_of(
    tmp_path: Path, datum: str, where: str | None
) -> None:
    seen = told(tmp_path, SIDE % f"datum.waist = {{ {datum} }}")
    shown = datum.split('"')[1]
    message = f'"waist" is drawn {where} of this panel'
    assert seen == ([] if where is None else [(message, shown, WARNING)])


def test_datums_in_the_wrong_order_are_said_at_one_of_them(tmp_path: Path) -> None:
    datums = 'datum.waist = { height = "1000 mm", built = "101 mm" }\n'
    datums += 'datum.cant = { height = "1020 mm", built = "100 mm" }'
    words = 'as built, "cant" at 100.0 mm does not come after "waist" at 101.0 mm, as it does on the drawing'
    assert told(tmp_path, SIDE % datums) == [(words, "100 mm", ERROR)]
    beyond = 'datum.waist = { height = "1990 mm", built = "203 mm" }'
    ((message, shown, _),) = told(tmp_path, SIDE % beyond)
    assert shown == "203 mm"
    assert message.startswith(
        'as built, the top of this panel at 202.0 mm does not come after "waist" at 203.0 mm'
    )


@pytest.mark.parametrize(
    ("vehicle", "place", "found"),
    [
        ('length = "601 mm"', 'height = "104 mm"', None),
        (
            'length = "640 mm"',
            'height = "100 mm"',
            ('"41" is 640.0 mm long, 6.7% more than the 600.0 mm', "640 mm", WARNING),
        ),
        (
            'coupling = "10 mm"',
            'height = "100 mm"',
            ("the height of the couplings is 10.0 mm, 90.0 mm less than the 100.0 mm", "10 mm", ERROR),
        ),
        (
            'coupling = "100 mm"',
            'height = "10 mm"',
            ('the height of "side" is 10.0 mm, 90.0 mm less than the 100.0 mm', "10 mm", ERROR),
        ),
        (
            'coupling = "100 mm"',
            'height = ["101 mm", "107 mm"]',
            ('the height of "side" is 107.0 mm, 7.0 mm more than the 100.0 mm', "101 mm", WARNING),
        ),
        (
            'coupling = "100 mm"',
            'station = "4 mm"',
            ('the station of "side" is 4.0 mm, 4.0 mm more than the 0.0 mm', "4 mm", WARNING),
        ),
        ('coupling = "100 mm"', 'station = "2.9 mm"', None),
    ],
)  # fmt: skip
def test_a_vehicle_and_a_place_as_built_are_near_the_drawing(
    tmp_path: Path, vehicle: str, place: str, found: tuple[str, str, Severity] | None
) -> None:
    on = 'place = { face = "left", out = "0 mm", station = "0 mm", height = "1000 mm", built = { %s } }'
    seen = told(tmp_path, VEHICLE % vehicle + SIDE % (on % place))
    said = None if found is None else (f"as built {found[0]} at scale", *found[1:])
    assert seen == ([] if said is None else [said])


def test_half_as_much_again_is_refused() -> None:
    for built, severity in ((149.0, WARNING), (151.0, ERROR), (68.0, WARNING), (66.0, ERROR)):
        for found in (
            size_misfit("it", "long", 100.0, built, "k", small_mm=0.0),
            place_misfit("it", 100.0, built, "k"),
        ):
            assert found is not None
            assert (found.severity, found.exit_status) == (severity, 2 * (severity is ERROR))


def test_a_place_is_refused_from_nine_millimetres_off() -> None:
    for drawn, built, severity in (
        (4.0, 12.9, WARNING),
        (4.0, 13.1, ERROR),
        (0.0, -8.9, WARNING),
        (-5.0, 5.0, ERROR),
    ):
        found = place_misfit("it", drawn, built, "k")
        assert found is not None
        assert found.severity == severity


def test_a_datum_beyond_its_panel_is_refused_where_the_order_is_lost(tmp_path: Path) -> None:
    datum = 'datum.waist = { height = "2300 mm", built = "200 mm" }'
    message = '"waist" is drawn 30.0 mm on the model above the top of this panel'
    assert told(tmp_path, SIDE % datum) == [(message, "2300 mm", ERROR)]


def test_a_datum_measured_from_another_place_or_from_the_other_end_is_placed_by_it() -> None:
    axis = PanelAxis(
        "station",
        low=0.0,
        high=100.0,
        built=104.0,
        of_sheet=(),
        starts={"own": 3.0, "far": 5.0},
        turned=frozenset({"far"}),
    )
    assert (axis.placed("own", 10.0), axis.measured("own", 13.0)) == (13.0, 10.0)
    assert (axis.placed("far", 10.0), axis.measured("far", 89.0)) == (89.0, 10.0)


@pytest.mark.parametrize(("past", "count"), [("0.8 mm", 0), ("1.2 mm", 1)])
def test_a_datum_drawn_past_the_panel_by_more_than_rounding_is_told(
    tmp_path: Path, past: str, count: int
) -> None:
    """At 1:10, 0.08 and 0.12 mm on the model."""
    (tmp_path / "job.toml").write_text(
        '[job]\ntitle = "Side"\nscale = "1:10"\n[panel.side]\n'
        'outline = { polygon = [["1 m", "1 m"], ["3 m", "1 m"], ["3 m", "2 m"], ["1 m", "2 m"]] }\n'
        f'datum = {{ rave = {{ height = "{2000.0 + float(past.split()[0])} mm" }}, '
        'waist = { height = "1900 mm", built = "90.5 mm" } }\nas_built = { height = "110 mm" }\n',
        encoding="utf-8",
    )
    found = examine(tmp_path / "job.toml").findings
    # The waist is drawn 90 mm above the lowest corner at scale, which is at 1 m, though the panel
    # itself is 10 mm higher than drawn.
    assert [f.code for f in found if "datum" in f.key] == ["off-panel"] * count
