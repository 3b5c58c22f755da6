"""A job that is open: what it tells, what it would be, what is written when a change is kept."""

from __future__ import annotations

import json
from base64 import b64decode
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from livery.describe.changed_size import StepSize
from livery.findings import Finding, LiveryError
from livery.local_page.answer import is_editor_link
from livery.local_page.finding_places import finding_places
from livery.local_page.open_job import CHANGED, Change, OpenJob
from livery.local_page.seen_colours import seen_colours
from tests.local_page.conftest import write_job

INSET = "panel.side.lining.0.inset"


@pytest.fixture(scope="module", autouse=True)
def cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is as it was need not be laid out again: that is what a page that stays open lives by."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LIVERY_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def job(job_file: Path) -> OpenJob:
    return OpenJob(job_file)


@pytest.fixture(scope="module")
def only_read(tmp_path_factory: pytest.TempPathFactory) -> OpenJob:
    """A job whose files no test changes."""
    return OpenJob(write_job(tmp_path_factory.mktemp("job")))


def figures(job: OpenJob, data: dict[str, Any]) -> dict[str, Any]:
    found = {}
    for head in data["figures"]:
        content = job.figure(head["digest"])
        assert content is not None
        found[head["name"]] = json.loads(content)
    return found


def test_every_panel_and_side_is_told_at_one_scale(only_read: OpenJob) -> None:
    data = only_read.data()
    assert data["scale"]["ratio"] == 0.125
    drawn = figures(only_read, data)
    assert [name for name in drawn if name.startswith("panel")] == [
        "panel side", "panel side-right", "panel end"
    ]  # fmt: skip
    assert {"vehicle wagon left", "vehicle wagon right", "vehicle wagon front"} <= set(drawn)
    # As built; at 1:8 the 16 ft would be 609.6 mm.
    assert (drawn["panel side"]["width"], drawn["panel side"]["height"]) == (611.0, 152.0)
    assert drawn["vehicle wagon left"]["top"] == pytest.approx(3 * 304.8 / 8 + 152.0)
    built_to_drawn = drawn["panel side"]["drawn"]["x"]
    assert built_to_drawn == [[0.0, 0.0], [611.0, 609.6]]
    # A station is where it is as built, a height in proportion between the panel's edges.
    assert drawn["panel side"]["heights"] == [{"name": "waist", "at": 76.0}]


def test_a_mark_of_an_elevation_leads_to_its_piece(only_read: OpenJob) -> None:
    drawn = figures(only_read, only_read.data())
    marks = [m for m in drawn["vehicle wagon left"]["marks"] if "panel" in m]
    assert {(m["panel"], m["piece"]) for m in marks} == {("side", 0), ("side", 1), ("side", 2)}


def test_findings_have_their_place_and_panel(only_read: OpenJob) -> None:
    (thin,) = [f for f in only_read.data()["findings"] if f["code"] == "limit-line"]
    assert thin["panel"] == "end" and thin["key"] == "panel.end.lining.0"
    places = {p["figure"]: (p["x"], p["y"]) for p in thin["places"]}
    assert set(places) == {"panel end", "vehicle wagon front"}
    # The inset of 4 in at 1:8 is 12.7 mm: the line of 0.1 mm begins there, at the bottom left.
    assert places["panel end"] == pytest.approx((12.7, 152.4 - 12.7), abs=0.1)
    # The end is as wide as the vehicle and reaches its top.
    assert places["vehicle wagon front"] == places["panel end"]
    assert thin["file"] == "job.toml" and thin["line"] > 50


