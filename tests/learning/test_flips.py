"""Where the advice changes with the numbers."""

from pathlib import Path

import pytest

from diagtree.learning.flips import flips
from diagtree.model.library import Library
from diagtree.source.reader import read

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"


def changed(folder: Path, old: str, new: str) -> Library:
    for path in FOREIGN.rglob("*.yaml"):
        (folder / path.name).write_text(path.read_text().replace(old, new))
    return read(str(folder)).library


@pytest.fixture(scope="module")
def library() -> Library:
    return read(str(FOREIGN)).library


def test_the_same_numbers_flip_nothing(library: Library) -> None:
    for tree in library.trees:
        assert not list(flips(library, library, tree))


def test_a_check_that_tells_nothing_any_more_is_not_advised(library: Library, tmp_path: Path) -> None:
    """Every check that is advised somewhere is made worthless; then it is advised nowhere."""
    blind = changed(tmp_path, "given: {default: 6, bearings-worn: 80}", "given: {default: 6, bearings-worn: 6}")
    found = list(flips(library, blind, "noisy-pump"))
    assert found
    assert all(one.before != one.after for one in found)
    assert any(one.before == "frame-oil" for one in found)
    assert all(one.after != "frame-oil" for one in found)
    assert all(0 < one.share <= 1 for one in found)
    back = list(flips(blind, library, "noisy-pump"))
    assert {(one.node, one.build, one.before) for one in back} >= {
        (one.node, one.build, one.after) for one in found if one.share > 0.05
    }
