"""The page in a browser: every act once by mouse and once by keyboard."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.local_page.browser import opened, running_browser, served
from tests.local_page.conftest import write_job

expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with running_browser() as found:
        yield found


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = write_job(tmp_path_factory.mktemp("job"))
    other = (
        job.read_text()
        .replace("Wagon <b>9</b>", "Other")
        .replace('inset = "6 in"', 'inset = "9 in"')
    )
    job.with_name("other.toml").write_text(other)
    train = '[job]\ntitle = "Two"\nscale = "1:8"\n'
    for called in ("a", "b"):
        train += f'[[train.vehicle]]\ncalled = "{called}"\nfile = "job.toml"\n'
    job.with_name("train.toml").write_text(train)
    # A drawing with a stripe of 12 pixels, and a photograph of bare metal.
    light = np.full((400, 800), 225, dtype=np.uint8)
    light[194:206] = 40
    light[40:160, 500:560] = 40
    light[60:140, 515:545] = 225  # a figure 0, drawn square
    Image.fromarray(light).save(job.with_name("drawing.png"))
    Image.new("RGB", (800, 500), (180, 184, 186)).save(job.with_name("model.jpg"))
    return job


@pytest.fixture(scope="module")
def address(browser: Browser, file: Path) -> Iterator[str]:
    with served(file, "--editor", "editor:{file}?{line}") as found:
        yield found


@pytest.fixture
def page(browser: Browser, address: str) -> Iterator[Page]:
    found, errors = opened(browser, address)
    yield found
    found.context.close()
    assert errors == []


def middle_of(page: Page, panel: str, piece: int) -> tuple[float, float]:
    """Return a place on the screen where a piece of a panel can be pointed at."""
    found = page.evaluate(
        """([panel, piece]) => {
          const node = document.querySelector(`path[data-panel="${panel}"][data-piece="${piece}"]`);
          const box = node.getBoundingClientRect();
          for (let i = 1; i < 400; i += 1) {
            const at = node.getPointAtLength((node.getTotalLength() * i) / 400);
            const p = new DOMPoint(at.x, at.y).matrixTransform(node.getScreenCTM());
            const hits = (x, y) =>
              document.elementsFromPoint(x, y).find((n) => n.dataset?.piece) === node;
            for (const [dx, dy] of [[0, 2], [2, 0], [0, -2], [-2, 0]]) {
              const [x, y] = [p.x + dx, p.y + dy];
              if ([[0, 0], [1, 0], [-1, 0], [0, 1], [0, -1]].every(([u, v]) => hits(x + u, y + v))) {
                return [x, y];
              }
            }
          }
          return null;
        }""",
        [panel, piece],
    )
    assert found is not None
    return round(found[0]), round(found[1])


def near(page: Page) -> float:
    """Return how near the drawing is shown, as a share of life size."""
    words = page.locator("#near").inner_text()
    times, share = re.search(r"([\d.e+]+) times", words), re.search(r"([\d.e+-]+) %", words)
    return float(times[1]) if times else float(share[1]) / 100.0 if share else 0.0


def shape(page: Page, panel: str, piece: int) -> str:
    found = page.locator(f'path[data-panel="{panel}"][data-piece="{piece}"]').first
    return found.get_attribute("d") or ""


def test_names_are_shown_and_never_read_as_markup(page: Page) -> None:
    expect(page.locator("#title")).to_have_text("Wagon <b>9</b> & mate")
    assert page.locator("main b, main i, h1 b").count() == 0
    assert page.url.endswith("/") and "token" not in page.url
    expect(page.locator("#scale")).to_contain_text("1:8")
    assert page.locator("#there summary").all_inner_texts() == [
        "Left side", "Right side", "Front end"
    ]  # fmt: skip


def test_everything_once_by_mouse(page: Page, file: Path) -> None:
    # Zoom about the pointer to a tenth of a millimetre; what is under it stays there.
    x, y = middle_of(page, "side", 2)
    page.mouse.move(x, y)
    words = page.locator("#where").inner_text()
    assert re.match(
        r"side: [\d.]+ mm across, [\d.]+ mm up · \d+ ft .* in, .* in by the drawing", words
    )
    for _ in range(40):
        page.mouse.wheel(0, -400)
    expect(page.locator("#near")).to_contain_text("times life size")
    assert near(page) == pytest.approx(400 / (96 / 25.4), rel=0.01)
    across = [float(w.split()[1]) for w in (words, page.locator("#where").inner_text())]
    assert across[0] == pytest.approx(across[1], abs=0.06)
    page.click("#whole")
    assert near(page) < 1.0
    page.click("#life")
    assert near(page) == 1.0
    page.click("#whole")
    # Pan by dragging what is not pointed at.
    before = page.locator(".titles text").first.get_attribute("x")
    page.mouse.move(700, 640)
    page.mouse.down()
    page.mouse.move(720, 650, steps=3)
    page.mouse.up()
    assert page.locator(".titles text").first.get_attribute("x") != before
    page.click("#whole")
    # The rule, over the length of the panel's field.
    page.click("#rule")
    box = page.locator('path[data-panel="side"][data-piece="0"]').bounding_box()
    assert box is not None
    page.mouse.move(box["x"], box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"], box["y"] + 20, steps=3)
    page.mouse.up()
    measured = re.match(r"([\d.]+) mm · 16 ft", page.locator(".ruled text").text_content() or "")
    assert measured and float(measured[1]) == pytest.approx(611.0, abs=3.0)
    page.click("#rule")
    # Point at the letters: what they are and where they come from.
    x, y = middle_of(page, "side", 2)
    page.mouse.click(x, y)
    details = page.locator("#piece-details")
    expect(details).to_contain_text("word MCR")
    expect(details.locator("a")).to_have_attribute("href", re.compile(r"editor:/.*/job\.toml\?\d+"))
    expect(details).to_contain_text("cut-white-cut-film: piece")
    expect(details).to_contain_text("letters 3 mm")
    # Drag them: seen at once, written nowhere, kept when asked.
    written = file.read_bytes()
    was = shape(page, "side", 2)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 30, y - 12, steps=4)
    page.mouse.up()
    expect(page.locator("#tried-list li")).to_have_count(2)
    expect(page.locator("#tried-list")).to_contain_text("waist + ")
    assert shape(page, "side", 2) != was and file.read_bytes() == written
    page.click("#undo")
    expect(page.locator("#tried")).to_be_hidden()
    assert shape(page, "side", 2) == was
    page.click("#redo")
    expect(page.locator("#tried-list li")).to_have_count(2)
    # Before and after: what is written over what is tried, as far as the slider goes.
    page.fill("#before", "50")
    width = page.locator(".before rect").first.get_attribute("width")
    assert float(width or 0) == pytest.approx(611.0 / 2 + 1)
    assert page.locator(f'.before path[d="{was}"]').count() == 1
    page.fill("#before", "0")
    expect(page.locator(".before")).to_have_count(0)
    page.click("#drop")
    expect(page.locator("#tried")).to_be_hidden()
    # On the other hand they follow the pointer too, where their place counts the other way.
    first = page.locator('path[data-panel="side"][data-piece="2"]')
    expect(first).to_have_attribute("d", was)
    there = page.locator('path[data-panel="side-right"][data-piece="2"]')
    before, (right, up) = there.bounding_box(), middle_of(page, "side-right", 2)
    page.mouse.click(right, up)
    expect(details).to_contain_text("Right side")
    page.mouse.move(right, up)
    page.mouse.down()
    page.mouse.move(right + 30, up - 12, steps=4)
    page.mouse.up()
    expect(page.locator("#tried-list li")).to_have_count(2)
    assert before is not None
    page.wait_for_function(
        """([x, y]) => {
          const node = document.querySelector('path[data-panel="side-right"][data-piece="2"]');
          const box = node.getBoundingClientRect();
          return Math.hypot(box.x - x, box.y - y) < 1.5;
        }""",
        arg=[before["x"] + 30, before["y"] - 12],
    )
    page.click("#drop")
    expect(first).to_have_attribute("d", was)
    page.mouse.click(x, y)
    expect(details).to_contain_text("Left side")
    details.get_by_role("button", name="More: cap height").click()
    expect(page.locator("#tried-list")).to_contain_text("12 in → 12 1/8 in")
    page.click("#keep")
    expect(page.locator("#tried")).to_be_hidden()
    assert file.read_bytes() == written.replace(b'"12 in"', b'"12 1/8 in"')
    # Another livery of the folder beside it, each at the one scale.
    page.click("#marks summary")
    page.select_option("#beside", "other.toml")
    twin = page.locator('.figure[data-name="beside panel side"]')
    expect(twin).to_be_attached()
    assert twin.locator("[data-piece]").count() == 0
    paths = twin.locator(".pieces path").evaluate_all("n => n.map((p) => p.getAttribute('d'))")
    assert paths[0] == shape(page, "side", 0) and paths[1] != shape(page, "side", 1)
    expect(page.locator(".titles")).to_contain_text("Other")
    page.select_option("#beside", "")
    expect(twin).to_have_count(0)
    page.select_option("#beside", "train.toml")
    expect(page.locator("#notice")).to_contain_text("no panel and no vehicle of the same name")
    page.select_option("#beside", "")
    page.click("#marks summary")
    # A finding leads to its place, from the list and from the panel.
    page.click("#whole")
    pin = page.get_by_role("button", name=re.compile("^warning .*a line of 0.10 mm"))
    expect(pin).to_have_count(1)
    pin.click()
    assert near(page) > 1.0
    expect(details).to_contain_text("lining 1, strand 1: white")
    page.click("#whole")
    page.locator(".group.warning button").first.click()
    assert near(page) > 1.0
    # Coat by coat, and back.
    page.click("#coats summary")
    expect(page.locator("#step-words")).to_contain_text("cut film")
    page.click("#step-back")
    expect(page.locator("#step-words")).to_contain_text("coat 1: red")
    page.click("#coats summary")
    # Marks, and the vehicle.
    page.click("#marks summary")
    page.check("#show-datums")
    expect(page.locator(".datums").first).to_be_visible()
    page.check("#show-joins")
    expect(page.locator(".joins path").first).to_be_attached()
    page.click("#room summary")
    expect(page.locator("#marks")).not_to_have_attribute("open", "")
    field = page.locator('path[data-panel="side"][data-piece="0"]')
    seen = field.get_attribute("fill")
    page.select_option("#eyes", "protan")
    expect(field).not_to_have_attribute("fill", seen or "")
    page.select_option("#plate", "panchromatic")
    grey = re.compile(r"#(..)\1\1")
    expect(field).to_have_attribute("fill", grey)
    page.select_option("#plate", "")
    page.select_option("#eyes", "")
    expect(field).to_have_attribute("fill", seen or "")
    page.click("#marks summary")
    page.uncheck("#show-keep-outs")
    expect(page.locator(".keep-outs").first).to_be_hidden()
    page.select_option("#group", "Wagon <b>9</b> & mate")
    expect(page.locator(".mark.piece").first).to_be_visible()
    # A finding stands on the vehicle too, and is led to there.
    pin.click()
    assert near(page) > 1.0 and page.input_value("#group") == "Wagon <b>9</b> & mate"
    expect(details).to_contain_text("lining 1, strand 1: white")
    page.click("#whole")
    # The solid: turned about, it is seen from another side.
    page.click("#turn")
    expect(page.locator("#solid")).to_be_visible()
    box = page.locator("#solid").bounding_box()
    assert box is not None
    before = page.locator("#solid").screenshot()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 200, y, steps=3)
    page.mouse.up()
    turned = page.locator("#solid").screenshot()
    assert turned != before
    page.mouse.wheel(0, -200)
    assert page.locator("#solid").screenshot() != turned
    page.click("#turn")
    expect(page.locator("#sheet")).to_be_visible()


def test_everything_once_by_keyboard(page: Page, file: Path) -> None:
    written = file.read_bytes()
    sheet = page.locator("#sheet")
    sheet.focus()
    page.keyboard.press("+")
    first = near(page)
    page.keyboard.press("+")
    assert near(page) == pytest.approx(1.25 * first, rel=0.01)
    page.keyboard.press("-")
    page.keyboard.press("1")
    assert near(page) == 1.0
    page.keyboard.press("0")
    # The cross is moved to the letters; it says where it is, and points.
    x, y = middle_of(page, "side", 2)
    box = sheet.bounding_box()
    assert box is not None
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowRight")
    at_x, at_y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for distance, keys in (
        (x - at_x, ("ArrowLeft", "ArrowRight")),
        (y - at_y, ("ArrowUp", "ArrowDown")),
    ):
        key = keys[distance > 0]
        large, small = divmod(round(abs(distance)), 16)
        for _ in range(large):
            page.keyboard.press(key)
        for _ in range(small):
            page.keyboard.press(f"Shift+{key}")
    assert page.locator("#where").inner_text().startswith("side:")
    page.keyboard.press("Enter")
    details = page.locator("#piece-details")
    expect(details).to_contain_text("word MCR")
    # The rule, end by end.
    page.keyboard.press("r")
    page.keyboard.press("Enter")
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator(".ruled text")).to_contain_text("0.0°")
    page.keyboard.press("r")
    # A size by arrow keys and by typing, in another unit; back and forth; kept and dropped.
    height = details.locator('input[data-key$="cap_height"]')
    height.focus()
    page.keyboard.press("ArrowUp")
    expect(page.locator("#tried-list li")).to_have_count(1)
    expect(height).to_be_focused()
    height.fill("400 mm")
    page.keyboard.press("Enter")
    expect(page.locator("#tried-list")).to_contain_text("400 mm")
    height.fill("400")
    page.keyboard.press("Enter")
    expect(details.locator(".wrong:not(:empty)")).to_contain_text("no unit")
    sheet.focus()
    page.keyboard.press("Control+z")
    expect(page.locator("#tried-list")).not_to_contain_text("400 mm")
    page.keyboard.press("Control+y")
    expect(page.locator("#tried-list")).to_contain_text("400 mm")
    text = details.locator('input[data-key$=".text"]')
    text.fill("MCR 9")
    page.keyboard.press("Enter")
    expect(details.locator("h2")).to_contain_text("MCR 9")
    page.locator("#keep").press("Enter")
    expect(page.locator("#tried")).to_be_hidden()
    kept = re.sub(rb'cap_height = "[^"]+"', b'cap_height = "400 mm"', written)
    assert file.read_bytes() == kept.replace(b'"MCR"', b'"MCR 9"')
    # What is not said yet is said in a line of its own, or left unsaid again.
    details.locator("#absent summary").press("Enter")
    tracking = details.locator('input[data-key$=".tracking"]')
    tracking.fill("1 in")
    page.keyboard.press("Enter")
    expect(page.locator("#tried-list")).to_contain_text("not said → 1 in")
    tracking.fill("")
    page.keyboard.press("Enter")
    expect(page.locator("#tried")).to_be_hidden()
    details.locator('select[data-key$=".align"]').select_option("right")
    expect(page.locator("#tried-list")).to_contain_text("align not said → right")
    page.locator("#drop").press("Enter")
    expect(page.locator("#tried")).to_be_hidden()
    paint = details.locator('select[data-key$=".paint"]')
    paint.focus()
    page.keyboard.press("ArrowUp")
    expect(page.locator("#tried")).to_be_visible()
    page.locator("#before").press("ArrowRight")
    expect(page.locator(".before").first).to_be_attached()
    page.locator("#drop").press("Enter")
    expect(page.locator("#tried")).to_be_hidden()
    # A finding, the list of pieces, coats and marks.
    page.locator(".group.warning button").first.press("Enter")
    assert near(page) > 1.0
    page.locator("#there summary").first.press("Enter")
    page.locator("#there .piece-name").first.press("Enter")
    expect(details).to_contain_text("field red")
    expect(page.locator("#piece-name")).to_be_focused()
    page.locator("#coats summary").press("Enter")
    expect(page.locator("#step-words")).not_to_be_empty()
    page.locator("#step").press("Home")
    expect(page.locator("#step-words")).to_contain_text("bare metal")
    page.keyboard.press("Escape")
    expect(page.locator("#coats")).not_to_have_attribute("open", "")
    # What is made is there to be saved; making itself is tried where no browser waits for it.
    made = {"files": [{"name": "see/a.svg", "bytes": 1234}], "notes": [], "archive": "job.zip"}
    page.route("**/make", lambda route: route.fulfill(json=made))
    page.locator("#hand-over summary").press("Enter")
    page.locator("#make").press("Enter")
    expect(page.locator("#made a")).to_have_count(2)
    expect(page.locator("#made a").last).to_have_attribute("href", "/made?file=see%2Fa.svg")
    page.keyboard.press("Escape")
    page.locator("#marks summary").press("Enter")
    page.locator("#show-datums").press("Space")
    expect(page.locator(".datums").first).to_be_visible()
    page.locator("#show-joins").press("Space")
    expect(page.locator(".joins path").first).to_be_attached()
    page.select_option("#group", "Wagon <b>9</b> & mate")
    expect(page.locator("#turn")).to_be_visible()
    page.locator("#turn").press("Enter")
    solid = page.locator("#solid")
    expect(solid).to_be_focused()
    before = solid.screenshot()
    page.keyboard.press("ArrowRight")
    assert solid.screenshot() != before
    page.keyboard.press("Escape")
    expect(solid).to_be_hidden()
    expect(page.locator("#turn")).to_be_focused()


def test_what_is_shown_is_chosen_by_mouse_and_by_keyboard(page: Page) -> None:
    """The choices that no other act goes through: marks, room, light, and the zoom's own buttons."""
    first = near(page)
    page.click("#zoom-in")
    assert near(page) == pytest.approx(1.5 * first, rel=0.01)
    page.locator("#zoom-out").press("Enter")
    assert near(page) == pytest.approx(first, rel=0.01)
    page.click("#marks summary")
    for mark, marked in (("findings", "#pins"), ("guides", ".guides"), ("keep-outs", ".keep-outs")):
        shown = page.locator(marked).first
        page.uncheck(f"#show-{mark}")
        assert shown.evaluate("n => getComputedStyle(n).display") == "none"
        page.locator(f"#show-{mark}").press("Space")
        assert shown.evaluate("n => getComputedStyle(n).display") != "none"
    page.locator("#beside").press("ArrowDown")
    expect(page.locator('.figure[data-name="beside panel side"]')).to_be_attached()
    page.locator("#beside").press("ArrowUp")
    page.keyboard.press("Escape")
    page.locator("#room summary").press("Enter")
    field = page.locator('path[data-panel="side"][data-piece="0"]')
    plain = field.get_attribute("fill") or ""
    for choice in ("eyes", "lamp", "plate"):
        page.locator(f"#{choice}").press("ArrowDown")
        if choice == "lamp":
            page.locator("#lamp").press("ArrowDown")  # a filament lamp, well apart from daylight
        expect(field).not_to_have_attribute("fill", plain)
        page.locator(f"#{choice}").press("Home")
        expect(field).to_have_attribute("fill", plain)
    page.select_option("#lamp", "A")
    expect(field).not_to_have_attribute("fill", plain)
    page.locator("#surroundings").press("ArrowDown")
    expect(page.locator("html")).to_have_attribute("data-room", "light")
    page.select_option("#surroundings", "dark")
    expect(page.locator("html")).to_have_attribute("data-room", "dark")
    page.select_option("#surroundings", "")
    width = page.locator("#card").evaluate("n => n.style.width")
    page.locator("#card-width").press("ArrowRight")
    assert page.locator("#card").evaluate("n => n.style.width") != width
    # Everything is made by a click too.
    made = {"files": [], "notes": [], "archive": "job.zip"}
    page.route("**/make", lambda route: route.fulfill(json=made))
    page.keyboard.press("Escape")
    page.click("#hand-over summary")
    page.click("#make")
    expect(page.locator("#made a")).to_have_count(1)


