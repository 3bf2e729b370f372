"""Small engines and faults for tests, by hand and drawn at random."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import strategies as st

from diagtree.model.engine import Build, Engine, Feature, Kit, Part, PartNumber, Step
from diagtree.model.fault import Fault
from diagtree.model.library import Library, Shop
from diagtree.model.quantity import ALWAYS, Amount, Condition, Hours, Take

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

SHOP = Shop(id="shop", name="Shop", currency="EUR", labour_rate=100.0, tax=20.0, goodwill=600.0)


def when(**terms: str) -> Condition:
    return Condition(tuple((name, tuple(values.split("|"))) for name, values in terms.items()))


def take(part: str, quantity: float = 1.0, feature: str = "", **by_value: float) -> Take:
    return Take(part, Amount(quantity, feature, by_value))


def step(
    name: str,
    hours: float = 1.0,
    *,
    after: Sequence[str] = (),
    follows: Sequence[str] = (),
    brings: Mapping[str, str] | None = None,
    takes: Sequence[Take] = (),
    admits: Condition = ALWAYS,
    offer: str = "",
) -> Step:
    return Step(
        id=name,
        title=f"The {name}",
        hours=Hours(hours, hours, hours),
        after=tuple(after),
        follows=tuple(follows),
        brings=brings or {},
        takes=tuple(takes),
        when=admits,
        offer=offer,
    )


def part(name: str, price: float, *, unit: str = "", single_use: str = "") -> Part:
    return Part(name, f"The {name}", (PartNumber(f"N-{name}", price),), unit=unit, single_use=single_use)


def kit(number: str, price: float, admits: Condition = ALWAYS, **holds: float) -> Kit:
    return Kit(number, f"Kit {number}", price, holds, admits)


def fault(name: str, *repair: str, admits: Condition = ALWAYS) -> Fault:
    return Fault(name, f"Fault {name}", "why", repair, ("Look again.",), admits)


def engine(
    steps: Sequence[Step],
    parts: Sequence[Part] = (),
    kits: Sequence[Kit] = (),
    builds: Sequence[Build] = (Build("b"),),
    features: Sequence[Feature] = (),
) -> Engine:
    return Engine(
        id="e",
        title="Engine",
        features={feature.id: feature for feature in features},
        builds={build.id: build for build in builds},
        work={one.id: one for one in steps},
        parts={one.id: one for one in parts},
        kits=tuple(kits),
    )


def library(made: Engine, *faults: Fault) -> Library:
    return Library(shop=SHOP, engines={made.id: made}, faults={one.id: one for one in faults})


@st.composite
def engines(draw: st.DrawFn) -> Engine:
    """An engine of up to 9 steps in two builds: `after` and `follows` go upwards in the file, `brings` anywhere."""
    size = draw(st.integers(1, 9))
    names = [f"s{place}" for place in range(size)]
    steps = []
    for place, name in enumerate(names):
        above = st.lists(st.sampled_from(names[:place]), max_size=3, unique=True) if place else st.just([])
        anywhere = st.lists(st.sampled_from(names), max_size=2, unique=True)
        steps.append(
            step(
                name,
                draw(st.sampled_from([0.1, 0.2, 0.35, 1.0])),
                after=draw(above),
                follows=draw(above),
                brings={other: "reason" for other in draw(anywhere) if other != name},
                takes=[take("p", draw(st.integers(0, 3))), take("q", 0, "f", x=1.0, y=2.0)][: draw(st.integers(0, 2))],
                admits=draw(st.sampled_from([ALWAYS, ALWAYS, when(f="x"), when(f="y")])),
                offer=draw(st.sampled_from(["", "", "Behind it."])),
            )
        )
    order = draw(st.permutations(steps))
    return engine(
        order,
        [part("p", 3.35), part("q", 7.1)],
        [kit("K-1", 9.99, p=1, q=1), kit("K-0", 12.5, when(f="y"), q=2)],
        [Build("bx", {"f": "x"}), Build("by", {"f": "y"})],
        [Feature("f", "Feature", ("x", "y"), "Look.")],
    )
