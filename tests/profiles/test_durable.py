"""Writing so that nothing is ever half written."""

import os
import stat
from pathlib import Path

import pytest

from profiles.durable import make_folder, write_atomically


def test_new_content_replaces_old(tmp_path: Path) -> None:
    path = tmp_path / "file"
    write_atomically(path, b"one")
    write_atomically(path, b"two")
    assert path.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("call", ["fsync", "replace"])
def test_a_failed_write_leaves_the_old_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = tmp_path / "file"
    write_atomically(path, b"one")

    def fail(*_: object) -> None:
        raise OSError("the disk failed")

    owner = os if call == "fsync" else Path
    monkeypatch.setattr(owner, call, fail)
    with pytest.raises(OSError, match="the disk failed"):
        write_atomically(path, b"two")
    assert path.read_bytes() == b"one"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.name == "nt", reason="Windows cannot open a folder")
def test_file_and_folder_reach_the_disk_in_order(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    sync, replace = os.fsync, Path.replace

    def watched_sync(handle: int) -> None:
        seen.append("folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file")
        sync(handle)

    def watched_replace(self: Path, target: Path) -> Path:
        seen.append("replace")
        return replace(self, target)

    monkeypatch.setattr(os, "fsync", watched_sync)
    monkeypatch.setattr(Path, "replace", watched_replace)
    write_atomically(tmp_path / "file", b"one")
    assert seen == ["file", "replace", "folder"]


def test_folders_are_made_with_their_parents(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_file_in_place_of_a_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"")
    with pytest.raises(NotADirectoryError):
        make_folder(tmp_path / "a" / "b")


def test_a_link_stays_one_and_what_it_points_to_is_written(tmp_path: Path) -> None:
    """A crew keeps its car file where it likes, and links it."""
    real, link = tmp_path / "elsewhere" / "car.toml", tmp_path / "car.toml"
    real.parent.mkdir()
    real.write_bytes(b"before")
    link.symlink_to(real)
    write_atomically(link, b"after")
    assert link.is_symlink()
    assert real.read_bytes() == b"after"
    assert [one.name for one in real.parent.iterdir()] == ["car.toml"]