def test_every_kind_is_picked_by_mouse_and_by_keyboard(page: Page, address: str) -> None:
    desk(page, address, "drawings", "drawing.png")
    for node in page.locator("#known button.quiet").all():
        node.click()
    kinds = page.locator("#kind option").evaluate_all("n => n.map((o) => o.value).filter(Boolean)")
    assert len(kinds) == 14
    kinds.remove("stripe")  # it is nothing where no edge is found: it has tests of its own
    marks = page.locator("#known li, #measured li")
    there = ("ArrowRight", "ArrowDown", "ArrowLeft", "ArrowUp")
    for way in ("mouse", "keyboard"):
        for n, kind in enumerate(kinds):
            page.select_option("#kind", kind)
            before = marks.count()
            for i in range(4):
                if way == "mouse":
                    page.mouse.click(*on_screen(page, 100 + 150 * i, 80 + 60 * (i % 3)))
                else:
                    page.locator("#sheet").focus()
                    page.keyboard.press(there[i] if n % 2 else there[i - 2])
                    page.keyboard.press("Enter")
                if whole_after(kind, i + 1):
                    break
            if page.locator("#done").is_visible():
                page.locator("#done").press("Enter")
            expect(marks).to_have_count(before + 1)
            for node in page.locator("#known button.quiet, #measured button.quiet").all():
                node.press("Enter")
            expect(marks).to_have_count(0)


