"""The folder of made files: whole or not at all, and never a user's file lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from livery.findings import LiveryError
from livery.write.folder import MANIFEST, write_folder

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


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
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


@pytest.mark.parametrize("failing", [1, 2])
def test_a_failure_in_the_swap_puts_the_old_folder_back(tmp_path: Path, failing: int) -> None:
    out = tmp_path / "build"
    write_folder(out, {"a": b"old"})
    calls = 0
    real = Path.rename

    def refuse(path: Path, target: Path) -> Path:
        nonlocal calls
        calls += 1
        if calls == failing:
            raise PermissionError(13, "Permission denied")
        return real(path, target)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "rename", refuse)
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


def test_a_file_in_the_folders_place_is_a_clear_fault(tmp_path: Path) -> None:
    (tmp_path / "build").write_bytes(b"")
    with pytest.raises(LiveryError, match="is a file"):
        write_folder(tmp_path / "build", {"a": b""})
