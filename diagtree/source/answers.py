"""A file of answers that are known already: a YAML mapping of checks."""

from diagtree.model.problem import Problem, problem
from diagtree.source import files
from diagtree.source.composer import compose
from diagtree.source.nodes import Mapping, Node, Scalar, Sequence, value_place

RULE = "answers-file"


def read_answers(path: str) -> tuple[dict[str, str], tuple[Problem, ...]]:
    """Check id -> the answer as it would be typed, and every problem found.

    A list is stored trouble codes, `[P0016, P0018]`; a mapping is one number for each camshaft, `{intake-1: -4}`.
    """
    problems: list[Problem] = []
    text = files.read(path, problems)
    documents = compose(text, problems) if text else []
    answers: dict[str, str] = {}
    for document in documents:
        entries = document.entries if isinstance(document, Mapping) else {"": document}
        for name, node in entries.items():
            typed = _typed(node) if name else None
            if typed is not None:
                answers[name] = typed
            elif text:
                message = "This is no answer. Write CHECK: ANSWER, such as oil-level: ok."
                problems.append(problem(value_place(text, node), RULE, message))
    return answers, tuple(problems)


def _typed(node: Node) -> str | None:
    match node:
        case Scalar():
            return node.text
        case Sequence():
            words = [item.text for item in node.items if isinstance(item, Scalar)]
            return "+".join(words) if len(words) == len(node.items) else None
        case Mapping():
            pairs = [f"{name}:{value.text}" for name, value in node.entries.items() if isinstance(value, Scalar)]
            return ",".join(pairs) if pairs and len(pairs) == len(node.entries) else None