def whole_after(kind: str, count: int) -> bool:
    """Return whether a kind has all its points, those with as many as one likes after three."""
    points = {
        "point": 1,
        "height": 3,
        "rectangle": 4,
        "chart": 4,
        "angle": 4,
        "edge": 3,
        "radius": 3,
    }
    return count == points.get(kind, 2)


def test_all_of_it_is_printed_with_its_colours(page: Page) -> None:
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    seen = (page.locator("#sheet").get_attribute("viewBox") or "").split()
    assert len(seen) == 4 and float(seen[2]) > 600
    shown = "n => getComputedStyle(n).display !== 'none'"
    assert page.locator(".printed").evaluate(shown)
    for hidden in (".tools", ".slip", ".foot", "#pins"):
        assert not page.locator(hidden).first.evaluate(shown)
    kept = "n => getComputedStyle(n).printColorAdjust"
    assert page.locator(".piece").first.evaluate(kept) == "exact"
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator("#sheet").get_attribute("viewBox") is None


def test_titles_have_room_between_the_rows(page: Page) -> None:
    for width, height in ((390, 844), (1280, 800)):
        page.set_viewport_size({"width": width, "height": height})
        page.reload()
        page.wait_for_selector("html[data-ready]")
        titles = [n.bounding_box() for n in page.locator(".titles text").all()]
        figures = [n.bounding_box() for n in page.locator(".figure .metal").all()]
        for t in titles:
            for f in figures:
                assert t is not None and f is not None
                beside = t["x"] + t["width"] < f["x"] or f["x"] + f["width"] < t["x"]
                assert (
                    beside or t["y"] + t["height"] < f["y"] + 3 or f["y"] + f["height"] < t["y"] + 3
                )


