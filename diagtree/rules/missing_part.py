"""A part that a check takes and that an engine has not, though a tree with this check serves it.

The check has no price there, and what it uses up can't be ordered.

Wrong:
    checks:
      cut-filter: {ask: Metal in the pleats?, hours: 0.3, takes: {oil-filter: 1}, answers: {...}}
    engine: brennick-i4
    parts: {}
Right:
    engine: brennick-i4
    parts:
      oil-filter: {title: Oil filter, numbers: [{number: BI-1001, price: 9}]}
"""

from collections.abc import Iterator

from diagtree.graph.serving import engines
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import has_part, served_checks
from diagtree.rules.wording import listed, nearest

ID = "missing-part"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such part, at the check's `takes`, naming the engines."""
    made = engines(library)
    lacking: dict[tuple[str, str], list[str]] = {}
    for one, engine, applying in served_checks(library):
        for take in one.takes if applying else ():
            elsewhere = any(has_part(library, other, take.part) for other in made)  # else it is an unknown part
            if elsewhere and not has_part(library, engine, take.part):
                lacking.setdefault((one.id, take.part), []).append(engine.id)
    for (name, part), without in lacking.items():
        message = (
            f"No part '{part}' stands in {listed(without)}, where this check is used. "
            "Write the part there, or say `when` the check applies."
        )
        hint = nearest("part", part, library.engines[without[0]].parts)
        yield problem(library.key("checks", name, "takes", part), ID, message, hint=hint, severity=SEVERITY)
