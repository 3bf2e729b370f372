"""A part that a build takes and that has more than one number for it.

Which of them fits can't be told, and the parts do not mix.

Wrong:
    numbers:
      - {number: BV-2101, price: 84, when: {chain: roller}}
      - {number: BV-2102, price: 96}
Right:
    numbers:
      - {number: BV-2101, price: 84, when: {chain: roller}}
      - {number: BV-2102, price: 96, when: {chain: inverted-tooth}}
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import Made
from diagtree.rules.takings import fittings
from diagtree.rules.wording import build_names, listed

ID = "two-numbers"
SEVERITY: Severity = "error"

_Builds = dict[str, Made]


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each set of numbers that admit the same builds, at the last of them."""
    left: dict[tuple[str, str, tuple[int, ...]], _Builds] = {}
    for engine, build, part, fits in fittings(library):
        if len(fits) > 1:
            left.setdefault((engine.id, part.id, fits), {})[build.id] = (engine, build)
    for (name, part_id, fits), made in left.items():
        numbers = library.engines[name].parts[part_id].numbers
        message = (
            f"Part '{part_id}' has the numbers {listed(numbers[index].number for index in fits)} for "
            f"{build_names(tuple(made.values()))}. Say in each number's `when` which builds it fits."
        )
        place = library.value("engine", name, "parts", part_id, "numbers", fits[-1], "number")
        yield problem(place, ID, message, severity=SEVERITY)