def test_a_save_is_seen_and_two_pages_keep_each_others_changes(
    page: Page, browser: Browser, address: str, file: Path
) -> None:
    other, errors = opened(browser, address)
    for one in (page, other):
        one.locator("#there summary").first.click()
    page.locator("#there .piece-name").nth(1).click()
    other.locator("#there .piece-name").nth(2).click()
    scroll = near(page)
    was = shape(page, "side", 1)
    # Saved elsewhere: drawn anew where it changed, and nothing moves under the eye.
    file.write_bytes(file.read_bytes().replace(b'inset = "6 in"', b'inset = "7 in"'))
    expect(page.locator('input[data-key$=".inset"]')).to_have_value("7 in")
    assert shape(page, "side", 1) != was and near(page) == scroll
    # Each keeps a change of its own.
    page.get_by_role("button", name="More: inset").click()
    expect(page.locator("#tried")).to_be_visible()
    other.get_by_role("button", name="More: at 1").click()
    expect(other.locator("#tried")).to_be_visible()
    page.click("#keep")
    expect(page.locator("#tried")).to_be_hidden()
    expect(other.locator("#tried")).to_be_visible()
    version = page.locator("html").get_attribute("data-version")
    expect(other.locator("html")).to_have_attribute("data-version", version or "")
    expect(other.locator("#notice")).to_be_empty()
    other.locator("#keep").click()
    expect(other.locator("#tried")).to_be_hidden()
    text = file.read_text()
    assert 'inset = "7 1/8 in"' in text and 'at = ["4 ft 1/8 in", "waist"]' in text
    # A file that cannot be read leaves the drawing, and says so.
    good = file.read_bytes()
    file.write_bytes(good + b"\n[")
    expect(page.locator("#notice")).to_contain_text("as it was before")
    assert shape(page, "side", 1)
    file.write_bytes(good)
    expect(page.locator(".group.error")).to_have_count(0)
    other.context.close()
    assert errors == []


