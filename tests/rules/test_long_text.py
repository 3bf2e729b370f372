from pathlib import Path

from diagtree.draw.font import wrap
from diagtree.draw.setting import Sizes
from diagtree.draw.sizing import PLAIN
from diagtree.rules.long_text import ANSWER, QUESTION, TITLE
from tests.rules.finding import find

SENTENCE = (
    "Where does the oil stand on the dipstick with the car on level ground and the engine off for ten minutes, "
    "then how does it look and smell"
)


def words(letters: int) -> str:
    """Give so many letters, the last one no space."""
    return SENTENCE[: letters - 1] + "s"


def text(question: int, answer: int, title: int) -> str:
    return f"""\
checks:
  level:
    ask: {words(question)}
    hours: 0.1
    answers: {{low: {words(answer)}, ok: Right}}
---
faults:
  oil-low: {{title: '{words(title)}', why: Leaks., repair: [], verify: []}}
"""


def test_text_that_is_too_long_for_its_box(tmp_path: Path) -> None:
    assert find(tmp_path, "long-text", text(QUESTION + 1, ANSWER + 1, TITLE + 1)) == [
        (3, 10, "This question has 121 letters, and a poster's box holds about 120. Shorten it.", ""),
        (5, 20, "This answer has 71 letters, and a poster's box holds about 70. Shorten it.", ""),
        (8, 20, "This title has 111 letters, and a poster's box holds about 110. Shorten it.", ""),
    ]


def test_text_of_just_that_length_passes(tmp_path: Path) -> None:
    assert find(tmp_path, "long-text", text(QUESTION, ANSWER, TITLE)) == []


def test_the_limits_are_what_the_boxes_hold_in_so_many_lines() -> None:
    sizes = Sizes()
    assert len(wrap(SENTENCE[:QUESTION], sizes.question, PLAIN.box)) == 6
    assert len(wrap(SENTENCE[:TITLE], sizes.outcome, PLAIN.end, bold=True)) == 4
    assert len(wrap(SENTENCE[:ANSWER], sizes.answer, PLAIN.answer)) == 4
