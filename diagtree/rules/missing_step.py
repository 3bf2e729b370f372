"""A work step that a tree needs and that an engine named in its `engines` has not.

On that engine the check could not be reached, or the repair not be done, and neither would have a price.

Wrong:
    engines: [brennick-v8, brennick-i4]      # brennick-i4 has no step rocker-covers-off
    nodes:
      look: {check: guide-visible, then: {...}}    # behind: [rocker-covers-off]
Right: write the step in the engine's work, say `when` the check applies, or take the engine out of `engines`.
"""

from collections.abc import Iterator

from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import lacks
from diagtree.rules.wording import nearest

ID = "missing-step"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such step, at the engine's name in `engines`."""
    for tree in library.trees.values():
        for index, name in enumerate(tree.engines or ()):
            engine = library.engines.get(name)
            for lack in lacks(library, tree, engine) if engine else ():
                message = (
                    f"'{name}' has no step '{lack.step}', which {lack.owner} needs. "
                    "Write the step, or take the engine out of `engines`."
                )
                place = library.value("tree", tree.id, "engines", index)
                hint = nearest("step", lack.step, engine.work if engine else ())
                yield problem(place, ID, message, hint=hint, severity=SEVERITY)
