"""Start-up: whole processes against a bare start, and against the imports that can't be had for less."""

from collections.abc import Iterator

from tests.bench.measure import Row, in_turn, process


def rows() -> Iterator[Row]:
    """The yardsticks of a start."""
    for option in ("--help", "--version"):
        ours, bare = in_turn(process(["-m", "diagtree", option]), process(["-c", "pass"]), runs=15)
        yield Row(f"diagtree {option}", "python -c pass", ours / bare, 3.0, 2.7, f"{ours * 1e3:.0f} ms")
    command = ["-m", "diagtree", "next", "broken-guide", "--engine", "brennick-v8", "--build", "van-early", "--json"]
    ours, bare = in_turn(process(command), process(["-c", "import numpy, yaml"]), runs=9)
    yield Row("diagtree next on a demo tree", "import numpy, yaml", ours / bare, 1.5, 1.2, f"{ours * 1e3:.0f} ms")
