"""The amount moved along the dots: what keys do, how it looks, and on a real terminal."""

from pathlib import Path
from typing import Any

import pytest
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from diagtree.estimate.result import Estimate
from diagtree.report import estimate_words as words
from diagtree.report.estimate import enough
from diagtree.report.lines import cells
from diagtree.term.amount import begin, press, rows, step
from diagtree.term.amount_screen import choose
from tests.estimate.garage import GARAGE, estimated, garage, visit


@pytest.fixture(scope="module")
def found() -> Estimate:
    return estimated(visit(garage()))


def after(found: Estimate, *keys: str) -> float:
    view = begin(found)
    for key in keys:
        view = press(view, key)
    return view.amount


def test_it_begins_at_what_is_recommended(found: Estimate) -> None:
    assert begin(found).amount == enough(found)


def test_left_and_right_move_by_the_shop_s_step_and_pages_by_ten(found: Estimate) -> None:
    start = enough(found)
    assert step(found) == 10
    assert after(found, "right") == start + 10
    assert after(found, "left", "left") == start - 20
    assert after(found, "page-up") == start + 100
    assert after(found, "page-down") == start - 100
    assert after(found, "x") == start


def test_no_amount_is_below_nothing(found: Estimate) -> None:
    assert after(found, *["page-down"] * 200) == 0
    assert after(found, *["page-down"] * 200, "left", "down") == 0


def test_up_and_down_go_from_dot_to_dot(found: Estimate) -> None:
    low, high = after(found, "home"), after(found, "end")
    assert found.dots_within(low) >= 1
    assert found.dots_within(low - 10) == 0
    assert found.dots_within(high) == 20
    assert after(found, "end", "up") == high
    view = press(begin(found), "home")
    counts: list[int] = []
    while not counts or found.dots_within(view.amount) != counts[-1]:
        counts.append(found.dots_within(view.amount))
        view = press(view, "up")
    assert counts[-1] == 20
    assert counts == sorted(counts)
    for _ in counts[1:]:
        view = press(view, "down")
    assert view.amount == low


def test_the_screen_s_count_and_dots_follow(found: Estimate) -> None:
    view = press(begin(found), "home")
    for _ in range(120):
        shown = "\n".join(rows(view, 79))
        assert words.inside(found, view.amount) in shown
        assert shown.count(words.INSIDE) == found.dots_within(view.amount)
        assert shown.count(words.INSIDE) + shown.count(words.OUTSIDE) == 20
        view = press(view, "right")


@pytest.mark.parametrize(("columns", "lines"), [(79, 24), (39, 11)])
def test_it_fits_its_terminal_with_every_key_shown(found: Estimate, columns: int, lines: int) -> None:
    shown = rows(begin(found), columns)
    assert len(shown) <= lines
    assert all(cells(line) <= columns for line in shown)
    text = " ".join(shown)
    for key in ("←", "→", "↑", "↓", "PgUp", "PgDn", "Home", "End", "Enter", "q"):
        assert key in text


@pytest.mark.parametrize("keys", ["\x1b[C\x1b[Cq", "\x1b[C\x1b[C\r", "\x1b[A\x1b[B\x1b[H\x1b[F\x1b[5~\x1b[6~q"])
def test_keys_of_a_terminal_are_heeded(found: Estimate, keys: str) -> None:
    with create_pipe_input() as source:
        source.send_text(keys)
        amount = choose(found, source, DummyOutput())
    if "[C" in keys:
        assert amount == enough(found) + 20
    else:
        assert found.dots_within(amount) == 20


def test_an_interrupt_is_one(found: Estimate) -> None:
    with create_pipe_input() as source:
        source.send_text("\x03")
        with pytest.raises(KeyboardInterrupt):
            choose(found, source, DummyOutput())


def spawned(folder: Path, columns: int, rows: int, *argv: str, **settings: str) -> Any:
    import os
    import sys

    import pexpect

    from tests.oracle.program import ROOT

    file = folder / "garage.yaml"
    file.write_text(GARAGE, encoding="utf-8")
    env = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
    env |= {"TERM": "xterm-256color", "PYTHONPATH": str(ROOT), **settings}
    command = ["-m", "diagtree", "estimate", "outer", "--library", str(file), *argv]
    return pexpect.spawn(sys.executable, command, dimensions=(rows, columns), env=env, encoding="utf-8", timeout=120)


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (40, 12)])
def test_on_a_terminal_the_row_stays_behind_when_it_is_left(tmp_path: Path, columns: int, rows: int) -> None:
    import pexpect

    child = spawned(tmp_path, columns, rows)
    child.expect("leaves")
    child.send("\x1b[H")
    child.send("q")
    child.expect("Each dot is")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0


def test_an_interrupt_on_a_terminal_leaves_with_130_and_shows_the_cursor(tmp_path: Path) -> None:
    import pexpect

    child = spawned(tmp_path, 80, 24)
    child.expect("leaves")
    child.send("\x03")
    child.expect(pexpect.EOF)
    rest = child.before
    child.close()
    assert child.exitstatus == 130
    assert "\x1b[?25h" in rest
    assert "Traceback" not in rest


@pytest.mark.parametrize(
    ("argv", "settings"), [(["--lines"], {}), (["--amount", "300"], {}), ([], {"TERM": "dumb"}), (["--json"], {})]
)
def test_where_nothing_is_to_be_moved_it_prints_and_ends(
    tmp_path: Path, argv: list[str], settings: dict[str, str]
) -> None:
    import pexpect

    child = spawned(tmp_path, 80, 24, *argv, **settings)
    child.expect(pexpect.EOF)
    assert "\x1b" not in child.before
    child.close()
    assert child.exitstatus == 0
