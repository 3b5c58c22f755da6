"""Many pictures drawn in several processes are those drawn by one."""

from __future__ import annotations

import subprocess
from types import SimpleNamespace
from typing import Any

import pytest

from livery import work_cache
from livery.own_process import own_process
from livery.write import png_files as several
from livery.write.png import dots_of, drawn_dpi, png_bytes
from livery.write.png_files import PictureToDraw, _shares, png_files

SVGS = {
    f"p{i}": f'<svg xmlns="http://www.w3.org/2000/svg" width="{9 + i}mm" height="6mm" '
    f'viewBox="0 0 {9 + i} 6"><path d="M1 1H{4 + i}V5Z" fill="#204020"/></svg>'
    for i in range(3)
}
PICTURES = {name: PictureToDraw(svg, 150.0) for name, svg in SVGS.items()}
PICTURES["p2"] = PICTURES["p2"]._replace(ground=None)


@pytest.fixture
def alone() -> dict[str, bytes]:
    return {name: png_bytes(one.svg, dpi=150, ground=one.ground) for name, one in PICTURES.items()}


def test_several_processes_draw_the_same_bytes(
    alone: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[str] = []

    def counted(run: str, *given: Any) -> Any:
        begun.append(run)
        return own_process(run, *given)

    monkeypatch.setattr(several, "LEAST_DOTS", 1)
    monkeypatch.setattr(several, "processors", lambda: 2)
    monkeypatch.setattr(several, "own_process", counted)
    monkeypatch.setattr(several, "png_bytes", lambda svg, **_: pytest.fail("drawn here"))
    found = png_files(PICTURES)
    assert found == alone
    assert list(found) == list(SVGS)
    assert len(begun) == 2


@pytest.mark.parametrize("stdout", [b"", b"\0" * 7 + b"\5" + b"abc", b"\0" * 8])
def test_what_no_process_gives_back_is_drawn_here(
    alone: dict[str, bytes], monkeypatch: pytest.MonkeyPatch, stdout: bytes
) -> None:
    monkeypatch.setattr(several, "LEAST_DOTS", 1)
    monkeypatch.setattr(several, "processors", lambda: 2)
    ended = SimpleNamespace(communicate=lambda: (stdout, None))
    monkeypatch.setattr(several, "own_process", lambda *_: ended)
    assert png_files(PICTURES) == alone


def test_where_no_process_can_be_had_one_draws_all(
    alone: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: Any, **__: Any) -> Any:
        raise PermissionError

    monkeypatch.setattr(several, "LEAST_DOTS", 1)
    monkeypatch.setattr(several, "processors", lambda: 2)
    monkeypatch.setattr(subprocess, "Popen", refused)
    assert png_files(PICTURES) == alone


@pytest.mark.parametrize(("least", "count"), [(10**9, 2), (1, 1)])
def test_little_work_or_one_processor_begins_no_process(
    alone: dict[str, bytes], monkeypatch: pytest.MonkeyPatch, least: int, count: int
) -> None:
    monkeypatch.setattr(several, "LEAST_DOTS", least)
    monkeypatch.setattr(several, "processors", lambda: count)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: pytest.fail("a process began"))
    assert png_files(PICTURES) == alone


def test_what_is_kept_is_not_drawn_again(
    alone: dict[str, bytes], tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LIVERY_CACHE", str(tmp_path / "cache"))
    work_cache.forget()
    assert png_files(PICTURES) == alone
    work_cache.forget()
    monkeypatch.setattr(several, "LEAST_DOTS", 1)
    monkeypatch.setattr(several, "processors", lambda: 2)
    monkeypatch.setattr(subprocess, "Popen", lambda *_, **__: pytest.fail("a process began"))
    assert png_files(PICTURES) == alone
    work_cache.forget()


def test_the_largest_are_given_out_first_to_whom_has_least() -> None:
    dots = {"a": 5.0, "b": 9.0, "c": 4.0, "d": 2.0}
    assert _shares(dots, 2) == [["b", "d"], ["a", "c"]]
    assert _shares({"a": 1.0}, 3) == [["a"]]


def test_dots_are_counted_as_drawn() -> None:
    assert dots_of(SVGS["p1"], 25.4) == pytest.approx(60.0)
    wide = '<svg width="64000mm" height="10mm"></svg>'
    assert dots_of(wide, 25.4) == pytest.approx(32000.0 * 5.0)


def test_a_picture_has_no_more_dots_than_it_may() -> None:
    assert drawn_dpi(SVGS["p1"], 96.0) == 96.0
    assert dots_of(SVGS["p1"], drawn_dpi(SVGS["p1"], 96.0, 100.0)) == pytest.approx(100.0)
