"""A tree that another order of its checks would beat."""

from pathlib import Path

from diagtree.reason.costing import Cost, costs
from diagtree.rules.walk_too_dear import judge
from diagtree.source.reader import read

BOILER = Path(__file__).parents[1] / "foreign" / "boiler"


def test_the_dearest_build_is_named_at_the_start_of_the_tree() -> None:
    library = read(str(BOILER)).library
    found = list(judge(library, costs(library, 60.0)))
    assert [(one.rule, one.severity) for one in found] == [("walk-too-dear", "warning")] * 2
    first = next(one for one in found if one.file.endswith("lockout.yml"))
    assert first.message == (
        "A walk costs 197.21 EUR on average in build 'c12' of 'skell-boiler', and another order of its checks 162.75: "
        "it is 21 per cent dearer. `diagtree next` shows where they part."
    )
    line = Path(first.file).read_text().splitlines()[first.line - 1]
    assert line.startswith("start:")


def test_eight_per_cent_more_are_let_pass() -> None:
    library = read(str(BOILER)).library
    near = Cost("lockout", "skell-boiler", "c9", 108.0, 100.0, 90.0, exact=False)
    assert list(judge(library, [near])) == []