@pytest.mark.parametrize(
    ("width", "theme"), [(390, "light"), (390, "dark"), (1280, "light"), (1920, "dark")]
)
def test_nothing_stands_in_anyones_way(
    browser: Browser, address: str, width: int, theme: str
) -> None:
    page, errors = opened(
        browser,
        address,
        viewport={"width": width, "height": 900},
        color_scheme=theme,
        reduced_motion="reduce",
        has_touch=width == 390,
    )
    if width == 390:
        pinched_and_life_size(page)
    page.locator("#there summary").first.click()
    page.locator("#there .piece-name").nth(1).click()
    page.locator("#piece-details button.step").nth(1).click()
    expect(page.locator("#tried")).to_be_visible()
    page.locator("#coats summary").click()
    expect(page.locator("#step-words")).not_to_be_empty()
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    for name, picture in (("drawings", "drawing.png"), ("photograph", "model.jpg")):
        desk(page, address, name, picture)
        pick(page, (100, 100), (700, 110), (690, 300), (110, 290))
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.context.close()
    assert errors == []


def pinched_and_life_size(page: Page) -> None:
    """Spread two fingers on the sheet: it is nearer by as much; hold a card to the screen."""
    box = page.locator("#sheet").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)
    before = near(page)
    for kind, half in (("touchStart", 40), ("touchMove", 60), ("touchMove", 80), ("touchEnd", 0)):
        points = [{"x": x - half, "y": y, "id": 0}, {"x": x + half, "y": y, "id": 1}]
        touch.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": points if half else []},
        )
    assert near(page) == pytest.approx(2.0 * before, rel=0.02)
    assert "screen not measured" in page.locator("#near").inner_text()
    page.click("#room summary")
    page.fill("#card-width", "428")
    assert page.locator("#card").evaluate("n => n.style.width") == "428px"
    page.click("#room summary")
    page.click("#life")
    assert near(page) == 1.0 and "not measured" not in page.locator("#near").inner_text()
    # 428 dots to 85.6 mm are 5 to the millimetre.
    scale = page.locator("#sheet .figures").get_attribute("transform") or ""
    assert scale.startswith("scale(5)")
    page.click("#whole")


