"""Small libraries to walk through, as their authors would write them."""

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from diagtree.graph.serving import builds, engines
from diagtree.model.library import Library
from diagtree.source.reader import read
from diagtree.walk import moves
from diagtree.walk.answers import Refused
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin

NOISE = """
shop: bench
name: Bench
currency: EUR
labour-rate: 100
tax: 20
goodwill: 500
---
cautions:
  interference: {say: Valves and pistons share space. Turn by hand., level: stop}
  hot-engine: Hot oil. Let it cool.
  silent-only: {say: Do not lever on the plates., level: note, when: {chain: silent}}
---
codes: {P0016: Correlation bank 1, P0018: Correlation bank 2}
---
checks:
  oil-level:
    ask: Where does the oil stand on the dipstick?
    how: Level ground, engine off for ten minutes.
    tools: [dipstick]
    hours: 0.1
    cautions: [hot-engine]
    answers: {low: Below the lower mark, ok: Between the marks}
    given: {default: {low: 5, ok: 95}, oil-low: {low: 90, ok: 10}}
  pressure:
    ask: Oil pressure at hot idle?
    hours: 0.5
    reading: {unit: kPa, uncertainty: 10}
    answers:
      low: {below: 100, is: Below the limit}
      ok: {from: 100, is: At or above the limit}
    given: {default: {low: 10, ok: 90}, pump-worn: {low: 95, ok: 5}}
  stored-codes:
    ask: Which codes are stored?
    hours: 0.1
    codes: true
    answers: {both-banks: [[P0016], [P0018]], bank-1: [[P0016]], none: []}
    given: {default: {both-banks: 1, bank-1: 9, none: 90}, chain-long: {both-banks: 60, bank-1: 20, none: 20}}
  plates:
    ask: Are the plates of the silent chain worn?
    hours: 0.2
    when: {chain: silent}
    behind: [cover-off]
    cautions: [interference]
    answers: {worn: Worn, good: Good}
    given: {default: {worn: 10, good: 90}, chain-long: {worn: 80, good: 20}}
  guide:
    ask: Is the guide broken?
    hours: 0.3
    behind: [cover-off]
    answers: {broken: Broken, whole: Whole}
    given: {default: {broken: 5, whole: 95}, guide-broken: {broken: 95, whole: 5}}
  crank-by-hand:
    ask: Does the crank turn freely by hand?
    hours: 0.4
    never-after: {pressure: [low]}
    answers: {free: Free, stiff: Stiff}
---
faults:
  oil-low: {title: Oil level low, why: Leak or use., repair: [fill-oil], verify: [Level between the marks.]}
  pump-worn: {title: Oil pump worn, why: Age., repair: [renew-pump], verify: [Pressure above the limit.]}
  chain-long:
    {title: Chain long, why: Late oil changes., repair: [renew-chain], verify: [No rattle.], cautions: [interference]}
  guide-broken: {title: Guide broken, why: Heat and age., repair: [renew-guide], verify: [No rattle.]}
---
engine: bench-v6
title: Bench V6
features:
  chain: {title: Chain style, values: [roller, silent], tell: Look through the oil filler.}
builds:
  early: {share: 3, chain: roller}
  late: {share: 1, chain: silent}
work:
  cover-off: {title: Take off and refit the cover, hours: 2}
  fill-oil: {title: Fill up the oil, hours: 0.1}
  renew-pump: {title: Renew the oil pump, hours: 1, after: [cover-off]}
  renew-chain: {title: Renew the chain, hours: 0.5, after: [cover-off]}
  renew-guide: {title: Renew the guide, hours: 0.3, after: [cover-off], brings: {renew-chain: It slapped.}}
---
tree: rattle
title: Rattle
for: Bench engines
source: invented
cautions: [interference]
weights: {oil-low: 30, pump-worn: 20, inside: 50}
other: 5
start: level
nodes:
  level: {check: oil-level, then: {low: top-up, ok: gauge}, else: gauge}
  top-up: {outcome: oil-low, note: Look for the leak.}
  gauge: {check: pressure, then: {low: pump, ok: codes}}
  codes: {check: stored-codes, then: {both-banks: on, bank-1: on, none: pump}, else: on}
  pump: {outcome: pump-worn}
  on: {continue: inside}
---
tree: inside
title: Inside the cover
weights: {chain-long: 60, guide-broken: 40}
other: 5
start: level-again
nodes:
  level-again: {check: oil-level, then: {low: look, ok: look}, else: look}
  look: {check: plates, then: {worn: chain, good: see}, else: see}
  see: {check: guide, then: {broken: turn, whole: chain}, else: chain}
  turn: {check: crank-by-hand, then: {free: both, stiff: guide-only}, else: both}
  both: {outcome: [guide-broken, chain-long]}
  guide-only: {outcome: guide-broken}
  chain: {outcome: chain-long}
"""

YES_NO = """
checks:
  lit: {ask: Is the lamp lit?, hours: 0.1, answers: {"yes": Lit, "no": Dark}}
---
faults:
  bulb: {title: Bulb, why: Age., repair: [], verify: [It is lit.]}
  fuse: {title: Fuse, why: Short., repair: [], verify: [It is lit.]}
---
tree: lamp
title: Lamp
weights: {bulb: 1, fuse: 1}
start: lit
nodes:
  lit: {check: lit, then: {"yes": bulb, "no": fuse}}
  bulb: {outcome: bulb}
  fuse: {outcome: fuse}
"""


@lru_cache
def library(text: str) -> Library:
    """The library that this YAML says; it must have no problem."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "library.yaml"
        file.write_text(text, encoding="utf-8")
        found = read(str(file))
    assert not found.problems, found.problems
    return found.library


def start(text: str, tree: str, **known: str) -> Session:
    """A walk at its beginning, in the library's first engine."""
    made = library(text)
    engine = engines(made)[0]
    fitting = tuple(one for one in builds(engine) if all(one.features.get(name) == to for name, to in known.items()))
    session = begin(Case(made, made.trees[tree], engine, fitting, known))
    assert isinstance(session, Session)
    return session


def reply(session: Session, *texts: str) -> Session:
    """The walk after these replies, each of which must be taken."""
    for text in texts:
        after = moves.answer(session, text)
        assert isinstance(after, Session), after.sentence
        session = after
    return session


def refusal(session: Session, text: str) -> str:
    """The sentence with which a reply is refused."""
    after = moves.answer(session, text)
    assert isinstance(after, Refused)
    return after.sentence
