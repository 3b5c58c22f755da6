"""The folder of made files: whole or not at all, and never a user's file lost."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.write import folder as folder_module
from livery.write import folder_swap
from livery.write.folder import require_own_folder, write_folder
from livery.write.manifest import MANIFEST

PARTS = st.sampled_from(["a", "b", "sheets", "übersicht", "proof.svg"])
NAMES = st.lists(PARTS, min_size=1, max_size=3).map("/".join)


def without_clashes(files: dict[str, bytes]) -> bool:
    """No name is also the folder of another."""
    return not any(b.startswith(f"{a}/") for a in files for b in files)


FILES = st.dictionaries(NAMES, st.binary(max_size=20), max_size=6).filter(without_clashes)


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != MANIFEST
    }


def leftovers(folder: Path) -> list[str]:
    return [path.name for path in folder.parent.iterdir() if path != folder]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(first=FILES, second=FILES, own=st.binary(max_size=9))
def test_a_later_build_leaves_its_files_and_the_users(
    tmp_path_factory: pytest.TempPathFactory,
    first: dict[str, bytes],
    second: dict[str, bytes],
    own: bytes,
) -> None:
    out = tmp_path_factory.mktemp("job") / "build"
    write_folder(out, first)
    assert contents(out) == first
    (out / "notes").mkdir()
    (out / "notes" / "mine.txt").write_bytes(own)
    write_folder(out, second)
    assert contents(out) == {**second, "notes/mine.txt": own}
    assert leftovers(out) == []


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(first=FILES, second=FILES, fails_at=st.integers(0, 8))
def test_a_failure_at_any_file_leaves_the_folder_as_it_was(
    tmp_path_factory: pytest.TempPathFactory,
    first: dict[str, bytes],
    second: dict[str, bytes],
    fails_at: int,
) -> None:
    out = tmp_path_factory.mktemp("job") / "build"
    write_folder(out, first)
    written = 0
    whole = Path.write_bytes

    def until_full(path: Path, data: bytes) -> int:
        nonlocal written
        if written == fails_at:
            raise OSError(28, "No space left on device")
        written += 1
        return whole(path, data)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "write_bytes", until_full)
        if fails_at < len(second):
            with pytest.raises(LiveryError, match="No space left"):
                write_folder(out, second)
            assert contents(out) == first
    assert leftovers(out) == []


@pytest.mark.parametrize("exchanges", [True, False])
def test_a_failure_in_the_swap_puts_the_old_folder_back(tmp_path: Path, exchanges: bool) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"old"})
    real = Path.rename

    def refuse(path: Path, target: Path) -> Path:
        if target == out and path.name == "folder":
            raise PermissionError(13, "Permission denied")
        return real(path, target)

    def refuse_exchange(one: Path, other: Path) -> bool:
        if exchanges:
            raise PermissionError(13, "Permission denied")
        return False

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "rename", refuse)
        patch.setattr(folder_swap, "exchange", refuse_exchange)
        with pytest.raises(LiveryError, match="Permission denied") as caught:
            write_folder(out, {"a": b"new"})
    assert caught.value.exit_status == 1
    assert contents(out) == {"a": b"old"}
    assert leftovers(out) == []


def test_a_users_file_of_the_same_name_is_not_overwritten(tmp_path: Path) -> None:
    (tmp_path / "proof.svg").write_bytes(b"mine")
    with pytest.raises(LiveryError, match="already holds proof"):
        write_folder(tmp_path, {"proof.svg": b"made", "other": b""})
    assert contents(tmp_path) == {"proof.svg": b"mine"}


def test_links_and_empty_folders_of_the_user_stay(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"sheets/a.svg": b"a"})
    (tmp_path / "elsewhere").mkdir()
    (out / "link").symlink_to(tmp_path / "elsewhere")
    (out / "empty").mkdir()
    write_folder(out, {"b.svg": b"b"})
    assert (out / "link").is_symlink()
    assert (out / "empty").is_dir()
    assert not (out / "sheets").exists()


@pytest.mark.parametrize("name", ["../a", "/a", "", ".", "a/../../b", "a//b", MANIFEST])
def test_a_name_that_leads_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(LiveryError, match="file"):
        write_folder(tmp_path / "build", {name: b""})
    assert list(tmp_path.iterdir()) == []


def test_an_unreadable_list_is_a_clear_fault(tmp_path: Path) -> None:
    write_folder(tmp_path, {"a": b"1"})
    (tmp_path / MANIFEST).write_text("{")
    with pytest.raises(LiveryError, match="list of made files"):
        write_folder(tmp_path, {"a": b"2"})
    assert contents(tmp_path)["a"] == b"1"


def test_a_list_without_digests_is_read_as_it_was_written(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"1", "b": b"2"})
    (out / MANIFEST).write_text('["a", "b"]')
    assert write_folder(out, {"b": b"3"}) == []
    assert contents(out) == {"b": b"3"}


def test_a_file_edited_since_is_kept_and_reported(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"1", "b": b"1", "c": b"1"})
    (out / "a").write_bytes(b"edited")
    (out / "c").write_bytes(b"edited")
    for _ in range(2):
        found = write_folder(out, {"a": b"2", "b": b"2"})
        assert contents(out) == {"a": b"edited", "b": b"2", "c": b"edited"}
        assert found[0].code == "folder-edited" and 'a" was edited' in found[0].message
    assert [f.code for f in found] == ["folder-edited"]  # c is the user's own by now
    assert write_folder(out, {"a": b"3"}, replace=True) == []
    assert contents(out) == {"a": b"3", "c": b"edited"}
    assert leftovers(out) == []


def test_a_file_edited_to_what_is_made_counts_as_made(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"1"})
    (out / "a").write_bytes(b"2")
    assert write_folder(out, {"a": b"2"}) == []
    assert write_folder(out, {"a": b"3"}) == []
    assert contents(out) == {"a": b"3"}


def test_a_link_in_the_place_of_a_made_file_is_kept(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"1"})
    (tmp_path / "own").write_bytes(b"1")
    (out / "a").unlink()
    (out / "a").symlink_to(tmp_path / "own")
    (found,) = write_folder(out, {"a": b"2"})
    assert found.code == "folder-edited"
    assert (out / "a").is_symlink() and (tmp_path / "own").read_bytes() == b"1"


def test_what_is_read_is_not_replaced_even_when_asked(tmp_path: Path) -> None:
    out = tmp_path / "build"
    out.mkdir()
    (tmp_path / "photo.png").write_bytes(b"mine")
    (out / "a").hardlink_to(tmp_path / "photo.png")
    with pytest.raises(LiveryError, match="which the description reads"):
        write_folder(out, {"a": b"2"}, reads=[tmp_path / "photo.png"], replace=True)
    assert contents(out) == {"a": b"mine"}


def saves(path: Path, content: bytes) -> None:
    """Save as editors do: a new file replaces the old one."""
    path.with_name("saving").write_bytes(content)
    path.with_name("saving").replace(path)


@pytest.mark.parametrize("exchanges", [True, False])
@pytest.mark.parametrize("late", [True, False])
def test_what_is_saved_during_a_build_survives(
    tmp_path: Path, exchanges: bool, late: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Early is while files are written; late is when the folders are about to change places."""
    out = tmp_path / "build"
    write_folder(out, {"a": b"1", "b": b"1"})
    (out / "mine").write_bytes(b"first")
    (out / "open").write_bytes(b"first")
    real_sync, real_exchange = folder_module.sync_files, folder_swap.exchange

    def save() -> None:
        (out / "fresh").write_bytes(b"fresh")
        (out / "deep" / "er").mkdir(parents=True)
        (out / "deep" / "note").write_bytes(b"deep")
        saves(out / "mine", b"second")
        (out / "open").write_bytes(b"second")
        saves(out / "a", b"edited")

    def sync(paths: object) -> None:
        real_sync(paths)  # type: ignore[arg-type]
        if not late:
            save()

    def swapped(one: Path, other: Path) -> bool:
        if late:
            save()
        return exchanges and real_exchange(one, other)

    monkeypatch.setattr(folder_module, "sync_files", sync)
    monkeypatch.setattr(folder_swap, "exchange", swapped)
    found = write_folder(out, {"a": b"2", "b": b"2"})
    now = contents(out)
    kept = now.pop("mine (kept)", b"first")
    assert kept == b"first"
    assert now == {
        "a": b"2",
        "a (kept)": b"edited",
        "b": b"2",
        "fresh": b"fresh",
        "deep/note": b"deep",
        "mine": b"second",
        "open": b"second",
    }
    assert (out / "deep" / "er").is_dir()
    assert {f.code for f in found} == {"folder-saved"}
    assert leftovers(out) == []


