"""Which closed jobs end elsewhere after an edit, as text and data."""

from typing import Any

from diagtree.jobs.comparing import Elsewhere, End, Replays
from diagtree.report.lines import COLUMNS, hang, join

_MOST = 20  # that people read; JSON has all


def as_text(found: Replays, columns: int = COLUMNS) -> str:
    """For people: how many of the shop's own closed jobs end elsewhere, and the first of them."""
    many = len(found.moved)
    if not found.jobs:
        return "There are no closed jobs to walk again.\n"
    head = f"Of {found.jobs} closed job{'' if found.jobs == 1 else 's'}, {many or 'none'} would end elsewhere"
    lines = [f"{head}{':' if many else '.'}"]
    for one in found.moved[:_MOST]:
        lines += hang("-", f"{one.number}, {one.tree}: {_moved(one)}", 2, columns)
    if many > _MOST:
        lines.append(f"... and {many - _MOST} more; --json has all.")
    return "\n".join(lines) + "\n"


def as_data(found: Replays) -> dict[str, Any]:
    """The same as data; `faults` is null where the answers come to no outcome."""
    return {
        "closed": found.jobs,
        "elsewhere": [
            {
                "number": one.number,
                "tree": one.tree,
                "before": _end(one.before),
                "after": _end(one.after),
                "found": list(one.found),
                "misfits": one.misfits,
            }
            for one in found.moved
        ],
    }


def _moved(one: Elsewhere) -> str:
    told = f"{_words(one.before)} -> {_words(one.after)}."
    if one.misfits:
        told += f" {one.misfits} answer{'s do' if one.misfits > 1 else ' does'} not fit any more."
    return f"{told} Found: {join(one.found)}." if one.found else told


def _words(end: End) -> str:
    if end.check:
        return f"asks '{end.check}'"
    return end.why or join(end.faults)


def _end(end: End) -> dict[str, Any]:
    return {"faults": list(end.faults) or None, "check": end.check or None, "why": end.why or None}
