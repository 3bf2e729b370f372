"""Pages of several libraries, and the walks of `diagtree walk` that they are held against."""

import random
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagtree.graph.serving import builds, engines
from diagtree.model.engine import Build, Engine
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.report.page.document import page
from diagtree.report.walk import as_data
from diagtree.source.reader import read
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Case
from diagtree.walk.result import result
from diagtree.walk.session import Session, begin

ROOT = Path(__file__).parents[3]
# Numbers for ids, readings in the shop's unit, repeats that count together, a check that another forbids, codes, an
# answer that cannot be, and a second tree.
OWN = """\
shop: s
name: Shop
currency: EUR
labour-rate: 90
tax: 20
goodwill: 100
units: [psi, mm]
---
cautions:
  stop-it: {say: Chock the wheels., level: stop}
  mind-it: Mind the belt.
---
checks:
  20: {ask: How high is it?, hours: 0.1, reading: {unit: kPa, uncertainty: 12}, plausible: {from: 0, to: 900},
    answers: {3: {below: 100, is: Low}, 2: {from: 100, below: 200, is: Middling}, 1: {from: 200, is: High}},
    given: {default: {3: 10, 2: 80, 1: 10}, worn: {3: 80, 2: 15, 1: 5}}}
  10: {ask: How wide is it?, hours: 0.2, behind: [b9], reading: {unit: mm, uncertainty: 0.2}, repeats: independent,
    answers: {low: {below: 3, is: Narrow}, high: {from: 3, is: Wide}}, given: {default: 30, worn: 90}}
  codes: {ask: Which codes?, hours: 0.1, codes: true,
    answers: {both: [[P0016], [P0018, P0019]], one: [[P0016]], none: []},
    given: {default: {both: 10, one: 20, none: 70}, torn: {both: 60, one: 30, none: 10}}}
  look: {ask: Is it torn?, hours: 0.1, slip: 0, behind: [a10], never-after: {codes: [both]}, cautions: [stop-it],
    answers: {good: No, bad: Yes}, given: {default: {good: 100, bad: 0}, torn: {good: 0, bad: 100}}}
  smell: {ask: Does it smell?, hours: 0.1, slip: 0, answers: {yes: Yes, no: No},
    given: {default: {yes: 50, no: 50}, torn: {yes: 100, no: 0}}}
---
faults:
  worn: {title: Worn, why: Age., repair: [renew], verify: [Quiet.], cautions: [mind-it]}
  torn: {title: Torn, why: Force., repair: [sew], verify: [Tight.]}
  fine: {title: Nothing wrong, why: Good work., repair: [], verify: [As before.]}
---
engine: e
title: Engine
builds: {one: {share: 1}}
work:
  b9: {title: Open it, hours: 1, cautions: [stop-it], takes: {gasket: 1}}
  a10: {title: Lift it, hours: 0.5}
  renew: {title: Renew it, hours: 1, after: [b9], takes: {part: 2}, brings: {tidy: While it is there.}}
  sew: {title: Sew it, hours: 0.7, after: [a10]}
  tidy: {title: Tidy, hours: 0.3}
  extra: {title: Extra, hours: 0.4, after: [b9], offer: Behind the same cover.}
parts:
  gasket: {title: Gasket, single-use: Set once., numbers: [{number: G1, price: 4.5}]}
  part: {title: Part, numbers: [{number: P1, price: 20}]}
kits:
  - {number: K1, title: Both, price: 30, holds: {part: 2, gasket: 1}}
---
tree: first
title: The first
revision: 7
weights: {worn: 5, fine: 2, second: 3}
other: 1
start: a
cautions: [stop-it]
nodes:
  a: {check: 20, then: {3: b, 2: c, 1: c}, else: b}
  b: {check: 10, then: {low: end-worn, high: c}}
  c: {check: codes, then: {both: d, one: d, none: e}, else: e}
  d: {check: look, then: {good: go, bad: go}, else: go}
  e: {check: smell, then: {yes: go, no: end-fine}, else: end-fine}
  go: {continue: second, note: It is another matter.}
  end-worn: {outcome: worn}
  end-fine: {outcome: fine, note: Send it home.}
---
tree: second
title: The second
weights: {torn: 4, worn: 1, fine: 1}
other: 1
start: s
nodes:
  s: {check: look, then: {good: t, bad: end-torn}, else: t}
  t: {check: 10, then: {low: end-both, high: u}, else: u}
  end-torn: {outcome: torn}
  end-both: {outcome: [worn, torn]}
  end-fine: {outcome: fine}
  u: {check: smell, then: {yes: end-torn, no: end-fine}, else: end-fine}
"""


