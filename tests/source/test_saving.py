"""Files of an author: all or none, and never over one that is there."""

import errno
import os
from pathlib import Path

import pytest

from diagtree.source import saving
from diagtree.source.saving import new_files, new_folder

TEXTS = {"one.yaml": "a: ä\n", "two.yaml": "b: 2\n"}


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_folder_comes_with_its_files_and_nothing_else(tmp_path: Path) -> None:
    assert new_folder(tmp_path / "made", TEXTS) is None
    assert {file.name: file.read_bytes() for file in (tmp_path / "made").iterdir()} == {
        "one.yaml": "a: ä\n".encode(),
        "two.yaml": b"b: 2\n",
    }
    assert names(tmp_path) == ["made"]


def test_an_empty_folder_is_filled_and_stays_the_same_folder(tmp_path: Path) -> None:
    before = tmp_path.stat().st_ino
    assert new_folder(tmp_path, TEXTS) is None
    assert tmp_path.stat().st_ino == before
    assert names(tmp_path) == sorted(TEXTS)


@pytest.mark.parametrize("kind", ["folder", "file", "hidden", "dangling"])
def test_what_is_there_already_stays_as_it_is(tmp_path: Path, kind: str) -> None:
    place = tmp_path / "there"
    if kind == "file":
        place.write_text("mine")
    elif kind == "dangling":
        place.symlink_to(tmp_path / "nowhere")
    else:
        place.mkdir()
        (place / (".hidden" if kind == "hidden" else "mine.yaml")).write_text("mine")
    before = sorted(map(str, tmp_path.rglob("*")))
    assert new_folder(place, TEXTS) == (
        f"'{place}' is there already, and not an empty folder. Name a new one: nothing is overwritten."
    )
    assert sorted(map(str, tmp_path.rglob("*"))) == before


def test_a_file_more_is_added_to_a_folder(tmp_path: Path) -> None:
    (tmp_path / "zero.yaml").write_text("mine")
    assert new_files(tmp_path, TEXTS) is None
    assert names(tmp_path) == ["one.yaml", "two.yaml", "zero.yaml"]


def test_no_file_is_added_where_one_of_them_is_there(tmp_path: Path) -> None:
    (tmp_path / "two.yaml").write_text("mine")
    assert new_files(tmp_path, TEXTS) == (
        f"'{tmp_path / 'two.yaml'}' is there already. Choose another name: nothing is overwritten."
    )
    assert names(tmp_path) == ["two.yaml"]
    assert (tmp_path / "two.yaml").read_text() == "mine"


def test_a_file_that_comes_between_the_look_and_the_writing_wins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program writes the second file while ours are drafted: it is kept, and our first is taken back."""
    drafts = saving._drafts

    def slow(parent: Path, texts: dict[str, str]) -> Path:
        (tmp_path / "two.yaml").write_text("theirs")
        return drafts(parent, texts)

    monkeypatch.setattr(saving, "_drafts", slow)
    assert "file exists" in str(new_files(tmp_path, TEXTS))
    assert names(tmp_path) == ["two.yaml"]
    assert (tmp_path / "two.yaml").read_text() == "theirs"


def test_a_folder_that_comes_meanwhile_wins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drafts = saving._drafts

    def slow(parent: Path, texts: dict[str, str]) -> Path:
        (tmp_path / "made").mkdir()
        (tmp_path / "made" / "theirs").write_text("theirs")
        return drafts(parent, texts)

    monkeypatch.setattr(saving, "_drafts", slow)
    assert new_folder(tmp_path / "made", TEXTS)
    assert [str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*")] == ["made", "made/theirs"]


@pytest.mark.parametrize("call", ["new", "empty", "add"])
def test_a_full_disk_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    written: list[int] = []

    def full(handle: int) -> None:
        written.append(handle)
        if len(written) == len(TEXTS):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    place = tmp_path / "made" if call == "new" else tmp_path
    refusal = new_files(place, TEXTS) if call == "add" else new_folder(place, TEXTS)
    assert refusal == (
        f"'{place}' can't be written: no space left on device. Nothing was written. "
        "Name a place in a folder that takes files."
    )
    assert names(tmp_path) == []


@pytest.mark.parametrize("call", ["new", "add"])
def test_an_interrupt_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    def interrupted(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        (new_folder if call == "new" else new_files)(tmp_path / "made" if call == "new" else tmp_path, TEXTS)
    assert names(tmp_path) == []


def test_a_file_system_without_links_is_served_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def unlinked(_draft: Path, _path: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", unlinked)
    assert new_files(tmp_path, TEXTS) is None
    assert names(tmp_path) == sorted(TEXTS)
    assert "file exists" in str(saving._refusal(tmp_path, FileExistsError(errno.EEXIST, "File exists")))


@pytest.mark.parametrize("name", ["missing/made", "x" * 300, "nul\0", "plain/made"])
def test_a_place_that_takes_no_folder_is_one_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "plain").write_text("mine")
    refusal = new_folder(tmp_path / name, TEXTS)
    assert refusal is not None
    assert "can't be written: " in refusal
    assert names(tmp_path) == ["plain"]
