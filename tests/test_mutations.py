"""Damaged copies of the demo library: whatever is wrong in them, a sentence says so and where."""

from pathlib import Path

import pytest

from tests.bench import mutations

DEMO = str(Path(__file__).parent.parent / "trees")
SEED = 7
SHARE = 50
COUNT = 300


@pytest.mark.parametrize("first", range(0, COUNT, SHARE))
def test_a_damaged_library_is_vetted_and_where_it_is_clean_used(first: int) -> None:
    cases = [mutations.Case(DEMO, SEED, number) for number in range(first, first + SHARE)]
    try:
        verdicts = mutations.examine_all(cases)
    finally:
        mutations.tidy()
    assert [(one.number, one.failure) for one in verdicts if one.failure] == []
    assert any(not one.clean for one in verdicts)
    assert any(one.clean and one.followed["walks"] for one in verdicts)


def test_a_mutant_is_the_same_each_time_it_is_made() -> None:
    try:
        made = [mutations.mutant(mutations.Case(DEMO, SEED, number)) for number in range(40)]
        again = [mutations.mutant(mutations.Case(DEMO, SEED, number)) for number in range(40)]
    finally:
        mutations.tidy()
    assert [(path.name, content) for path, content in made] == [(path.name, content) for path, content in again]
    assert len({content for _, content in made}) == 40
