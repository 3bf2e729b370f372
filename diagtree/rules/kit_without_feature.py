"""A kit that holds a part whose number depends on a feature which the kit's own `when` does not name.

The kit would be bought for builds that its parts do not fit.

Wrong:
    parts:
      primary-chain:
        title: Primary chain
        numbers:
          - {number: BV-2101, price: 84, when: {chain: roller}}
          - {number: BV-2102, price: 96, when: {chain: inverted-tooth}}
    kits:
      - {number: BV-K10, title: Timing kit, price: 389, holds: {primary-chain: 1}}
Right:
    kits:
      - {number: BV-K10, title: Timing kit, price: 389, when: {chain: inverted-tooth}, holds: {primary-chain: 1}}
"""

from collections.abc import Iterator

from diagtree.model.engine import Engine, Kit
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import stands
from diagtree.rules.wording import listed

ID = "kit-without-feature"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such part, at its name in `holds`."""
    for engine in library.engines.values():
        for index, kit in enumerate(engine.kits):
            for name in kit.holds:
                absent = _absent(library, engine, index, kit, name)
                if absent:
                    message = (
                        f"The number of part '{name}' depends on {listed(absent)}, which this kit's `when` "
                        "does not name. Say there which builds the kit fits."
                    )
                    place = library.key("engine", engine.id, "kits", index, "holds", name)
                    yield problem(place, ID, message, severity=SEVERITY)


def _absent(library: Library, engine: Engine, index: int, kit: Kit, name: str) -> list[str]:
    part = engine.parts.get(name)
    features = dict.fromkeys(feature for one in part.numbers for feature in one.when.features) if part else {}
    named = kit.when.features
    return [
        feature
        for feature in features
        if feature not in named and not stands(library, "engine", engine.id, "kits", index, "when", feature)
    ]
