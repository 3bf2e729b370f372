"""The manual of the rules, as text and JSON."""

import json
from collections.abc import Iterable


def entry_text(rule: str, severity: str, manual: str) -> str:
    """One rule's entry."""
    return f"{rule} ({severity})\n\n{manual.strip()}\n"


def entry_json(rule: str, severity: str, manual: str) -> str:
    """One rule's entry."""
    return json.dumps({"rule": rule, "severity": severity, "manual": manual.strip()}, indent=2) + "\n"


def list_text(rules: Iterable[tuple[str, str, str]]) -> str:
    """A line a rule: its id, its severity, what it finds."""
    rows = list(rules)
    widest = max((len(rule) for rule, _, _ in rows), default=0)
    return "".join(f"{rule:{widest}}  {severity:7}  {_first(manual)}\n" for rule, severity, manual in rows)


def list_json(rules: Iterable[tuple[str, str, str]]) -> str:
    """The same as one object."""
    rows = [{"rule": rule, "severity": severity, "finds": _first(manual)} for rule, severity, manual in rules]
    return json.dumps({"rules": rows}, indent=2) + "\n"


def _first(manual: str) -> str:
    return manual.strip().split("\n", 1)[0]