# -- drawings and photographs


def desk(page: Page, address: str, name: str, picture: str) -> None:
    """Open one of the pages of pictures, and a picture on it."""
    page.goto(f"{address.partition('?')[0]}{name}")
    page.wait_for_selector("html[data-ready]")
    page.select_option("#picture", picture)
    expect(page.locator(".tiles image").first).to_be_attached()
    if name == "drawings":
        page.select_option("#kind", "length")


def on_screen(page: Page, x: float, y: float) -> tuple[float, float]:
    """Return where a pixel of the picture is on the screen."""
    at = page.evaluate(
        """([x, y]) => {
          window.scrollTo(0, 0);
          const layer = document.querySelector(".tiles").parentNode;
          const p = new DOMPoint(x, y).matrixTransform(layer.getScreenCTM());
          return [p.x, p.y];
        }""",
        [x, y],
    )
    return at[0], at[1]


def pick(page: Page, *places: tuple[float, float]) -> None:
    for place in places:
        page.mouse.click(*on_screen(page, *place))


def walk(page: Page, x: float, y: float) -> None:
    """Move the cross to a pixel of the picture by arrow keys, and pick it."""
    page.locator("#sheet").focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowRight")
    box = page.locator("#sheet").bounding_box()
    assert box is not None
    now = page.locator("#cross").get_attribute("transform") or ""
    at = [float(v) for v in re.findall(r"[\d.]+", now)]
    to = on_screen(page, x, y)
    for distance, keys in (
        (to[0] - box["x"] - at[0], ("ArrowLeft", "ArrowRight")),
        (to[1] - box["y"] - at[1], ("ArrowUp", "ArrowDown")),
    ):
        large, small = divmod(round(abs(distance)), 16)
        for _ in range(large):
            page.keyboard.press(keys[distance > 0])
        for _ in range(small):
            page.keyboard.press(f"Shift+{keys[distance > 0]}")
    page.keyboard.press("Enter")


def test_a_drawing_is_calibrated_measured_and_kept_by_mouse(
    page: Page, address: str, file: Path
) -> None:
    desk(page, address, "drawings", "drawing.png")
    pick(page, (100, 350), (700, 350))
    page.keyboard.type("10 ft")
    page.keyboard.press("Enter")
    page.select_option("#kind", "stripe")
    pick(page, (400, 175), (402, 226))
    page.wait_for_selector("input[id^=called]:focus")
    measured = page.locator("#measured")
    # 12 pixels of 600 to 10 ft: 60.96 mm.
    expect(measured).to_contain_text("mm ±")
    size = float(re.search(r"([\d.]+) mm ±", measured.inner_text())[1])  # type: ignore[index]
    assert size == pytest.approx(60.96, abs=0.6)
    page.keyboard.type("band")
    # A point is dragged: its size follows, and is picked no better than by hand.
    page.select_option("#kind", "height")
    pick(page, (200, 100), (100, 350), (700, 350))
    expect(measured.locator("li")).to_have_count(2)
    expect(measured).to_contain_text("1270 mm")
    x, y = on_screen(page, 200, 100)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 5, y - 20, steps=3)
    page.mouse.up()
    expect(measured).not_to_contain_text("1270 mm")
    page.locator("#measured button.quiet").last.click()
    expect(measured.locator("li")).to_have_count(1)
    expect(page.locator("#command")).to_contain_text('--length "100,350 700,350 = 10 ft"')
    page.click("#keep")
    expect(page.locator("#survey")).to_contain_text("band 6")
    kept = file.with_name("survey.toml").read_text()
    assert "[[measure.band]]" in kept and "pick_error = 0.289" in kept
    page.locator("#survey button").first.click()
    expect(measured.locator("li")).to_have_count(1)
    # A known rectangle: the picture is straightened beside it, and opened like any other.
    page.locator("#known button.quiet").first.click()
    page.click("#whole")
    page.select_option("#kind", "rectangle")
    pick(page, (100, 100), (700, 110), (690, 300), (110, 290))
    page.keyboard.type("10 ft x 3 ft")
    page.keyboard.press("Enter")
    page.click("#straighten")
    expect(page.locator("#notice")).to_contain_text("drawing-straight.png was written")
    assert Image.open(file.with_name("drawing-straight.png")).width > 500
    page.select_option("#picture", "drawing-straight.png")
    expect(page.locator("#known li")).to_have_count(0)