@dataclass(frozen=True)
class Car:
    """A tree on a build."""

    library: Library
    tree: Tree
    engine: Engine
    build: Build

    def begin(self) -> Session:
        """The walk that `diagtree walk` begins."""
        found = begin(Case(self.library, self.tree, self.engine, (self.build,), self.build.features))
        assert isinstance(found, Session)
        return found

    def page(self) -> bytes:
        """Its page."""
        made = page(self.library, self.tree, self.engine, self.build)
        assert isinstance(made, bytes), made
        return made


def car(path: Path, tree: str, engine: str = "", build: str = "") -> Car:
    """A car of a library; the first engine and build where none is named."""
    found = read(str(path))
    assert not [problem for problem in found.problems if problem.severity == "error"], found.problems
    library = found.library
    chosen = library.engines[engine] if engine else engines(library)[0]
    made = {one.id: one for one in builds(chosen)}
    return Car(library, library.trees[tree], chosen, made[build] if build else next(iter(made.values())))


def random_walk(of: Car, seed: int) -> tuple[list[list[Any]], list[bool], Session]:
    """Replies drawn at random, which of them were refused, and where they lead; some are taken back or told anew."""
    dice = random.Random(seed)
    session, replies, refused = of.begin(), list[list[Any]](), list[bool]()
    for _ in range(40):
        reply = _reply(session, dice)
        if reply is None:
            break
        after = _given(session, reply)
        replies.append(reply)
        refused.append(isinstance(after, Refused))
        session = session if isinstance(after, Refused) else after
    return replies, refused, session


def _reply(session: Session, dice: random.Random) -> list[Any] | None:
    check, known = session.check, list(session.known.findings)
    if session.replies and dice.random() < 0.04:
        return ["back"]
    if known and dice.random() < 0.06:
        name = dice.choice(known)
        return ["revise", name, _text(session, name, dice)]
    if check is None:
        return None
    if dice.random() < 0.15:
        return ["cannotTell"]
    kept = [name for name in known if session.case.library.checks[name].independent]
    if kept and dice.random() < 0.3:
        return ["tell", kept[0], _text(session, kept[0], dice)]
    return ["answer", _text(session, check.id, dice)]


def _text(session: Session, name: str, dice: random.Random) -> str:
    check = session.case.library.checks[name]
    if check.kind == "reading" and dice.random() < 0.7:
        edges = [answer.band.start for answer in check.answers if answer.band and answer.band.start is not None]
        middle = dice.choice(edges or [1.0])
        spread = (check.gauge.uncertainty if check.gauge else 0.0) or abs(middle) or 1.0
        return f"{dice.choice([middle, middle + dice.gauss(0, 1.5) * spread, middle + dice.gauss(0, 20) * spread]):.4g}"
    if check.kind == "codes" and dice.random() < 0.7:
        codes = sorted({code for answer in check.answers for group in answer.groups for code in group}) or ["P0001"]
        return "+".join(dice.sample(codes, dice.randint(1, min(3, len(codes))))) if dice.random() < 0.9 else "-"
    return dice.choice(check.answers).id


def _given(session: Session, reply: list[Any]) -> Session | Refused:
    match reply:
        case ["back"]:
            return moves.back(session)
        case ["cannotTell"]:
            return moves.cannot_tell(session)
        case ["revise", name, text]:
            return moves.answer(session, f":revise {name} {text}")
        case ["tell", name, text]:
            return moves.tell(session, name, text)
        case _:
            assert session.check is not None
            return moves.tell(session, session.check.id, reply[1])


def same(shown: dict[str, Any], session: Session) -> None:
    """The page's state is what `walk --json` says."""
    said = as_data(result(session))
    for key in ("path", "trail", "answers", "cannot_tell", "outcome"):
        assert shown[key] == said[key], key
    assert sorted(shown["close_call"]) == sorted(said["close_call"])
    chances = {one["fault"]: one["probability"] for one in said["belief"]}
    found = {one["fault"]: one["probability"] for one in shown["belief"]}
    assert found.keys() == chances.keys()
    assert all(abs(found[fault] - chance) < 1e-9 for fault, chance in chances.items())
    for key in ("conflict", "residual"):
        assert (shown[key] is None) == (said[key] is None), key
        assert said[key] is None or abs(shown[key] - said[key]) < 1e-9 * max(1, abs(said[key])), key
    assert len(shown["contradiction"]) == len(said["contradiction"])
    _same_scope(shown["scope"], said["scope"])


def _same_scope(shown: dict[str, Any] | None, said: dict[str, Any] | None) -> None:
    assert (shown is None) == (said is None)
    if shown and said:
        assert shown["steps"] == [step["step"] for step in said["steps"]]
        for key in ("hours", "parts", "parts_cost", "buy", "buy_cost", "offers"):
            assert shown[key] == said[key], key
        assert shown["close_up"] == said.get("close_up")
