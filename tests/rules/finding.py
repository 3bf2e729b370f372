"""What rules find in a library written in a test."""

from pathlib import Path

from diagtree.model.library import Library
from diagtree.rules import registry
from diagtree.source.reader import read

Found = tuple[int, int, str, str]  # line, column, message, help


def library(folder: Path, text: str) -> Library:
    """The library of one YAML text."""
    path = folder / "library.yaml"
    path.write_text(text, encoding="utf-8")
    return read(str(path)).library


def find(folder: Path, rule_id: str, text: str) -> list[Found]:
    """What one rule finds. Each problem must carry the rule's id and severity and lie in the text."""
    rule = registry.rule(rule_id)
    assert rule
    problems = registry.problems(library(folder, text), (rule,))
    assert {(one.rule, one.severity, Path(one.file).name) for one in problems} <= {
        (rule_id, rule.severity, "library.yaml")
    }
    return [(one.line, one.column, one.message, one.help) for one in problems]


def errors(folder: Path, text: str) -> list[tuple[int, str]]:
    """Line and rule of all that reading and the structural rules find."""
    path = folder / "library.yaml"
    path.write_text(text, encoding="utf-8")
    found = read(str(path))
    problems = (*found.problems, *registry.problems(found.library, registry.structural(whole=found.whole)))
    return [(one.line, one.rule) for one in sorted(problems)]