def test_a_drawing_is_calibrated_and_measured_by_keyboard(page: Page, address: str) -> None:
    desk(page, address, "drawings", "drawing.png")
    for node in page.locator("#known button.quiet").all():
        node.press("Enter")
    page.select_option("#kind", "length")
    walk(page, 100, 350)
    walk(page, 700, 350)
    page.keyboard.type("10 ft")
    page.keyboard.press("Enter")
    page.select_option("#kind", "radius")
    for place in ((300, 100), (340, 60), (380, 100)):
        walk(page, *place)
    page.locator("#done").press("Enter")
    expect(page.locator("#measured")).to_contain_text("mm ±")
    first = page.locator("#measured").inner_text()
    point = page.get_by_role("button", name=re.compile("Radius, point 2"))
    point.focus()
    page.keyboard.press("Alt+ArrowUp")
    page.keyboard.press("Shift+ArrowUp")
    expect(page.locator("#measured")).not_to_have_text(first)
    name = point.get_attribute("aria-label") or ""
    assert float(re.search(r"([\d.]+) down", name)[1]) == pytest.approx(49.9, abs=2)  # type: ignore[index]
    page.keyboard.press("Delete")
    expect(page.locator("#measured li")).to_have_count(0)
    page.select_option("#kind", "stripe")
    walk(page, 300, 175)
    walk(page, 300, 226)
    expect(page.locator("#measured")).to_contain_text("Stripe")
    expect(page.locator("#measured")).to_contain_text("mm ±")
    page.locator("#measured button.quiet").press("Enter")
    # What is said of the picture as a whole, by the space bar.
    for box in ("uneven", "on-model"):
        page.locator(f"#{box}").press("Space")
        expect(page.locator("#command")).to_contain_text(f"--{box}")
        page.locator(f"#{box}").press("Space")
    # A kind that is begun is given up.
    page.select_option("#kind", "angle")
    walk(page, 300, 100)
    page.keyboard.press("Escape")
    expect(page.locator("#measured li")).to_have_count(0)
    # A known rectangle, and the picture straightened by it.
    for node in page.locator("#known button.quiet").all():
        node.press("Enter")
    page.select_option("#kind", "rectangle")
    for place in ((200, 100), (600, 110), (590, 300), (210, 290)):
        walk(page, *place)
    page.keyboard.type("10 ft x 3 ft")
    page.keyboard.press("Enter")
    expect(page.locator("#straighten")).to_be_enabled()
    page.locator("#straighten").press("Enter")
    expect(page.locator("#notice")).to_contain_text("drawing-straight")


def test_a_letter_is_traced_by_mouse_and_an_outline_by_keyboard(
    page: Page, address: str, file: Path
) -> None:
    desk(page, address, "drawings", "drawing.png")
    for node in page.locator("#known button.quiet").all():
        node.click()
    pick(page, (100, 350), (700, 350))
    page.keyboard.type("10 ft")
    page.keyboard.press("Enter")
    measured = page.locator("#measured")
    page.select_option("#kind", "letter")
    pick(page, (490, 30), (570, 170))
    # 60 by 120 pixels of 600 to 10 ft: 305 by 610 mm; two squares are eight lines.
    expect(measured).to_contain_text("8 lines")
    width, height = re.search(r"([\d.]+) x ([\d.]+) mm", measured.inner_text()).groups()  # type: ignore[union-attr]
    assert float(width) == pytest.approx(304.8, abs=4)
    assert float(height) == pytest.approx(609.6, abs=4)
    expect(page.locator(".laid .traced").first).to_be_attached()
    page.wait_for_selector("input[id^=called]:focus")
    page.keyboard.type("nought")
    page.select_option("#kind", "outline")
    walk(page, 490, 30)
    walk(page, 570, 170)
    expect(measured.locator("li")).to_have_count(2)
    expect(measured.locator("li").last).to_contain_text("4 lines")
    expect(page.locator("#command")).to_contain_text('livery trace "drawing.png" --length')
    expect(page.locator("#command")).to_contain_text('--letter "nought: ')
    page.locator("#keep").press("Enter")
    expect(page.locator("#survey")).to_contain_text("nought letter")
    assert "[trace.nought]" in file.with_name("survey.toml").read_text()
    # What reaches the rim of its box says so; what is kept is shown again.
    page.select_option("#kind", "letter")
    pick(page, (520, 30), (570, 170))
    expect(measured).to_contain_text("reaches the rim")
    page.get_by_role("button", name="Show nought on drawing").press("Enter")
    expect(measured.locator("li").last).to_contain_text("8 lines")


def test_a_picture_is_added_on_request_alone(page: Page, address: str, file: Path) -> None:
    desk(page, address, "drawings", "drawing.png")
    own = file.with_name("drawing.png").read_bytes()
    with page.expect_file_chooser() as chosen:
        page.click("#add")
    chosen.value.set_files({"name": "added.png", "mimeType": "image/png", "buffer": own})
    expect(page.locator("#picture")).to_have_value("added.png")
    expect(page.locator(".tiles image").first).to_be_attached()
    assert file.with_name("added.png").read_bytes() == own
    with page.expect_file_chooser() as chosen:
        page.locator("#add").press("Enter")
    chosen.value.set_files({"name": "added.png", "mimeType": "image/png", "buffer": own[:200]})
    expect(page.locator("#notice")).to_contain_text(
        "added.png is already in the folder of this job"
    )
    assert file.with_name("added.png").read_bytes() == own


