"""Text in lines: nothing wider than its room, nothing lost, nothing read as mark-up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagtree.draw.bidi import joined
from diagtree.draw.font import clean
from diagtree.report.sheets.setting import TEXT, fill, fill_groups, one_line, width
from tests.report.sheets.opened import bare

HYPHEN = "\N{SOFT HYPHEN}"


@given(st.text(max_size=200), st.floats(30, 400))
def test_no_line_is_wider_than_its_room_and_no_character_is_lost(text: str, room: float) -> None:
    lines = fill(text, TEXT, room)
    assert all(width(line, TEXT) <= room + 1e-9 for line in lines)
    assert bare("".join(lines)) == bare("".join(c if c.isprintable() else " " for c in joined(clean(text))))


def test_a_figure_stays_with_its_unit() -> None:
    full = "Tighten the bolt of the phaser to 40 N m"
    room = width(full.removesuffix(" m"), TEXT)
    assert fill(full, TEXT, room) == ["Tighten the bolt of the phaser to", "40 N m"]


def test_a_word_wider_than_its_room_is_cut_between_characters() -> None:
    lines = fill("Kurbelwellenpositionssensorstecker", TEXT, 60)
    assert len(lines) > 2
    assert all(line.endswith(HYPHEN) for line in lines[:-1])
    assert "".join(lines).replace(HYPHEN, "") == "Kurbelwellenpositionssensorstecker"
    assert not lines[-1].endswith(HYPHEN)


@pytest.mark.parametrize(
    "word", ["BV12345678901234567890", "P0016/P0017/P0018/P0019/P0020", "正时链条伸长了很多很多很多"]
)
def test_what_may_be_typed_and_what_takes_no_hyphen_is_cut_without_one(word: str) -> None:
    lines = fill(word, TEXT, 60)
    assert len(lines) > 1
    assert "".join(lines) == word


def test_a_text_to_be_typed_breaks_behind_its_dashes_alone() -> None:
    groups = ["E62S6A-", "6MK3UK-", "CW76AG-", "F5Q7DZ-", "64HMCT"]
    lines = fill_groups("".join(groups), TEXT, 100)
    assert len(lines) > 2
    assert all(line in {"".join(groups[at:end]) for at in range(5) for end in range(6)} for line in lines)
    assert "".join(lines) == "".join(groups)


@pytest.mark.parametrize("text", ["short", "", "x" * 4000])
def test_a_running_head_fits_on_one_line(text: str) -> None:
    shown = one_line(text, TEXT, 100)
    assert width(shown, TEXT) <= 100
    assert shown == text or (shown.endswith("…") and text.startswith(shown[:-1]))
