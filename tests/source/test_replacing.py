"""Files of a library replaced all together, or told as a patch."""

import shutil
import subprocess
from pathlib import Path

import pytest

from diagtree.source.replacing import Change, change, difference, replace_all

MARK = "\ufeff".encode()
BEFORE = {"a.yaml": b"one: 1\r\ntwo: 2\r\n", "b c.yaml": MARK + "one: 1 # é\ntwo: 2".encode(), "d.yaml": b"one: 1\n"}


@pytest.fixture
def changes(tmp_path: Path) -> list[Change]:
    found = []
    for name, data in BEFORE.items():
        path = tmp_path / name
        path.write_bytes(data)
        text = data.removeprefix(MARK).decode()
        one = change(path, text, text.replace("1", "1.5").replace("2", "3"))
        assert isinstance(one, Change)
        found.append(one)
    return found


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_all_are_replaced_with_their_marks_and_line_ends(changes: list[Change], tmp_path: Path) -> None:
    assert not replace_all(changes)
    after = {name: data.replace(b"1", b"1.5").replace(b"2", b"3") for name, data in BEFORE.items()}
    assert contents(tmp_path) == after


@pytest.mark.parametrize("failing", [1, 2, 3])
def test_none_is_where_one_cannot_be(
    failing: int, changes: list[Change], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = 0
    really = Path.replace

    def replace(self: Path, target: Path) -> Path:
        nonlocal done
        done += 1
        if done == failing:
            raise OSError(28, "No space left on device")
        return really(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    told = replace_all(changes)
    assert "No file was changed" in told
    assert contents(tmp_path) == BEFORE


def test_a_file_that_may_not_be_written_stops_it(
    changes: list[Change], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.access", lambda path, _mode: Path(path).name != "d.yaml")
    assert "d.yaml" in replace_all(changes)
    assert contents(tmp_path) == BEFORE


def test_a_file_that_has_changed_meanwhile_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("one: 2\n")
    assert isinstance(change(tmp_path / "a.yaml", "one: 1\n", "one: 3\n"), str)
    assert isinstance(change(tmp_path / "gone.yaml", "", ""), str)


@pytest.mark.skipif(shutil.which("git") is None, reason="without git nobody applies it")
def test_the_patch_applies_and_gives_the_same_bytes(changes: list[Change], tmp_path: Path) -> None:
    patch = difference(changes, tmp_path).encode()
    subprocess.run(["git", "apply", "-"], input=patch, cwd=tmp_path, check=True)
    assert contents(tmp_path) == {one.path.name: one.after for one in changes}
