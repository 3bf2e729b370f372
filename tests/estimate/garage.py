"""A small library for estimates: two trees, a check that is never asked after another, access, a kit, extras."""

from collections.abc import Mapping
from types import MappingProxyType

from diagtree.estimate.estimate import Estimate, Visit, estimate
from diagtree.graph.serving import builds
from diagtree.model.library import Library
from diagtree.reason.finding import Finding, plain
from diagtree.source.reader import read

GARAGE = """
shop: yard
name: Yard (invented)
currency: EUR
labour-rate: 80
tax: 25
extras:
  - {title: Rags, per-cent: 5, of: labour, max: 20}
  - {title: Waste, per-cent: 10, of: parts}
round-to: 10
goodwill: 100
---
cautions:
  pinch: {say: Keep fingers clear., level: stop}
---
faults:
  loose: {title: Loose belt, why: It stretched., repair: [tighten], verify: [It runs.]}
  worn: {title: Worn wheel, why: It turned., repair: [renew-wheel], verify: [It runs.], cautions: [pinch]}
  cracked: {title: Cracked arm, why: It bent., repair: [renew-arm], verify: [It runs.]}
  dry: {title: Dry bearing, why: No grease., repair: [], verify: [It runs.]}
---
checks:
  listen:
    ask: Where is it?
    hours: 0.2
    answers: {front: Front, back: Back, both: Both}
    given:
      default: {front: 40, back: 30, both: 30}
      loose: {front: 80, back: 10, both: 10}
      inner: {front: 10, back: 20, both: 70}
  look:
    ask: How is the wheel?
    hours: [0.1, 0.3, 0.8]
    behind: [cover-off]
    answers: {fine: Fine, rough: Rough}
    given: {default: {fine: 70, rough: 30}, worn: {fine: 10, rough: 90}}
  spin:
    ask: Does it spin?
    hours: 0.3
    takes: {grease: 0.5}
    never-after: {tap: [dull]}
    answers: {free: Free, stiff: Stiff}
    given: {default: {free: 80, stiff: 20}, dry: {free: 10, stiff: 90}, worn: {free: 40, stiff: 60}}
  tap:
    ask: Does it ring?
    hours: 0.1
    when: {frame: steel}
    answers: {ring: Rings, dull: Dull}
    given: {default: {ring: 60, dull: 40}, cracked: {ring: 5, dull: 95}}
---
engine: mill
title: Mill (invented)
features:
  frame: {title: Frame, values: [steel, cast], tell: A magnet tells little., }
builds:
  old: {share: 1, frame: steel}
  new: {share: 3, frame: cast}
work:
  cover-off: {title: Cover off and on, hours: [0.5, 1, 2.5], takes: {seal: 1}}
  tighten: {title: Tighten the belt, hours: 0.5}
  renew-wheel:
    title: Renew the wheel
    hours: [1, 1.5, 3]
    after: [cover-off]
    takes: {wheel: 1, bolt: {frame: {steel: 2, cast: 4}}}
  renew-arm: {title: Renew the arm, hours: 2.25, after: [cover-off], takes: {arm: 1, bolt: 2}}
parts:
  seal: {title: Seal, single-use: It is crushed., numbers: [{number: S1, price: 12.5}]}
  bolt: {title: Bolt, numbers: [{number: B1, price: 3}]}
  wheel: {title: Wheel, deposit: 30, numbers: [{number: W1, price: 150}]}
  arm: {title: Arm, numbers: [{number: A1, price: 99.9}]}
  grease: {title: Grease, unit: kg, numbers: [{number: G1, price: 8}]}
kits:
  - {number: K1, title: Wheel kit, price: 155, holds: {wheel: 1, seal: 1, bolt: 2}}
---
tree: outer
title: It squeals
cautions: [pinch]
weights: {loose: 30, worn: 20, inner: 40}
other: 10
start: where
nodes:
  where: {check: listen, then: {front: wheel, back: spins, both: spins}}
  spins: {check: spin, then: {free: wheel, stiff: on}, else: on}
  wheel: {check: look, then: {fine: tight, rough: wheel-gone}}
  tight: {outcome: loose}
  wheel-gone: {outcome: worn}
  on: {continue: inner}
---
tree: inner
title: It groans
weights: {cracked: 10, dry: 25, worn: 5}
other: 5
start: ring
nodes:
  ring: {check: tap, then: {ring: turn, dull: arm}, else: turn}
  turn: {check: spin, then: {free: arm, stiff: greased}, else: wheel}
  wheel: {check: look, then: {fine: greased, rough: worn-out}}
  arm: {outcome: cracked}
  greased: {outcome: dry}
  worn-out: {outcome: worn}
"""

_FOUND: dict[str, Library] = {}


def garage(text: str = GARAGE) -> Library:
    """The library, read from a file of its own."""
    if text not in _FOUND:
        import tempfile
        from pathlib import Path

        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "garage.yaml"
            file.write_text(text, encoding="utf-8")
            found = read(str(file))
        assert [problem for problem in found.problems if problem.severity == "error"] == []
        _FOUND[text] = found.library
    return _FOUND[text]


def answers(library: Library, known: Mapping[str, str]) -> tuple[Finding, ...]:
    """Answers taken as they stand."""
    return tuple(plain(library.checks[check], answer) for check, answer in known.items())


def visit(
    library: Library,
    tree: str = "outer",
    build: str = "",
    unknown: frozenset[str] = frozenset(),
    known: Mapping[str, str] = MappingProxyType({}),
) -> Visit:
    """A visit with what is known of it."""
    (engine,) = library.engines.values()
    made = tuple(one for one in builds(engine) if build in {"", one.id})
    return Visit(library, library.trees[tree], engine, made, answers(library, known), unknown)


def estimated(of: Visit, slow: float = 1.0) -> Estimate:
    """The estimate, which there must be."""
    found = estimate(of, slow)
    assert isinstance(found, Estimate)
    return found
