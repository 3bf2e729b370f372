"""The demo library's texts, as somebody with the job sheet in hand reads them."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from diagtree.model.library import Library
from diagtree.source.reader import read

TREES = Path(__file__).resolve().parents[1] / "trees"


@pytest.fixture(scope="module")
def demo() -> Library:
    """The shipped library."""
    found = read(str(TREES)).library
    assert found is not None
    return found


def instructions(library: Library) -> Iterator[tuple[str, str]]:
    """(where, sentence) of each thing that is to be done or looked at."""
    for engine in library.engines.values():
        for step in engine.work.values():
            yield from ((f"{engine.id}/{step.id}", sentence) for sentence in step.do)
    for fault in library.faults.values():
        yield from ((fault.id, sentence) for sentence in fault.verify)


def test_every_instruction_is_a_whole_sentence(demo: Library) -> None:
    """A comma in a list that is written on one line cuts a sentence in two: `[Mark the cap, take it off.]`."""
    cut = [(where, said) for where, said in instructions(demo) if said[0].islower() or said[-1] not in ".?"]
    assert cut == []


def test_who_is_told_to_turn_the_engine_is_told_how(demo: Library) -> None:
    """Common practice, no source: by hand only, and stop at the first resistance."""
    turning = [
        (engine.id, step.id)
        for engine in demo.engines.values()
        for step in engine.work.values()
        if any("by hand" in said and "urn" in said for said in step.do) and "hand-turning" not in step.cautions
    ]
    # A filter, a plug and a pulley are turned by hand too; the engine is not.
    assert {step for _, step in turning} <= {"filter-off", "renew-spark-plugs"}


def test_oil_goes_in_last(demo: Library) -> None:
    """Draining stands early in a plan. To fill up at that place would wet open covers and uncured sealant."""
    for engine in demo.engines.values():
        filling = [said for said in engine.work["oil-drained"].do if "fill with oil" in said.lower()]
        assert [said.startswith("At the end, all closed and all sealant cured") for said in filling] == [True]


def test_oil_is_never_made_to_flow_by_cranking_an_open_drive(demo: Library) -> None:
    for engine in demo.engines.values():
        assert any("Never crank for it." in said for said in engine.work["clear-tensioner-feed"].do)
