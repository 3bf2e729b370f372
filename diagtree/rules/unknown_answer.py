"""An answer that is named and that its check has not.

In `then` it can never be given; in an engine's `limits` or in `never-after` it has no effect, and what was meant
goes unguarded; in a row of `given` its figure is lost.

Wrong:
    checks:
      oil-level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
    nodes:
      start: {check: oil-level, then: {lo: top-up, ok: soak}}
Right:
    nodes:
      start: {check: oil-level, then: {low: top-up, ok: soak}}
"""

from collections.abc import Container, Iterator, Mapping

from diagtree.model.library import Library
from diagtree.model.problem import Place, Problem, Severity, problem
from diagtree.rules.survey import stands
from diagtree.rules.wording import nearest

ID = "unknown-answer"
SEVERITY: Severity = "error"


def check(library: Library) -> Iterator[Problem]:
    """Yield a problem for each such name. Rows of `given` are held against the answers where they are read."""
    answers = {one.id: {answer.id for answer in one.answers} for one in library.checks.values() if one.answers}
    for check_id, name, place in _unknown(library, answers):
        if not stands(library, "checks", check_id, "answers", name):
            message = f"Check '{check_id}' has no answer '{name}'. Correct the name, or delete it."
            hint = nearest("answer", name, (answer.id for answer in library.checks[check_id].answers))
            yield problem(place, ID, message, hint=hint, severity=SEVERITY)


def _unknown(library: Library, answers: Mapping[str, Container[str]]) -> Iterator[tuple[str, str, Place]]:
    """Check, name and place of each name that is none of the check's answers, where these could be read."""
    for one in library.checks.values():
        for other, names in one.never_after.items():
            for index, name in enumerate(names):
                if name not in answers.get(other, (name,)):
                    yield other, name, library.value("checks", one.id, "never-after", other, index)
    yield from _in_limits(library, answers)
    for tree in library.trees.values():
        for node in tree.questions:
            for name in node.then:
                if name not in answers.get(node.check, (name,)):
                    yield node.check, name, library.key("tree", tree.id, "nodes", node.id, "then", name)


def _in_limits(library: Library, answers: Mapping[str, Container[str]]) -> Iterator[tuple[str, str, Place]]:
    for engine in library.engines.values():
        for limited, bands in engine.limits.items():
            one = library.checks.get(limited)
            if one is None or one.kind != "reading":  # has its own problem
                continue
            for name in bands:
                if name not in answers.get(limited, (name,)):
                    yield limited, name, library.key("engine", engine.id, "limits", limited, name)
