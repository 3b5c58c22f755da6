"""A file that includes others changes, drops and adds entries by what they are called."""

from __future__ import annotations

import tomllib
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from livery.describe.changes import Written, put_over
from livery.describe.written import read_written
from livery.findings import Severity
from livery.pipeline import examine
from livery.toml.places import find_positions

STYLE = """
[panel.side]
title = "Side"
[[panel.side.lettering]]
called = "number"
text = "27"
cap_height = "6 in"
[[panel.side.lettering]]
called = "company"
text = "MARRAM COAST"
[[panel.side.lettering]]
text = "nameless"
"""


def written(text: str, name: str) -> Written:
    return Written(tomllib.loads(text), find_positions(Path(name), text.encode()))


def put(over: str) -> Written:
    return put_over(written(STYLE, "style.toml"), written(over, "coach.toml"))


def test_one_number_is_changed_by_name_and_all_else_stays() -> None:
    got = put('[panel.side.lettering.number]\ntext = "28"\n')
    first, second, third = got.data["panel"]["side"]["lettering"]
    assert first == {"called": "number", "text": "28", "cap_height": "6 in"}
    assert second["text"] == "MARRAM COAST"
    assert third == {"text": "nameless"}
    assert not got.faults


def test_every_key_has_the_place_it_was_written_at() -> None:
    got = put('[panel.side.lettering.number]\ntext = "28"\n')
    lettering = ("panel", "side", "lettering")
    changed = got.places[*lettering, 0, "text"]
    assert (str(changed.file), changed.line) == ("coach.toml", 2)
    kept = got.places[*lettering, 0, "cap_height"]
    assert (str(kept.file), kept.line) == ("style.toml", 7)
    assert got.places[*lettering, 1, "text"].line == 10


def test_an_entry_is_dropped_and_those_after_it_keep_their_places() -> None:
    got = put("[panel.side.lettering]\nnumber = false\n")
    assert [e["text"] for e in got.data["panel"]["side"]["lettering"]] == [
        "MARRAM COAST",
        "nameless",
    ]
    assert got.places["panel", "side", "lettering", 0, "text"].line == 10


def test_an_entry_is_added_only_where_that_is_said() -> None:
    got = put('[panel.side.lettering.class]\nadd = true\ntext = "T"\n')
    assert got.data["panel"]["side"]["lettering"][3] == {"called": "class", "text": "T"}
    assert str(got.places["panel", "side", "lettering", 3, "text"].file) == "coach.toml"


def test_a_misspelt_name_is_a_fault_in_the_file_that_wrote_it() -> None:
    got = put('[panel.side.lettering.numbr]\ntext = "28"\n')
    (fault,) = got.faults
    assert fault.place is not None
    assert (str(fault.place.file), fault.place.line) == ("coach.toml", 1)
    assert 'Did you mean "number"?' in fault.remedy


def test_a_name_that_two_entries_share_cannot_be_changed() -> None:
    style = STYLE.replace('called = "company"', 'called = "number"')
    over = written('[panel.side.lettering.number]\ntext = "28"\n', "coach.toml")
    (fault,) = put_over(written(style, "style.toml"), over).faults
    assert "2 entries" in fault.message


def test_a_name_that_is_there_is_not_added_again() -> None:
    (fault,) = put('[panel.side.lettering.number]\nadd = true\ntext = "28"\n').faults
    assert "already" in fault.message


def test_what_is_neither_a_table_nor_false_changes_nothing() -> None:
    (fault,) = put('[panel.side.lettering]\nnumber = "28"\n').faults
    assert "neither a table nor false" in fault.message


def test_false_over_a_table_drops_it() -> None:
    got = put("[panel]\nside = false\n")
    assert got.data["panel"] == {}
    assert ("panel", "side", "title") not in got.places


def test_a_list_still_takes_the_place_of_a_list() -> None:
    got = put('[[panel.side.lettering]]\ntext = "OTHER"\n')
    assert got.data["panel"]["side"]["lettering"] == [{"text": "OTHER"}]
    assert str(got.places["panel", "side", "lettering", 0].file) == "coach.toml"


values = st.one_of(st.integers(), st.text(max_size=3))
tables = st.dictionaries(st.sampled_from("abc"), values, max_size=3)


@given(tables, tables, tables)
def test_files_put_over_one_another_may_be_grouped_either_way(
    a: dict[str, object], b: dict[str, object], c: dict[str, object]
) -> None:
    one, two, three = ({"t": dict(x)} for x in (a, b, c))
    left = put_over(put_over(Written(one), Written(two)), Written(three))
    right = put_over(Written(one), put_over(Written(two), Written(three)))
    assert left.data == right.data == {"t": {**a, **b, **c}}


def test_what_is_dropped_is_kept_with_where() -> None:
    got = put("[panel.side.lettering]\nnumber = false\n")
    place = got.dropped["panel", "side", "lettering", "number"]
    assert (str(place.file), place.line) == ("coach.toml", 2)
    whole = put_over(got, written("[panel]\nside = false\n", "last.toml"))
    assert whole.dropped["panel", "side"].file == Path("last.toml")
    assert len(whole.dropped) == 2


def test_a_fault_of_a_name_that_another_file_drops_names_that_file(tmp_path: Path) -> None:
    (tmp_path / "style.toml").write_text(
        '[job]\ntitle = "T"\nscale = "1:10"\n[paint.red]\nlab = [40, 50, 30]\n'
        '[vehicle.van]\nlength = "4 m"\n'
        '[panel.side]\noutline = { rectangle = ["4 m", "2 m"] }\n'
        '[panel.side.datum]\nwaist = { height = "1 m" }\n'
        '[[panel.side.field]]\npaint = "red"\narea = { bottom = "waist" }\n',
        encoding="utf-8",
    )
    van = tmp_path / "van.toml"
    van.write_text(
        'include = ["style.toml"]\n[panel.side.datum]\nwaist = false\n', encoding="utf-8"
    )
    train = tmp_path / "train.toml"
    train.write_text(
        '[job]\ntitle = "T"\nscale = "1:10"\n[[train.vehicle]]\ncalled = "9"\nfile = "van.toml"\n',
        encoding="utf-8",
    )
    for file in (van, train):
        (fault,) = (f for f in examine(file).findings if f.severity is Severity.ERROR)
        assert fault.place is not None and fault.place.file.name == "style.toml"
        assert fault.remedy.endswith('"waist" is dropped in van.toml, line 3.')


def test_a_file_above_is_shown_without_the_way_down(tmp_path: Path) -> None:
    folder = tmp_path / "train"
    folder.mkdir()
    (tmp_path / "style.toml").write_text("[panel.side]\nwidth = 3\n", encoding="utf-8")
    van = folder / "van.toml"
    van.write_text('include = ["../style.toml"]\n', encoding="utf-8")
    (place,) = {place.file for key, place in read_written(van).places.items() if key[0] == "panel"}
    assert place == tmp_path / "style.toml"
    # A link makes of the same words another file: then they stay.
    other = tmp_path / "other" / "deep"
    other.mkdir(parents=True)
    (other.parent / "style.toml").write_text("[panel.end]\nwidth = 3\n", encoding="utf-8")
    (tmp_path / "link").symlink_to(other)
    (other / "van.toml").write_text('include = ["../style.toml"]\n', encoding="utf-8")
    places = read_written(tmp_path / "link" / "van.toml").places
    (place,) = {place.file for key, place in places.items() if key[0] == "panel"}
    assert place.resolve() == other.parent / "style.toml"
