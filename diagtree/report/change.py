"""What an edit of a library does in effect, as programs read it. `change_text` is how people read it."""

import json
from collections.abc import Iterable
from typing import Any, TypeAlias

from diagtree.estimate.change import Change, Entries
from diagtree.estimate.figures import RowMove
from diagtree.estimate.moves import Moved, Reached, Refused, Where
from diagtree.estimate.scopes import Goods, ScopeMove
from diagtree.model.library import NOTICE
from diagtree.report.change_text import as_text
from diagtree.report.scope import number

__all__ = ["as_dict", "as_json", "as_text"]

Data: TypeAlias = dict[str, Any]


def as_json(change: Change) -> str:
    """`as_dict` as one JSON object."""
    return json.dumps(as_dict(change), indent=2) + "\n"


def as_dict(change: Change) -> Data:
    """A change as data: ids as in the files, probabilities 0..1, hours and money as numbers.

    `engine` is null, and `builds` empty, where the libraries state none. `searched` false: more may have moved.
    """
    return {
        "notice": NOTICE,
        "moved": [_moved(change, one) for one in change.moved],
        "refused": [_refused(change, one) for one in change.refused],
        "unreachable": [_reached(change, one) for one in change.reached if one.when == "before"],
        "reachable": [_reached(change, one) for one in change.reached if one.when == "after"],
        "scopes": [_scope(change, one) for one in change.scopes],
        "weights": [
            {"tree": one.tree, "engine": _engine(change, one.engine), "fault": one.cause}
            | {"before": one.before, "after": one.after}
            for one in change.weights
        ],
        "walk_costs": [
            {"tree": one.tree, "engine": _engine(change, one.engine), "build": one.build}
            | {"before": one.before, "after": one.after}
            for one in change.walks
        ],
        "tables": [_row(one) for one in change.rows],
        "added": _entries(change.added),
        "removed": _entries(change.removed),
        "edits": [{"kind": one.kind, "id": one.id, "keys": list(one.keys)} for one in change.edits],
        "searched": change.searched,
        "cut": [_where(change, one.where) | {"states": one.states} for one in change.cut],
        "currency": {"before": change.old.rates.currency, "after": change.new.rates.currency},
    }


def _engine(change: Change, engine: str) -> str | None:
    return engine if engine in change.old.engines else None


def _builds(change: Change, engine: str, builds: Iterable[str]) -> list[str]:
    made = change.old.engines.get(engine)
    return list(builds) if made and made.builds else []


def _where(change: Change, where: Where) -> Data:
    builds = _builds(change, where.engine, where.builds)
    return {"tree": where.tree, "engine": _engine(change, where.engine), "builds": builds}


def _answers(one: Moved | Refused) -> dict[str, str]:
    return {check: reply.text for check, reply in one.answers.items()}


def _moved(change: Change, one: Moved) -> Data:
    ends = {"before": list(one.before), "after": list(one.after)}
    return _where(change, one.where) | ends | {"answers": _answers(one)}


def _refused(change: Change, one: Refused) -> Data:
    return _where(change, one.where) | {"when": one.when, "check": one.check, "answers": _answers(one)}


def _reached(change: Change, one: Reached) -> Data:
    return _where(change, one.where) | {"outcome": list(one.faults)}


def _scope(change: Change, one: ScopeMove) -> Data:
    before, after = one.before, one.after
    return {
        "fault": one.fault,
        "engine": _engine(change, one.engine),
        "builds": _builds(change, one.engine, one.builds),
        "steps": {"added": list(one.steps_added), "removed": list(one.steps_removed)},
        "hours": {"before": number(before.hours), "after": number(after.hours)},
        "parts": {"added": _goods(one.parts_added), "removed": _goods(one.parts_removed)},
        "parts_cost": {"before": number(before.parts_cost), "after": number(after.parts_cost)},
        "cost": {"before": number(before.cost), "after": number(after.cost)},
    }


def _goods(goods: Iterable[Goods]) -> list[Data]:
    return [{"part": one.part.id, "number": one.number or None, "quantity": number(one.quantity)} for one in goods]


def _row(one: RowMove) -> Data:
    before, after = dict(one.before), dict(one.after)
    answers = dict.fromkeys((*before, *after))
    shown = {answer: {"before": before.get(answer, 0.0), "after": after.get(answer, 0.0)} for answer in answers}
    return {"check": one.check, "faults": list(one.causes), "answers": shown}


def _entries(entries: Entries) -> Data:
    return {
        "trees": list(entries.trees),
        "checks": list(entries.checks),
        "faults": list(entries.faults),
        "engines": list(entries.engines),
        "builds": [{"engine": engine, "build": build} for engine, build in entries.builds],
        "answers": [{"check": check, "answer": answer} for check, answer in entries.answers],
        "serves": [{"tree": tree, "engine": engine} for tree, engine in entries.serves],
    }
