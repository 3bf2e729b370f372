"""A part that a build takes and that has no number for it.

Nobody could order it, and the bill would lack it.

Wrong:
    parts:
      primary-chain:
        title: Primary chain
        numbers: [{number: BV-2101, price: 84, when: {chain: roller}}]      # some builds are inverted-tooth
Right:
    parts:
      primary-chain:
        title: Primary chain
        numbers:
          - {number: BV-2101, price: 84, when: {chain: roller}}
          - {number: BV-2102, price: 96, when: {chain: inverted-tooth}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import Made, stands
from diagtree.rules.takings import fittings
from diagtree.rules.wording import build_names

ID = "missing-number"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such part, at its `numbers`, naming the builds."""
    left: dict[tuple[str, str], dict[str, Made]] = {}
    for engine, build, part, fits in fittings(library):
        if not fits and not _unreadable(library, engine.id, part.id, len(part.numbers)):
            left.setdefault((engine.id, part.id), {})[build.id] = (engine, build)
    for (name, part_id), made in left.items():
        message = (
            f"Part '{part_id}' has no number for {build_names(tuple(made.values()))}. "
            "Write the number, or a `when` that admits it."
        )
        yield problem(library.key("engine", name, "parts", part_id, "numbers"), ID, message, severity=SEVERITY)


def _unreadable(library: Library, engine: str, part: str, read: int) -> bool:
    """Whether a number stands there that could not be read."""
    return stands(library, "engine", engine, "parts", part, "numbers", read)