def test_a_line_that_steps_is_shown_where_its_largest_step_ends(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    lower = job.read_text().replace(
        'waist = { height = "2 ft" }', 'waist = { height = "1 ft 6 in" }'
    )
    (tmp_path / "lower.toml").write_text(lower)
    file = tmp_path / "train.toml"
    file.write_text(
        '[job]\ntitle = "Two"\nscale = "1:8"\n\n[[train.vehicle]]\ncalled = "a"\nfile = "job.toml"\n\n'
        '[[train.vehicle]]\ncalled = "b"\nfile = "lower.toml"\n\n'
        '[line.waist]\ndatum = "waist"\n'
    )
    (step,) = [f for f in OpenJob(file).data()["findings"] if f["code"] == "line-step"]
    places = {p["figure"]: (p["x"], p["y"]) for p in step["places"]}
    assert step["panel"] == "b-side" and step["key"] == "line.waist"
    assert {"panel b-side", "vehicle b left", "train left"} <= set(places)
    # At the end of the side that goes first, 1 ft 6 in of 4 ft up its 152 mm.
    assert places["panel b-side"] == pytest.approx((0.0, 152.0 * 2.5 / 4.0))


def test_a_finding_stands_on_every_view_that_its_panel_faces(tmp_path: Path) -> None:
    write_job(tmp_path)
    file = tmp_path / "train.toml"
    file.write_text(
        '[job]\ntitle = "Two"\nscale = "1:8"\n\n[[train.vehicle]]\ncalled = "a"\nfile = "job.toml"\n\n'
        '[[train.vehicle]]\ncalled = "b"\nfile = "job.toml"\nturned = true\ngap = "2 ft"\n'
    )
    job = OpenJob(file)
    plan = job.panel("b-side")
    assert plan is not None
    named = job._answer.named
    placed = job.examined.vehicles.placed
    where = Finding("x", "x", key="panel.b-side.lettering.0", where_mm=(100.0, 40.0))
    places = {p["figure"]: (p["x"], p["y"]) for p in finding_places(where, plan, placed, named)}
    assert places["panel b-side"] == places["vehicle b left"] == (100.0, 112.0)
    # Turned round, its left side is on the train's right, at the left end of what is seen there.
    assert set(places) == {"panel b-side", "vehicle b left", "train right"}
    assert places["train right"] == pytest.approx((100.0, 112.0), abs=0.01)
    # What runs off the panel is shown at its edge.
    off = Finding("x", "x", key="panel.b-side", where_mm=(-50.0, 40.0))
    assert finding_places(off, plan, (), named)[0]["x"] == 0.0
    # Without a place of its own it stands in the middle of its entry, or of the panel.
    for key, middle in (
        ("panel.b-side", (305.5, 76.0)),
        ("panel.b-side.lining.0.inset", (305.5, 76.0)),
    ):
        (own, *_) = finding_places(Finding("x", "x", key=key), plan, (), named)
        assert (own["x"], own["y"]) == pytest.approx(middle)


def test_with_a_version_at_hand_only_what_changed_comes_along(job: OpenJob, job_file: Path) -> None:
    before = job.data()
    assert before["drawn"] == {} and job.data(-1)["drawn"] == {} == job.data(99)["drawn"]
    assert job.data(before["version"], "Panels")["drawn"] == {}
    job_file.write_bytes(job_file.read_bytes().replace(b'inset = "6 in"', b'inset = "7 in"'))
    assert job.refresh()
    now = job.data(before["version"], "")
    assert {c["panel"] for c in now["drawn"].values()} == {"side", "side-right"}
    group = next(h["group"] for h in now["figures"] if h["name"] == "vehicle wagon left")
    drawn = job.data(before["version"], group)["drawn"]
    assert sorted(c["kind"] for c in drawn.values()) == ["panel", "panel", "vehicle", "vehicle"]
    assert set(drawn) <= {h["digest"] for h in now["figures"]}
    tried = job.tried([Change("panel.end.lining.0.inset", "5 in")], group)
    assert sorted(c["title"] for c in tried["drawn"].values())[0] == "Front end"
    assert len(tried["drawn"]) == 2


def test_an_entry_offers_its_values_its_band_and_its_paints(only_read: OpenJob) -> None:
    every = only_read.settings("panel.side.lining.0")
    found = {s["key"]: s for s in every if not s.get("absent")}
    assert {k: found[k]["kind"] for k in found} == {
        "panel.side.lining.0.paint": "paint",
        "panel.side.lining.0.width": "size",
        "panel.side.lining.0.inset": "size",
        "panel.side.lining.0.corner.round": "size",
        "paint.white.lab.0": "number",
        "paint.white.lab.1": "number",
        "paint.white.lab.2": "number",
    }
    assert found[INSET]["value"] == "6 in" and found[INSET]["file"] == "job.toml"
    assert found["paint.white.lab.0"]["canBeKept"]
    words = {s["key"]: s["kind"] for s in only_read.settings("panel.side.lettering.0")}
    assert words["panel.side.lettering.0.text"] == "words"
    assert words["panel.side.lettering.0.at.0"] == "size"
    assert words["panel.side.lettering.0.at.1"] == "size"  # a datum alone
    assert words["panel.side.lettering.0.alphabet"] == "words"


def test_the_other_hand_offers_what_its_first_hand_has(only_read: OpenJob) -> None:
    found = [s["key"] for s in only_read.settings("panel.side-right.lining.0")]
    assert INSET in found


def test_what_is_tried_is_seen_and_written_nowhere(job: OpenJob, job_file: Path) -> None:
    before = job_file.read_bytes()
    was = {h["name"]: h["digest"] for h in job.data()["figures"]}
    data = job.tried([Change(INSET, "6 in", steps=2)])
    assert data["tried"] == [{"key": INSET, "value": "6 1/4 in", "written": "6 in"}]
    now = {h["name"]: h["digest"] for h in data["figures"]}
    # Both hands and the elevations they are on, and nothing else.
    assert {n for n in now if now[n] != was[n]} == {
        "panel side", "panel side-right", "vehicle wagon left", "vehicle wagon right"
    }  # fmt: skip
    assert job_file.read_bytes() == before
    assert {h["name"]: h["digest"] for h in job.tried([])["figures"]} == was


def test_a_drag_on_the_model_moves_by_its_size_at_scale(only_read: OpenJob) -> None:
    (tried,) = only_read.tried([Change("panel.side.lettering.0.at.0", "4 ft", model_mm=-2.0)])[
        "tried"
    ]
    # 2 mm at 1:8 are 16 mm, 0.63 in: 20 of 32 parts of an inch.
    assert tried["value"] == "3 ft 11 3/8 in"


def test_a_colour_draws_nothing_anew(only_read: OpenJob) -> None:
    was = [h["digest"] for h in only_read.data()["figures"]]
    data = only_read.tried([Change("paint.white.lab.0", 92, steps=-2, step=StepSize.COARSE)])
    assert data["tried"][0]["value"] == 82
    assert [h["digest"] for h in data["figures"]] == was
    assert data["paints"]["white"]["hex"] != only_read.data()["paints"]["white"]["hex"]


def test_red_and_green_meet_for_eyes_without_one_kind_of_cone(only_read: OpenJob) -> None:
    # Red, green and blue in equal parts are grey to everyone; a red is yellowish brown without
    # the red or the green cones, and stays red without the blue ones.
    red = tuple(only_read.data()["paints"]["red"]["lab"])

    def parts(*way: str) -> list[int]:
        seen = seen_colours([red], way)  # type: ignore[arg-type]
        assert seen["left"] == []
        return [int(seen["hexes"][0][i : i + 2], 16) for i in (1, 3, 5)]

    for name in ("protan", "deutan"):
        seen = parts("D65", name, "")
        assert abs(seen[0] - seen[1]) <= 12 and seen[1] > seen[2]
    assert parts("D65", "tritan", "")[0] > 2 * parts("D65", "tritan", "")[1]
    # By a filament lamp a red is lighter; an ordinary plate shows it nearly black, and grey.
    assert sum(parts("A", "", "")) > sum(parts("D65", "", ""))
    plate = parts("D65", "", "blue-sensitive")
    assert max(plate) - min(plate) <= 2 and max(plate) < 75
    # A colour that no paint has is shown as in daylight, and named.
    assert seen_colours([(60.0, 120.0, 90.0)], ("A", "", ""))["left"] == [0]


def test_what_is_kept_changes_the_value_and_no_other_byte(job: OpenJob, job_file: Path) -> None:
    before = job_file.read_bytes()
    style = job_file.parent / "style" / "style.toml"
    changes = [Change(INSET, "7 in"), Change("panel.side.lining.0.width", "3/4 in")]
    version = job.version
    data = job.keep([*changes, Change("paint.red.lab.0", 40)], job.data()["files"])
    expected = before.replace(b'inset = "6 in"  ', b'inset = "7 in"  ')
    assert job_file.read_bytes() == expected.replace(b"'1 in'", b"'3/4 in'")
    assert b"lab = [40, 45, 30]" in style.read_bytes()
    assert data["version"] == job.version == version + 1
    assert not job.refresh()  # what it wrote itself is no news


def test_a_file_changed_meanwhile_is_not_written(job: OpenJob, job_file: Path) -> None:
    seen = job.data()["files"]
    changed = job_file.read_text().replace('"12 in"', '"11 in"')
    job_file.write_text(changed)
    with pytest.raises(LiveryError, match="changed by another program") as refused:
        job.keep([Change(INSET, "7 in")], seen)
    assert refused.value.findings[0].code == CHANGED
    assert job_file.read_text() == changed
    # The page is told of it, looks again, and may then keep its own change beside the other.
    job.keep([Change(INSET, "7 in")], job.data()["files"])
    assert job_file.read_text() == changed.replace('inset = "6 in"  ', 'inset = "7 in"  ')


def test_a_value_that_has_gone_is_not_tried(job: OpenJob, job_file: Path) -> None:
    job_file.write_text(job_file.read_text().replace('inset = "6 in"', 'round = "panel"'))
    assert job.refresh()
    with pytest.raises(LiveryError, match="no longer a value") as refused:
        job.tried([Change(INSET, "7 in")])
    assert refused.value.findings[0].key == INSET


def test_nothing_outside_the_folder_is_written(job_file: Path, tmp_path: Path) -> None:
    deep = tmp_path / "deep"
    deep.mkdir()
    job = deep / "job.toml"
    job.write_text(job_file.read_text().replace("style/style", "../style/style"))
    opened = OpenJob(job)
    assert [s["canBeKept"] for s in opened.settings("paint.red") if not s.get("absent")] == [
        False
    ] * 4
    change = [Change("paint.red.lab.0", 40)]
    assert opened.tried(change)["tried"][0]["value"] == 40
    with pytest.raises(LiveryError, match="outside the folder"):
        opened.keep(change, opened.data()["files"])
    assert "lab = [38," in (tmp_path / "style" / "style.toml").read_text()
    wider = OpenJob(job, tmp_path)
    wider.keep(change, wider.data()["files"])
    assert "lab = [40," in (tmp_path / "style" / "style.toml").read_text()


@pytest.mark.parametrize(
    ("key", "to", "message"),
    [
        (INSET, "7", "7 has no unit|no unit"),
        (INSET, "seven inches", "not"),
        ("panel.side.lining.0.paint", 3, "text"),
        ("paint.red.lab.0", "red", "not a number"),
        ("panel.side.nothing", "7 in", "no longer a value"),
        ("job", "7 in", "no longer a value"),
        ("..", "7 in", "no longer a value"),
    ],
)
def test_a_value_that_cannot_stand_there_is_refused(
    only_read: OpenJob, key: str, to: object, message: str
) -> None:
    with pytest.raises(LiveryError, match=message):
        only_read.tried([Change(key, to)])  # type: ignore[arg-type]


def test_a_change_that_brings_a_fault_is_shown_but_not_kept(job: OpenJob, job_file: Path) -> None:
    before = job_file.read_bytes()
    change = [Change("panel.side.lining.0.paint", "blue")]
    data = job.tried(change)
    assert data["faulty"] and any("blue" in f["message"] for f in data["findings"])
    with pytest.raises(LiveryError, match="blue"):
        job.keep(change, job.data()["files"])
    assert job_file.read_bytes() == before


def test_a_save_is_news_and_what_cannot_be_read_leaves_the_figures(
    job: OpenJob, job_file: Path
) -> None:
    assert not job.refresh()
    good = job_file.read_text()
    was = job.data()
    job_file.write_text(good + "\n[")
    assert job.is_out_of_date() and job.refresh() and job.version == was["version"] + 1
    broken = job.data()
    assert broken["faulty"] and broken["stale"] and broken["figures"] == was["figures"]
    with pytest.raises(LiveryError):
        job.tried([Change(INSET, "7 in")])
    job_file.write_text(good)
    assert job.refresh()
    assert not job.data()["stale"] and job.data()["findings"] == was["findings"]


def test_steps_follow_the_coats_and_then_what_is_laid(only_read: OpenJob) -> None:
    steps = only_read.steps("side")
    assert [s["words"] for s in steps] == [
        "coat 1: red", "cut film: lining 1, strand 1: white", "cut film: word MCR"
    ]  # fmt: skip
    assert [s.get("pieces") for s in steps] == [None, [1], [2]]
    assert steps[0]["d"].startswith("M")
    assert only_read.steps("no such panel") == []


def test_the_parts_of_film_make_up_what_is_cut(only_read: OpenJob) -> None:
    parts = only_read.joins()
    numbers = [part["number"] for own in parts.values() for part in own]
    assert sorted(numbers) == list(range(1, len(numbers) + 1))
    # Four strips and four corners of the lining at the least, and the word.
    assert len(parts["side"]) >= 9 and all(p["d"].startswith("M") for p in parts["side"])


def test_a_solid_is_as_large_as_the_vehicle_and_has_the_area_of_its_paint(
    only_read: OpenJob,
) -> None:
    parts = {p["fill"]: p["corners"] for p in only_read.solid("wagon")["parts"]}
    assert set(parts) == {"paint:red", "paint:white"}
    found = {n: np.frombuffer(b64decode(c), "<f4").reshape(-1, 3, 3) for n, c in parts.items()}
    every = np.concatenate(list(found.values())).reshape(-1, 3)
    # Station to the side's 611 mm; 3 ft to 7 ft above rail at 1:8, the sides 152 mm high as built.
    assert every.max(axis=0)[0] == pytest.approx(611.0, abs=0.01)
    assert every.min(axis=0)[2] == pytest.approx(3 * 304.8 / 8, abs=0.01)
    legs = np.cross(*(np.moveaxis(found["paint:red"][:, 1:] - found["paint:red"][:, :1], 1, 0)))
    white = np.cross(
        *(np.moveaxis(found["paint:white"][:, 1:] - found["paint:white"][:, :1], 1, 0))
    )
    whole = sum(np.linalg.norm(t, axis=1).sum() / 2 for t in (legs, white))
    assert whole == pytest.approx(611.0 * 152.0 * 2 + 304.8 * 152.4, rel=1e-4)
    assert only_read.solid("no such vehicle") == {}


def test_a_piece_is_on_its_sheet_under_its_number(only_read: OpenJob) -> None:
    (line,) = only_read.cut_from("panel.side.lettering.0", "white")
    assert line.startswith("cut-white-cut-film: piece")
    assert only_read.cut_from("panel.side.field.0", "red") == []


def test_an_editor_link_runs_nothing() -> None:
    assert is_editor_link("editor://open?file={file}&line={line}")
    for address in ("javascript:alert('{file}')", "data:text/html,{file}", "{file}", "editor:", ""):
        assert not is_editor_link(address)


def test_a_key_that_is_absent_is_added_in_a_line_of_its_own(job: OpenJob, job_file: Path) -> None:
    key = "panel.side.lettering.0.tracking"
    absent = {s["key"]: s for s in job.settings("panel.side.lettering.0") if s.get("absent")}
    assert absent[key]["kind"] == "size" and absent[key]["value"] is None and absent[key]["about"]
    assert absent["panel.side.lettering.0.align"]["choices"] == (
        "centre", "left", "optical centre", "right"
    )  # fmt: skip
    before = job_file.read_text()
    data = job.tried([Change(key, "1 in")])
    assert data["tried"] == [{"key": key, "value": "1 in", "written": None}]
    assert job.tried([Change(key, None)])["tried"][0]["value"] is None
    with pytest.raises(LiveryError):
        job.tried([Change("panel.side.lettering.0.text", None)])
    job.keep([Change(key, "1 in"), Change("paint.red.lab.0", 40)], job.data()["files"])
    assert job_file.read_text() == before.replace(
        'stand = "middle"\n', 'stand = "middle"\ntracking = "1 in"\n'
    )
    assert not any(s.get("absent") for s in job.settings("panel.side.lettering.0") if s["key"] == key)  # fmt: skip


def test_several_files_are_kept_all_or_none(
    job: OpenJob, job_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import livery.write.file as writer

    style = job_file.parent / "style" / "style.toml"
    before = job_file.read_bytes(), style.read_bytes()
    written: list[Path] = []
    whole = writer.replace_content

    def refuses_the_second(target: Path, data: bytes) -> None:
        if len(written) == 1:
            written.append(target)
            raise OSError(28, "No space left on device")
        written.append(target)
        whole(target, data)

    monkeypatch.setattr(writer, "replace_content", refuses_the_second)
    changes = [Change(INSET, "7 in"), Change("paint.red.lab.0", 40)]
    with pytest.raises(LiveryError, match="No space"):
        job.keep(changes, job.data()["files"])
    assert (job_file.read_bytes(), style.read_bytes()) == before and len(written) == 3


def test_another_description_of_the_folder_is_seen_beside(job: OpenJob, job_file: Path) -> None:
    other = job_file.read_text().replace('inset = "6 in"', 'inset = "9 in"')
    job_file.with_name("other.toml").write_text(other)
    job_file.with_name("notes.toml").write_text("x = 1\n")
    job_file.with_name("broken.toml").write_text("[")
    assert job.descriptions() == ["other.toml"]
    data = job.beside("other.toml")
    before, after = figures(job, job.data()), figures(job, data)
    assert after["panel side"]["pieces"][1]["d"] != before["panel side"]["pieces"][1]["d"]
    assert after["panel end"] == before["panel end"]
    for name in ("job.toml", "notes.toml", "../job.toml", "/etc/passwd", ""):
        with pytest.raises(LiveryError):
            job.beside(name)
