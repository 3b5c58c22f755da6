"""One job book for a rake: entered on one vehicle, found on every other that shares it."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from livery.cli import livery
from livery.drawing import Label

JOB = """
[job]
title = "Van {name}"
scale = "1:10"
book = "rake.book.toml"
[paint.green]
lab = [40, -30, 20]
[vehicle.{name}]
length = "5 m"
[panel.side]
outline = {{ rectangle = ["5 m", "2 m"] }}
place = {{ face = "left", height = "1 m" }}
[[panel.side.field]]
paint = "green"
"""


def run(*words: str) -> str:
    result = CliRunner().invoke(livery, list(words))
    assert result.exit_code == 0, result.output
    return result.output


def test_what_one_vehicle_was_given_is_found_for_the_next(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text(JOB.format(name=name), encoding="utf-8")
    one, two = str(tmp_path / "one.toml"), str(tmp_path / "two.toml")
    run(
        "book",
        one,
        "--paint",
        "green",
        "--bought",
        "tin 9",
        "--vehicle",
        "one",
        "--on",
        "2026-05-01",
    )
    assert (tmp_path / "rake.book.toml").is_file()
    assert not (tmp_path / "one.book.toml").exists()
    again = run("again", two, "green")
    assert "green on one" in again
    assert "tin 9" in again
    # A vehicle of another job is entered, but not without a word: it may be misspelt.
    said = run("book", two, "--paint", "green", "--bought", "tin 10", "--vehicle", "tow")
    assert 'warning: vehicle "tow" is not declared here; it is taken for that of another' in said
    assert 'Did you mean "two"?' in said
    assert "green on tow" in run("again", two, "green")


def test_entries_are_told_as_those_of_the_job_they_were_made_for(tmp_path: Path) -> None:
    """Both jobs have a panel of that name; one has the book of its own name, the other shares it."""
    from livery.describe.job_book import entry_text
    from livery.pipeline import coloured

    own = JOB.format(name="one").replace('book = "rake.book.toml"\n', "")
    (tmp_path / "one.toml").write_text(own, encoding="utf-8")
    shared = JOB.format(name="one").replace("rake.", "one.")
    (tmp_path / "two.toml").write_text(shared, encoding="utf-8")
    one, two = str(tmp_path / "one.toml"), str(tmp_path / "two.toml")
    words = ("--paint", "green", "--panel", "side", "--on", "2026-05-01")
    run("book", one, *words, "--bought", "tin 9", "--card", "41 -30 20")
    assert "green on side (one.toml)" in run("again", two, "green")
    run("book", two, *words, "--bought", "tin 10")
    for file, jobs in ((one, ["", "two.toml"]), (two, ["one.toml", ""])):
        entries = coloured(Path(file)).book.entries
        assert [e.job for e in entries] == jobs
    assert 'job = "one.toml"' in entry_text(entries[0])
    assert "tin 9" not in run("again", two, "green")
    run("build", two, "--out", str(tmp_path / "out"))
    order = (tmp_path / "out/order/order-to-paint-shop-green.txt").read_text(encoding="utf-8")
    assert "green on side (one.toml): tin 9; card L* 41.00, a* -30.00, b* 20.00" in order
    assert (
        "on side (one.toml)), meet that card, not the Lab above: L* 41.00, a* -30.00, b* 20.00."
        in order
    )
    from pypdf import PdfReader

    pages = PdfReader(tmp_path / "out/record/job-book.pdf").pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    first, other = text.split("Other jobs of this book")
    assert "green: 2026-05-01 tin 10" in first and "tin 9" not in first and "tin 9" in other


def test_each_vehicles_page_says_what_it_wears(tmp_path: Path) -> None:
    from pypdf import PdfReader

    (tmp_path / "one.toml").write_text(JOB.format(name="one"), encoding="utf-8")
    job = str(tmp_path / "one.toml")
    run(
        "book",
        job,
        "--paint",
        "green",
        "--bought",
        "tin 9",
        "--vehicle",
        "one",
        "--on",
        "2026-05-01",
    )
    run(
        "book",
        job,
        "--paint",
        "green",
        "--bought",
        "tin 12",
        "--vehicle",
        "x",
        "--on",
        "2026-06-01",
    )
    run("build", job, "--out", str(tmp_path / "out"))
    text = "".join(
        page.extract_text() for page in PdfReader(tmp_path / "out/record/job-book.pdf").pages
    )
    assert "green: 2026-05-01 tin 9" in " ".join(text.split())


def test_a_vehicles_page_says_what_its_bare_surfaces_wear(tmp_path: Path) -> None:
    """A roof by its place, frames by the name that the train gives them."""
    from livery.make.making import plan_making
    from livery.make.sheets.job_book_pages import job_book_pages
    from livery.pipeline import examine

    bare = (
        "[paint.black]\nlab = [15, 0, 0]\n[paint.grey]\nlab = [50, 0, 0]\n[surface]\n"
        'roof = { paint = "grey", rectangle = ["5 m", "2 m"], '
        'place = { face = "top", height = "3 m" } }\n'
        'frames = { paint = "black", area = "90 cm2" }\n'
    )
    more = {"one": "", "two": bare}
    entries = ""
    for name, words in more.items():
        text = JOB.format(name=name).replace('book = "rake.book.toml"\n', "")
        (tmp_path / f"{name}.toml").write_text(text + words, encoding="utf-8")
        entries += f'[[train.vehicle]]\ncalled = "{name}"\nfile = "{name}.toml"\n'
    train = tmp_path / "train.toml"
    train.write_text(f'[job]\ntitle = "T"\nscale = "1:10"\n{entries}', encoding="utf-8")
    found = examine(train)
    assert found.description.model is not None, found.findings
    making = plan_making(found.plan, found.description.model, found.shown_colours)
    pages = job_book_pages(making, found.colours, ())
    words = [m.text for page in pages for m in page.marks if isinstance(m, Label)]
    worn = words[: words.index("Paints, and what was really used")]
    unused = [w.split(":")[0] for w in worn if w.endswith("nothing entered yet")]
    assert unused == ["green", "green", "black", "grey"]


def test_a_paint_that_one_vehicle_changes_has_its_own_entries(tmp_path: Path) -> None:
    """The book names it as the train does, and the vehicle's own file finds it by its own name."""
    one, two = tmp_path / "one.toml", tmp_path / "two.toml"
    one.write_text(JOB.format(name="one"), encoding="utf-8")
    two.write_text('include = ["one.toml"]\n[paint.green]\nlab = [45, -30, 20]\n', encoding="utf-8")
    train = tmp_path / "train.toml"
    vehicles = "".join(
        f'[[train.vehicle]]\ncalled = "{n}"\nfile = "{n}.toml"\n' for n in ("one", "two")
    )
    job = '[job]\ntitle = "T"\nscale = "1:10"\nbook = "rake.book.toml"\n'
    train.write_text(job + vehicles, encoding="utf-8")
    run("book", str(train), "--paint", "green", "--bought", "tin 9", "--on", "2026-05-01")
    run("book", str(train), "--paint", "green-two", "--bought", "tin 10", "--on", "2026-05-02")
    run("book", str(two), "--paint", "green", "--bought", "tin 11", "--on", "2026-05-03")
    for file, paint in ((train, "green-two"), (two, "green")):
        again = run("again", str(file), paint)
        assert ("tin 9" in again, "tin 10" in again, "tin 11" in again) == (False, True, True)
    again = run("again", str(one), "green")
    assert ("tin 9" in again, "tin 10" in again) == (True, False)
    assert "green of other vehicles" in run("book", str(two))
