"""Numbers replaced where they stand."""

from hypothesis import given
from hypothesis import strategies as st

from diagtree.model.problem import Place
from diagtree.source.patching import Edit, patched, written
from diagtree.source.reader import read

TEXT = "# head\r\nrow: {a: 80, b: improbable}  # why: 80\r\nlast: 3\n"


def place(line: int, column: int, length: int) -> Place:
    return Place("file.yaml", line, column, line, column + length)


def test_only_the_numbers_change() -> None:
    edits = [Edit(place(3, 7, 1), 4.25), Edit(place(2, 10, 2), 91.0), Edit(place(2, 17, 10), 9.0)]
    assert patched(TEXT, edits) == "# head\r\nrow: {a: 91, b: 9}  # why: 80\r\nlast: 4.25\n"


def test_a_place_that_holds_something_else_is_refused() -> None:
    for wrong in (place(2, 9, 3), place(1, 1, 4), place(9, 1, 1), place(2, 6, 22)):
        assert patched(TEXT, [Edit(wrong, 1.0)]) is None
    twice = [Edit(place(2, 10, 2), 1.0), Edit(place(2, 10, 2), 2.0)]
    assert patched(TEXT, twice) is None


@given(st.floats(0, 1e9, allow_nan=False).map(lambda number: round(number, 4)))
def test_a_number_is_written_so_that_it_reads_the_same(number: float) -> None:
    shown = written(number)
    assert float(shown) == number
    assert "e" not in shown


def test_every_number_of_the_demo_s_tables_has_a_place_that_can_be_patched() -> None:
    found = read("trees")
    library = found.library
    edits: dict[str, list[Edit]] = {}
    for check in library.checks.values():
        for key, row in check.given.items():
            whole = library.value("checks", check.id, "given", key)
            for answer, number in zip(check.answers, row, strict=True):
                spot = library.value("checks", check.id, "given", key, answer.id)
                if spot != whole:
                    edits.setdefault(spot.file, []).append(Edit(spot, number))
                elif answer is check.answers[0]:
                    edits.setdefault(whole.file, []).append(Edit(whole, number))
    assert edits
    for file, listed in edits.items():
        assert patched(found.texts[file], listed) is not None