def test_a_colour_is_sampled_beside_standards_and_recipes(
    page: Page, address: str, file: Path
) -> None:
    desk(page, address, "drawings", "model.jpg")
    page.select_option("#kind", "card")
    expect(page.locator("#fault")).to_have_text("")
    pick(page, (40, 40), (200, 200))
    page.keyboard.type("0.5")
    page.keyboard.press("Enter")
    expect(page.locator("#known .wrong")).to_contain_text('write "50 %"')
    page.locator("#known input").fill("50 %")
    page.locator("#known input").press("Enter")
    expect(page.locator("#known .wrong")).to_have_count(0)
    page.select_option("#kind", "colour")
    walk(page, 400, 300)
    walk(page, 600, 420)
    # The picture is of one colour: it is as light as the card, L* 76.1, and as grey.
    measured = page.locator("#measured")
    expect(measured).to_contain_text("within")
    lightness, a, b = re.search(
        r"Lab ([-\d.]+) ([-\d.]+) ([-\d.]+)", measured.inner_text()
    ).groups()  # type: ignore[union-attr]
    assert float(lightness) == pytest.approx(76.1, abs=0.3)
    assert abs(float(a)) < 1.0 and abs(float(b)) < 1.0
    assert measured.locator(".swatch").count() > 2
    expect(page.locator("#command")).to_contain_text('livery match "model.jpg" --at "rectangle')
    page.select_option("#shelf", "the invented shelf")
    expect(measured).to_contain_text("recipe:")
    measured.locator("input").fill("bare-metal")
    page.click("#keep")
    expect(page.locator("#survey")).to_contain_text("bare-metal Lab 7")
    assert "[colour.bare-metal]" in file.with_name("survey.toml").read_text()
    page.get_by_role("button", name="Show bare-metal on model").press("Enter")
    expect(measured).to_contain_text("within")
    expect(page.locator("#known li")).to_have_count(1)
    desk(page, address, "drawings", "model.jpg")
    expect(page.locator("#known input")).to_have_value("50 %")


def test_a_whole_side_is_laid_on_a_photograph(page: Page, address: str) -> None:
    desk(page, address, "photograph", "model.jpg")
    page.select_option("#panel", "vehicle wagon left")
    pick(page, (100, 80), (710, 95))
    walk(page, 690, 425)
    walk(page, 115, 420)
    laid = page.locator(".laid path")
    expect(laid.first).to_be_attached()
    was = laid.first.get_attribute("d")
    # By keyboard: lines only, and a point more that checks the others.
    page.locator("#lines").press("Space")
    expect(laid.first).to_have_attribute("fill", "none")
    page.locator("#more").press("Enter")
    walk(page, 400, 250)
    for typed in ("305", "Tab", "76", "Tab"):
        page.keyboard.press(typed) if typed == "Tab" else page.keyboard.type(typed)
    expect(page.locator("#points")).to_contain_text("pixels from its place by the other points")
    page.locator("#points button.quiet").last.press("Enter")
    page.check("#prototype")
    expect(laid.first).not_to_have_attribute("d", was or "")
    expect(page.locator("#command")).to_contain_text('--on "wagon left: 100')
    page.locator("#again").press("Enter")
    expect(laid).to_have_count(0)


def test_the_livery_is_laid_on_a_photograph(page: Page, address: str, file: Path) -> None:
    desk(page, address, "photograph", "model.jpg")
    pick(page, (100, 130), (710, 165))
    walk(page, 690, 345)
    walk(page, 115, 320)
    laid = page.locator(".laid path")
    expect(laid.first).to_be_attached()
    count = laid.count()
    was = laid.first.get_attribute("d")
    # Moved by a key, it follows; half, and lines only.
    page.get_by_role("button", name=re.compile("Corner top left, point")).press("ArrowRight")
    expect(laid.first).not_to_have_attribute("d", was or "")
    page.locator("#strength").press("Home")
    expect(page.locator(".laid")).to_have_attribute("opacity", "0")
    page.fill("#strength", "50")
    expect(page.locator(".laid")).to_have_attribute("opacity", "0.5")
    page.check("#lines")
    expect(laid.first).to_have_attribute("fill", "none")
    page.check("#prototype")
    # A point more, with its place, checks the others.
    page.click("#more")
    pick(page, (400, 245))
    page.keyboard.type("305")
    page.keyboard.press("Tab")
    page.keyboard.type("76")
    page.keyboard.press("Tab")
    expect(page.locator("#points")).to_contain_text("pixels from its place by the other points")
    page.locator("#points button.quiet").last.press("Enter")
    page.click("#straight")
    pick(page, (100, 130), (405, 140), (710, 165))
    page.click("#done")
    expect(page.locator("#found")).to_contain_text("lens")
    expect(page.locator("#command")).to_contain_text("livery overlay")
    # It follows the files as they are saved.
    before = file.read_bytes()
    shapes = laid.evaluate_all("nodes => nodes.map((n) => n.getAttribute('d')).join()")
    file.write_bytes(re.sub(rb'cap_height = "[^"]+"', b'cap_height = "6 in"', before))
    expect(laid).to_have_count(count)
    page.wait_for_timeout(50)
    for _ in range(100):
        now = laid.evaluate_all("nodes => nodes.map((n) => n.getAttribute('d')).join()")
        if now != shapes:
            break
        page.wait_for_timeout(100)
    assert now != shapes
    file.write_bytes(before)
    # What was picked is there again when the page is.
    desk(page, address, "photograph", "model.jpg")
    expect(laid.first).to_be_attached()
    expect(page.locator("#points li")).to_have_count(5)
