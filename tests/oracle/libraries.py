"""Small random libraries, valid by the formats page, one YAML text for each seed."""

from __future__ import annotations

from datetime import date
from itertools import product
from random import Random
from typing import TYPE_CHECKING, Any

import yaml
from hypothesis import strategies as st

if TYPE_CHECKING:
    from tests.oracle.reading import Table

DUMPER: Any = getattr(yaml, "CSafeDumper", yaml.SafeDumper)  # the same in C, where it is there
FEATURES = {"size": ["small", "large"], "drive": ["1", "2", "3"]}
BUILDS = [dict(zip(FEATURES, values, strict=True)) for values in product(*FEATURES.values())]


def libraries() -> st.SearchStrategy[str]:
    """Draw library texts for property tests."""
    return st.integers(0, 2**32 - 1).map(random_library)


def random_library(seed: int) -> str:
    """Give a library with a shop, one engine, faults, checks and the tree `trial`."""
    random = Random(seed)
    engine = _engine(random)
    faults = _faults(random, engine)
    checks = _checks(random, engine, list(faults))
    documents = [
        _shop(random),
        {"cautions": {"pinch": {"say": "Keep fingers clear.", "level": "stop"}, "hot": "It is hot."}},
        {"faults": faults},
        {"checks": checks},
        engine,
        _tree(random, faults, checks),
    ]
    return str(yaml.dump_all(documents, Dumper=DUMPER, sort_keys=False, width=100))


def _shop(random: Random) -> Table:
    return {
        "shop": "trial-shop",
        "name": "Trial Shop (invented)",
        "currency": "EUR",
        "labour-rate": random.choice([1, 60, 87.5]),
        "tax": random.choice([0, 19.5]),
        "goodwill": random.choice([0, 45, 600]),
    }


def _when(random: Random, chance: float) -> Table:
    """Give a condition on one feature, or (mostly) none."""
    if random.random() >= chance:
        return {}
    feature = random.choice(list(FEATURES))
    values = random.sample(FEATURES[feature], random.randint(1, len(FEATURES[feature]) - 1))
    return {"when": {feature: values[0] if len(values) == 1 else values}}


def _engine(random: Random) -> Table:
    parts = _parts(random)
    return {
        "engine": "trial-engine",
        "title": "Trial engine (invented)",
        "features": {name: {"title": name, "values": list(values)} for name, values in FEATURES.items()},
        "builds": _builds(random),
        "limits": {"gauge": _gauge_bands(random, words=False)} if random.random() < 0.5 else {},
        "work": _work(random, list(parts)),
        "parts": parts,
        "kits": _kits(random, parts),
    }


def _builds(random: Random) -> Table:
    """Give three to five builds that between them have every value of every feature."""
    while True:
        chosen = random.sample(BUILDS, random.randint(3, 5))
        if all({one[name] for one in chosen} == set(values) for name, values in FEATURES.items()):
            break
    return {f"b{place}": {"share": random.randint(1, 9), **one} for place, one in enumerate(chosen)}


def _parts(random: Random) -> Table:
    parts: Table = {}
    for place in range(random.randint(4, 6)):
        part: Table = {"title": f"Part {place}"}
        if random.random() < 0.4:
            part["single-use"] = "It is crushed."
        if place == 0:
            part["unit"] = "l"
        split = random.choice([None, None, *FEATURES]) if place else None
        cases = [(None, "")] if split is None else [(value, f"-{value[0].upper()}") for value in FEATURES[split]]
        part["numbers"] = [
            {"number": f"P{place}0{suffix}", "price": random.randint(100, 9000) / 100}
            | ({} if value is None else {"when": {split: value}})
            for value, suffix in cases
        ]
        parts[f"part-{place}"] = part
    return parts


def _quantity(random: Random, part: str) -> Any:
    whole = [random.randint(1, 3) for _ in range(3)]
    if part == "part-0":
        return random.choice([0.25, 1.5, 2])
    if random.random() < 0.3:
        feature = random.choice(list(FEATURES))
        return {feature: dict(zip(FEATURES[feature], whole, strict=False))}
    return whole[0]


def _hours(random: Random) -> Any:
    low = random.randint(1, 20)
    if random.random() < 0.7:
        return low / 10
    likely = low + random.randint(0, 10)
    return [low / 10, likely / 10, (likely + random.randint(1, 20)) / 10]


def _work(random: Random, parts: list[str]) -> Table:
    """Give a work graph: `after` and `follows` look back, `brings` anywhere; step-0 and step-1 fit every build."""
    work: Table = {}
    names = [f"step-{place}" for place in range(random.randint(5, 9))]
    for place, name in enumerate(names):
        before = names[:place]
        others = [one for one in names if one != name]
        step: Table = {"title": f"Step {place}", "hours": _hours(random)}
        step["after"] = random.sample(before, min(len(before), random.choice([0, 1, 1, 2])))
        free = [one for one in before if one not in step["after"]]
        step["follows"] = random.sample(free, min(len(free), random.choice([0, 0, 1])))
        step["brings"] = dict.fromkeys(random.sample(others, random.choice([0, 0, 0, 1])), "It wore with it.")
        step["takes"] = {one: _quantity(random, one) for one in random.sample(parts, random.choice([0, 1, 1, 2, 3]))}
        if place > 1:
            step |= _when(random, 0.35)
            step |= {"offer": "It is at hand."} if random.random() < 0.35 else {}
        work[name] = step
    return work


