"""Problems on a terminal: place, severity, message and rule on one line, then the source line and a caret under it."""

import json

from hypothesis import given
from hypothesis import strategies as st
from wcwidth import wcswidth

from diagtree.model.problem import Place, problem
from diagtree.report.problems import as_json, as_text


def shown(line: str, start: int, end: int, **options: str) -> str:
    found = problem(Place("lib.yaml", 1, start, 1, end), "a-rule", "Wrong. Mend it.", **options)  # type: ignore[arg-type]
    return as_text([found], {"lib.yaml": line + "\n"})


def test_a_problem_is_its_place_message_and_rule_then_the_line_and_a_caret() -> None:
    assert shown("shop: a b", 7, 10, hint="The nearest is 'a'.") == (
        "lib.yaml:1:7: error: Wrong. Mend it. [a-rule]\n  shop: a b\n        ^^^\nhelp: The nearest is 'a'.\n"
    )


def test_the_caret_stands_under_the_cells_of_wide_characters() -> None:
    _, line, caret = shown("漢字: x", 5, 6).splitlines()
    assert line == "  漢字: x"
    assert caret == "  " + " " * 6 + "^"


def test_a_tab_is_shown_as_blanks_with_the_caret_after_them() -> None:
    _, line, caret = shown("\tx", 2, 3).splitlines()
    assert (line, caret) == ("      x", "      ^")


def test_a_long_line_is_cut_around_the_place() -> None:
    _, line, caret = shown("a" * 500 + "X" + "b" * 500, 501, 502).splitlines()
    assert line[caret.index("^")] == "X"
    assert max(len(line), len(caret)) <= 115


def test_the_summary_counts_errors_and_warnings_apart() -> None:
    place = Place("lib.yaml", 1, 1, 1, 2)
    found = [problem(place, "a", "A."), problem(place, "b", "B."), problem(place, "c", "C.", severity="warning")]
    assert as_text(found, {}, summary=True).splitlines()[-1] == "2 errors and 1 warning."
    assert as_text([], {}, summary=True) == "No problem found.\n"


def test_json_has_the_keys_of_the_contract() -> None:
    found = problem(Place("lib.yaml", 3, 4, 3, 9), "a-rule", "Wrong.", hint="Do.")
    (row,) = json.loads(as_json([found]))["problems"]
    assert row == {
        "severity": "error",
        "file": "lib.yaml",
        "line": 3,
        "column": 4,
        "end_line": 3,
        "end_column": 9,
        "rule": "a-rule",
        "message": "Wrong.",
        "help": "Do.",
    }


@given(
    line=st.text(alphabet=st.characters(exclude_characters="\n\r", exclude_categories=["Cs", "Cc"]), min_size=1),
    data=st.data(),
)
def test_no_line_is_ever_wider_than_it_may_be(line: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(1, len(line)))
    end = data.draw(st.integers(start + 1, len(line) + 1))
    rows = shown(line, start, end).splitlines()
    assert rows[0].startswith("lib.yaml:1:")
    assert all(wcswidth(row) <= 2 * 120 for row in rows[1:])