def test_subfolders_keep_mode_and_time(tmp_path: Path) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"1", "sheets/b": b"1"})
    notes = out / "notes"
    (notes / "old").mkdir(parents=True)
    (notes / "old" / "x").write_bytes(b"x")
    (out / "empty").mkdir()
    (out / "a").chmod(0o640)
    modes = {notes / "old": 0o500, notes: 0o750, out / "empty": 0o711, out / "sheets": 0o770}
    for folder, mode in modes.items():
        os.utime(folder, (1e9, 1e9))
        folder.chmod(mode)
    out.chmod(0o710)
    write_folder(out, {"a": b"2", "sheets/c": b"2"})
    for folder, mode in {**modes, out: 0o710, out / "a": 0o640}.items():
        assert stat.S_IMODE(folder.stat().st_mode) == mode
    assert all(folder.stat().st_mtime == 1e9 for folder in modes)
    assert leftovers(out) == []


@pytest.mark.parametrize("name", [".", "", "..", "../job", "sub/.."])
def test_the_folder_one_works_in_is_refused(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "job").mkdir()
    monkeypatch.chdir(tmp_path / "job")
    with pytest.raises(LiveryError, match="need a folder of their own") as caught:
        write_folder(Path(name), {"a": b""})
    assert caught.value.exit_status == 2
    assert list(tmp_path.rglob("*")) == [tmp_path / "job"]


def test_the_folder_of_the_description_is_refused(tmp_path: Path) -> None:
    for folder in (tmp_path / "job", tmp_path):
        with pytest.raises(LiveryError, match="folder of the description"):
            require_own_folder(folder, tmp_path / "job" / "job.toml")
    require_own_folder(tmp_path / "job" / "build", tmp_path / "job" / "job.toml")


def test_a_file_in_the_folders_place_is_a_clear_fault(tmp_path: Path) -> None:
    (tmp_path / "build").write_bytes(b"")
    with pytest.raises(LiveryError, match="is a file"):
        write_folder(tmp_path / "build", {"a": b""})
