"""A file is written whole or not at all."""

import errno
import os
import stat
import sys
from pathlib import Path

import pytest

from diagtree.draw.refusal import Refusal
from diagtree.draw.saving import save


def test_a_file_is_replaced_and_nothing_else_is_left(tmp_path: Path) -> None:
    target = tmp_path / "x.pdf"
    target.write_bytes(b"old")
    assert save(target, b"new") is None
    assert [path.name for path in tmp_path.iterdir()] == ["x.pdf"]
    assert target.read_bytes() == b"new"


@pytest.mark.parametrize("name", ["missing/x.pdf", "file/x.pdf", "folder", "x" * 300 + ".pdf"])
def test_a_place_that_takes_no_file_is_one_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_bytes(b"")
    (tmp_path / "folder").mkdir()
    before = sorted(tmp_path.rglob("*"))
    found = save(tmp_path / name, b"data")
    assert isinstance(found, Refusal)
    assert "cannot be written" in found.sentence or "no plain file" in found.sentence
    assert sorted(tmp_path.rglob("*")) == before


def test_a_link_stays_a_link_and_a_device_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "real.pdf").write_bytes(b"old")
    (tmp_path / "link.pdf").symlink_to("real.pdf")
    (tmp_path / "device.pdf").symlink_to(os.devnull)
    assert save(tmp_path / "link.pdf", b"new") is None
    assert (tmp_path / "link.pdf").is_symlink()
    assert (tmp_path / "real.pdf").read_bytes() == b"new"
    assert isinstance(save(tmp_path / "device.pdf", b"new"), Refusal)
    assert not Path(os.devnull).is_file()


def test_a_full_disk_leaves_the_old_file_and_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "x.pdf"
    target.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    found = save(target, b"new")
    assert isinstance(found, Refusal)
    assert "no space left on device" in found.sentence
    assert [path.name for path in tmp_path.iterdir()] == ["x.pdf"]
    assert target.read_bytes() == b"old"


@pytest.mark.skipif(sys.platform == "win32", reason="modes are another matter there")
def test_a_file_has_the_mode_of_a_plain_new_file_or_of_the_one_before(tmp_path: Path) -> None:
    plain, target = tmp_path / "plain", tmp_path / "x.pdf"
    plain.touch()
    save(target, b"1")
    assert stat.S_IMODE(target.stat().st_mode) == stat.S_IMODE(plain.stat().st_mode)
    target.chmod(0o600)
    save(target, b"2")
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