def _kits(random: Random, parts: Table) -> list[Table]:
    kits = []
    pieces = [name for name in parts if "unit" not in parts[name]]
    for place in range(random.randint(0, 3)):
        holds = {name: random.randint(1, 3) for name in random.sample(pieces, random.randint(2, 3))}
        when: dict[str, str] = {}
        single = 0.0
        for name, held in holds.items():
            numbers = parts[name]["numbers"]
            for feature in numbers[0].get("when", {}):
                when.setdefault(feature, random.choice(FEATURES[feature]))
            fits = [one for one in numbers if one.get("when", {}).items() <= when.items()]
            single += held * fits[0]["price"]
        price = round(single * random.choice([0.35, 0.6, 0.85, 1.1]), 2)
        kits.append({"number": f"K{place}", "title": f"Kit {place}", "price": price, "when": when, "holds": holds})
    return kits


def _faults(random: Random, engine: Table) -> Table:
    """Give three to five faults; each has a step in every build; the last may exist in some builds only."""
    steps = [name for name in engine["work"] if not engine["work"][name].get("offer")]
    count = random.randint(3, 5)
    faults: Table = {}
    for place in range(count):
        repair = [random.choice(["step-0", "step-1"]), *random.sample(steps, random.randint(0, 2))]
        faults[f"fault-{place}"] = {
            "title": f"Fault {place}",
            "why": "It wore.",
            "repair": sorted(set(repair)) if place or random.random() < 0.7 else [],
            "verify": ["It runs."],
            "if-missed": random.choice([0, 0, 250]),
        }
    faults["fault-1"]["kind-of"] = "fault-0"
    faults[f"fault-{count - 1}"] |= _when(random, 0.6)
    return faults


def _row(random: Random, answers: list[str]) -> Any:
    if random.random() < 0.25:
        words = random.sample(["improbable", "uncertain", "expected", "probable"], 3)
        return dict(zip(answers, words, strict=False))
    if len(answers) == 2 and random.random() < 0.4:
        return random.randint(1, 99)
    return {answer: random.randint(1, 60) for answer in answers}


def _gauge_bands(random: Random, *, words: bool) -> Table:
    low = random.randint(10, 30) / 10
    bands: Table = {"under": {"below": low}, "fair": {"from": low, "below": low + 3}, "over": {"from": low + 3}}
    if words:
        for name, band in bands.items():
            band["is"] = name.capitalize()
    return bands


def _checks(random: Random, engine: Table, faults: list[str]) -> Table:
    """Give `guard` (of the last fault's builds), `gauge` (a reading in bar) and two to four plain checks."""
    always = [name for name, step in engine["work"].items() if "when" not in step and "offer" not in step]
    checks: Table = {}
    for name in ["guard", "gauge", *(f"look-{place}" for place in range(random.randint(2, 4)))]:
        answers = ["under", "fair", "over"] if name == "gauge" else ["yes", "no", "odd"][: random.randint(2, 3)]
        check: Table = {"ask": f"How is {name}?", "hours": random.randint(1, 8) / 10}
        if name == "gauge":
            check |= {"reading": {"unit": "bar", "uncertainty": 0.5}, "answers": _gauge_bands(random, words=True)}
        else:
            check["answers"] = {answer: answer.capitalize() for answer in answers}
        told = random.sample(faults, random.randint(1, len(faults)))
        check["given"] = {one: _row(random, answers) for one in ["default", *told]}
        check["slip"] = random.choice([0.01, 0.05])
        if random.random() < 0.4:
            check["behind"] = random.sample(always, 1)
        if random.random() < 0.2:
            check["takes"] = {"part-0": 0.5}
        if random.random() < 0.2:
            check["cautions"] = ["pinch"]
        checks[name] = check
    return checks


def _tree(random: Random, faults: Table, checks: Table) -> Table:
    """Give a chain of checks whose answers end, skip ahead, or go on; each fault has an outcome."""
    *common, last = faults
    guarded = faults[last].get("when")
    if guarded:
        checks["guard"]["when"] = guarded
    else:
        common.append(last)
    nodes: Table = {"final": {"outcome": random.sample(common, random.randint(1, 2))}}
    order = ["guard", *random.sample([name for name in checks if name != "guard"], len(checks) - 1)]
    waiting = list(common)
    for place, check in reversed(list(enumerate(order))):
        onward = f"ask-{order[place + 1]}" if place + 1 < len(order) else "final"
        then = dict.fromkeys(checks[check]["answers"], onward)
        first = next(iter(then))
        if check == "guard" and guarded:
            nodes["end-guard"] = {"outcome": last}
            then[first] = "end-guard"
        elif waiting:
            taken = [waiting.pop() for _ in range(min(len(waiting), random.randint(1, 2) if place > 1 else 9))]
            nodes[f"end-{check}"] = {"outcome": taken[0] if len(taken) == 1 else taken}
            then[first] = f"end-{check}"
        elif place + 2 < len(order):
            then[first] = f"ask-{order[place + 2]}"
        node = {"check": check, "then": then}
        if (check == "guard" and guarded) or random.random() < 0.5:
            node["else"] = onward
        nodes[f"ask-{check}"] = node
    return {
        "tree": "trial",
        "title": "Trial",
        "for": "Trials",
        "revision": "1",
        "date": date(2026, 11, 25),
        "source": "invented for a test",
        "weights": {name: _weight(random) for name in faults},
        "other": random.randint(1, 10),
        "start": "ask-guard",
        "nodes": nodes,
    }


def _weight(random: Random) -> Any:
    if random.random() < 0.3:
        feature = random.choice(list(FEATURES))
        return {feature: {value: random.randint(1, 40) for value in FEATURES[feature]}}
    return random.randint(1, 40)
