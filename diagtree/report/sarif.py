"""Problems as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format) and as lines that a CI server marks.

Columns count Unicode code points, from 1. Paths are relative to the folder that the command ran in.
"""

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from typing import Any
from urllib.parse import quote

from diagtree import __version__
from diagtree.model.problem import Problem

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_FINGERPRINT = "diagtreeProblem/v1"


def as_sarif(problems: Sequence[Problem], texts: Mapping[str, str], manual: Mapping[str, str]) -> str:
    """One run with every problem.

    Args:
        problems: in report order.
        texts: file -> its text, for the fingerprints.
        manual: rule id -> its manual entry.
    """
    rules = sorted({problem.rule for problem in problems} | set(manual))
    index = {rule: at for at, rule in enumerate(rules)}
    run = {
        "tool": {
            "driver": {
                "name": "diagtree",
                "version": __version__,
                "rules": [_rule(rule, manual.get(rule, "")) for rule in rules],
            }
        },
        "columnKind": "unicodeCodePoints",
        "results": [
            _result(problem, index[problem.rule], print_of)
            for problem, print_of in zip(problems, _fingerprints(problems, texts), strict=True)
        ],
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2) + "\n"


def _rule(rule: str, entry: str) -> dict[str, Any]:
    first = entry.strip().split("\n", 1)[0] or rule
    return {
        "id": rule,
        "shortDescription": {"text": first},
        "fullDescription": {"text": entry.strip() or first},
        "help": {"text": entry.strip() or first},
    }


def _result(problem: Problem, index: int, fingerprint: str) -> dict[str, Any]:
    text = f"{problem.message} {problem.help}" if problem.help else problem.message
    region = {
        "startLine": problem.line,
        "startColumn": problem.column,
        "endLine": problem.end_line,
        "endColumn": problem.end_column,
    }
    place = {"artifactLocation": {"uri": uri(problem.file)}, "region": region}
    return {
        "ruleId": problem.rule,
        "ruleIndex": index,
        "level": problem.severity,
        "message": {"text": text},
        "locations": [{"physicalLocation": place}],
        "partialFingerprints": {_FINGERPRINT: fingerprint},
    }


def relative(file: str) -> str:
    """A file as seen from the folder that the command runs in, with forward slashes."""
    try:
        shown = os.path.relpath(file)
    except ValueError:  # another drive
        shown = file
    return shown.replace(os.sep, "/")


def uri(file: str) -> str:
    """A relative URI reference for a file."""
    return quote(relative(file), safe="/")


def _fingerprints(problems: Iterable[Problem], texts: Mapping[str, str]) -> list[str]:
    """A mark for each problem that stays when lines are inserted above it.

    Made of the rule, the file, the line's own text and the count of equal ones before it. The message is left out:
    it may name another line's number.
    """
    lines: dict[str, list[str]] = {}
    seen: dict[tuple[str, str, str], int] = {}
    marks = []
    for problem in problems:
        if problem.file not in lines:
            lines[problem.file] = texts.get(problem.file, "").split("\n")
        within = lines[problem.file]
        line = within[problem.line - 1].strip() if problem.line <= len(within) else ""
        key = (problem.rule, uri(problem.file), line)
        seen[key] = seen.get(key, -1) + 1
        marks.append(sha256("\0".join((*key, str(seen[key]))).encode("utf-8", "replace")).hexdigest()[:32])
    return marks


def as_annotations(problems: Sequence[Problem]) -> str:
    """A line a problem, in the workflow-command form that CI servers turn into marks beside the source."""
    return "".join(_annotation(problem) for problem in problems)


def _annotation(problem: Problem) -> str:
    text = f"{problem.message} {problem.help}" if problem.help else problem.message
    where = {
        "file": relative(problem.file),
        "line": problem.line,
        "endLine": problem.end_line,
        "col": problem.column,
        "endColumn": problem.end_column,
        "title": problem.rule,
    }
    properties = ",".join(f"{name}={_property(str(value))}" for name, value in where.items())
    return f"::{problem.severity} {properties}::{_data(text)}\n"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
