"""Values of options that are none: a sentence that says what is wanted, whatever was typed."""

import re

import pytest

from diagtree.cli import main

HUGE = "9" * 5000
# Arguments that want a figure, and what is said to be wanted.
WANTED: dict[str, list[str]] = {
    "whole number from 0 to 999999999999": ["drill", "low-flow", "--seed"],
    "whole number from 1 to 1000": ["drill", "low-flow", "--cars"],
    "whole number from 1 to 1000000000": ["jobs", "--most"],
    "whole number from 1 to 256": ["learn", "--workers"],
    "number above 0, to 1000000000: write one such as 20": ["learn", "--strength"],
    "number above 0, to 1000000000: write one such as 5": ["learn", "--least"],
    "time: write seconds above 0, to 86400, such as 2.5": ["next", "low-flow", "--seconds"],
    "factor: give a number above 0, to 100, such as 1.3": ["estimate", "low-flow", "--slow"],
    "amount: give a number from 0, such as 640": ["estimate", "low-flow", "--amount"],
    "whole number from 10 to 1200": ["draw", "low-flow", "--out", "x.png", "--dpi"],
}


@pytest.mark.parametrize("typed", ["", "many", "nan", "-1", "1e999", "\x1b[31mred", HUGE])
@pytest.mark.parametrize("wanted", WANTED)
def test_a_figure_that_is_none_is_told_with_what_is_wanted(
    wanted: str, typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    argv = WANTED[wanted]
    assert main([*argv[:-1], f"{argv[-1]}={typed}"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "\x1b" not in err
    assert typed == HUGE or f"is no {wanted}" in err
    assert not re.search(r"invalid \S+ value", err)


def test_what_fits_is_taken(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "--most", "7", "--jobs", "/nonexistent/jobs.db"]) in {0, 2}
    assert "is no " not in capsys.readouterr().err
