"""A repair step that the other steps of the same repair bring with them.

It stands there for nothing: the scope is the same without it. And who takes it out of the other step one day will
wonder why it is still done. Told only where it holds in every build that has the step.

Wrong:
    faults:
      chain-worn: {..., repair: [front-cover-off, renew-primary-chain]}
    work:
      renew-primary-chain: {title: Renew the chain, hours: 0.4, after: [front-cover-off]}
Right:
    faults:
      chain-worn: {..., repair: [renew-primary-chain]}
"""

from collections.abc import Iterator

from diagtree.graph.labour import Labour, closure, labour
from diagtree.graph.serving import engines
from diagtree.model.fault import Fault
from diagtree.model.library import Library
from diagtree.model.problem import Problem, Severity, problem
from diagtree.rules.survey import sound_builds
from diagtree.rules.wording import listed, plural

ID = "idle-repair"
SEVERITY: Severity = "warning"


def check(library: Library) -> Iterator[Problem]:
    """Yield a warning for each such step, at its place in `repair`."""
    made = [labour(engine, build) for engine in engines(library) for build in sound_builds(engine)]
    for fault in library.faults.values():
        if len(fault.repair) > 1:
            yield from _idle(library, fault, [work for work in made if fault.when.admits(work.build.features)])


def _idle(library: Library, fault: Fault, made: list[Labour]) -> Iterator[Problem]:
    left = list(enumerate(fault.repair))
    for index, step in reversed(tuple(left)):  # of two that bring each other the later one goes
        others = [other for at, other in left if at != index]
        having = [work for work in made if step in work.steps]
        if having and all(step in closure(work, others) for work in having):
            left.remove((index, step))
            by = [one for one in dict.fromkeys(others) if any(step in closure(work, (one,)) for work in having)]
            verb = "bring" if len(by) > 1 else "brings"
            message = f"The {plural('step', len(by))} {listed(by)} {verb} '{step}' along in every build. Take it out."
            yield problem(library.value("faults", fault.id, "repair", index), ID, message, severity=SEVERITY)
