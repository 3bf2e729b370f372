"""What the page knows: trees, checks and their tables, cautions, work, as plain data."""

from typing import Any, TypeAlias

import numpy as np

from diagtree.draw.addresses import addresses
from diagtree.measure.bands import bands_on
from diagtree.measure.showing import clear_of, shop_unit
from diagtree.measure.units import UnitTrouble, factors
from diagtree.model.check import Band, Check
from diagtree.model.library import NOTICE
from diagtree.model.tree import Node, Outcome, Question, Tree
from diagtree.reason.tables import Floats, tables
from diagtree.report import chances
from diagtree.report.page.advising import advice
from diagtree.report.page.ground import Ground
from diagtree.report.page.scopes import scope_tables
from diagtree.report.question import asked_anew
from diagtree.report.scope_words import LEVEL_WORDS
from diagtree.walk.answers import takes_offsets

Data: TypeAlias = dict[str, Any]


def page_data(ground: Ground) -> Data:
    """Everything that the page's program works on."""
    library, engine = ground.library, ground.engine
    return {
        "notice": NOTICE,
        "start": ground.trees[0].id,
        "engine": engine.title if library.engines else "",
        "build": ground.build.id if engine.builds else "",
        "engines": bool(library.engines),
        "trees": {tree.id: _tree(ground, tree) for tree in ground.trees},
        "checks": {check.id: _check(ground, check) for check in ground.checks},
        "faults": {name: _fault(ground, name) for name in _faults(ground)},
        "cautions": {
            name: {"level": one.level, "word": LEVEL_WORDS[one.level], "say": one.say}
            for name, one in ground.cautions.items()
        },
        "codes": dict(library.codes),
        "work": {name: list(step.cautions) for name, step in ground.work.steps.items()},
        # An id may be a number, and JavaScript puts such keys of an object first.
        "order": {"checks": [check.id for check in ground.checks], "work": list(ground.work.steps)},
        "advice": advice(ground),
        **scope_tables(ground),
    }


def _faults(ground: Ground) -> list[str]:
    named = [name for outcome in ground.outcomes for name in outcome.faults]
    return [name for name in dict.fromkeys(named) if name in ground.library.faults]


def _fault(ground: Ground, name: str) -> Data:
    fault = ground.library.faults[name]
    return {
        "title": fault.title,
        "why": fault.why,
        "verify": list(fault.verify),
        "cautions": list(fault.cautions),
    }


def _tree(ground: Ground, tree: Tree) -> Data:
    known = tables(ground.library, tree, (ground.build,), [check.id for check in ground.checks])
    prior = known.log_prior[:, 0]
    return {
        "title": tree.title,
        "ground": chances.ground(tree),
        "covers": tree.covers,
        "edition": _edition(tree),
        "start": tree.start,
        "cautions": list(tree.cautions),
        "nodes": {name: _node(node) for name, node in tree.nodes.items()},
        "at": dict(addresses(ground.read, tree)),
        "causes": [
            {
                "id": cause,
                "title": chances.title(ground.library, cause),
                "log": float(prior[at]) if np.isfinite(prior[at]) else None,
                "mends": _mends(ground, cause) if cause in known.faults else None,
            }
            for at, cause in enumerate(known.causes)
        ],
        "rows": {check: _row(rows) for check, rows in known.rows.items()},
    }


def _edition(tree: Tree) -> list[str]:
    """Which state of a tree this is, for those who hold a print of it."""
    return [
        f"{word}: {text}"
        for word, text in (("Revision", tree.revision), ("Date", tree.date), ("Source", tree.source))
        if text
    ]


def _mends(ground: Ground, fault: str) -> list[str]:
    return [step for step in ground.library.faults[fault].repair if step in ground.work.steps]


def _row(rows: Floats) -> Data:
    """P(answer | cause): the distinct columns, and which of them each cause has."""
    columns, of = np.unique(rows.T, axis=0, return_inverse=True)
    return {"columns": columns.tolist(), "of": of.reshape(-1).tolist()}


def _node(node: Node) -> Data:
    match node:
        case Question():
            return {"check": node.check, "then": dict(node.then), "else": node.otherwise, "note": node.note}
        case Outcome():
            return {"faults": list(node.faults), "note": node.note, "cautions": list(node.cautions)}
        case _:
            return {"tree": node.tree, "note": node.note}


def _check(ground: Ground, check: Check) -> Data:
    shown = asked_anew(ground.start, check)
    offsets = takes_offsets(check, ground.engine)
    data: Data = {
        "ask": check.ask,
        "kind": check.kind,
        "answers": [
            {"id": answer.id, "text": answer.text, "shown": choice.text}
            for answer, choice in zip(check.answers, shown.choices, strict=True)
        ],
        "how": check.how,
        "tools": f"Tools: {', '.join(check.tools)}." if check.tools else "",
        "needs": {"cold": "The engine must be cold.", "hot": "The engine must be hot."}.get(check.needs or "", ""),
        "wait": f"Wait {check.wait:g} h before the answer." if check.wait else "",
        "takes": _takes(check),
        "hint": "Choose the pattern. `diagtree timing` and `diagtree walk` tell it from offsets in degrees."
        if offsets
        else "",
        "applies": ground.applies(check),
        "never": {other: list(answers) for other, answers in check.never_after.items()},
        "behind": ground.ordered(ground.closed(check.behind)) if ground.applies(check) else [],
        "opens": bool(check.behind),
        "cautions": list(check.cautions),
        "independent": check.independent,
    }
    if check.kind == "codes":
        data |= {
            "groups": [[list(group) for group in answer.groups] for answer in check.answers],
            "hint": "Type the codes, such as P0016+P0018, or - for none.",
        }
    return data | (_reading(ground, check) if check.kind == "reading" else {})


def _takes(check: Check) -> str:
    minutes = round(check.hours.mean * 60)
    if not check.hours.mean:
        return ""
    return f"Takes about {minutes} minutes." if minutes < 90 else f"Takes about {check.hours.mean:.1f} hours."


def _reading(ground: Ground, check: Check) -> Data:
    unit, sure = (check.gauge.unit, check.gauge.uncertainty) if check.gauge else ("", 0.0)
    bands = tuple(bands_on(check, ground.engine).values())
    shop = ground.library.rates.units
    units: list[Data] = [{"unit": unit, "scale": ["1", "1"], "offset": ["0", "1"]}]
    other = shop_unit(unit, shop)
    line = factors(other, unit) if other else None
    if other and line is not None and not isinstance(line, UnitTrouble):
        scale, offset = ([str(part.numerator), str(part.denominator)] for part in line)
        units.append({"unit": other, "scale": scale, "offset": offset})
    clear = clear_of(sure, unit, bands, shop)
    return {
        "hint": "Type the reading.",
        "unit": unit,
        "uncertainty": sure,
        "bands": [[band.start, band.end] for band in bands],
        "plausible": [check.plausible.start, check.plausible.end] if check.plausible else None,
        "between": _between(check.plausible, unit),
        "units": units,
        "clear": f"Clear are readings {clear}." if clear else "",
    }


def _between(span: Band | None, unit: str) -> str:
    if span is None:
        return ""
    if span.start is None or span.end is None:
        end, side = (span.end, "less") if span.start is None else (span.start, "more")
        return "" if end is None else f"It should be {end:g} {unit} or {side}."
    return f"It should be from {span.start:g} to {span.end:g} {unit}."
