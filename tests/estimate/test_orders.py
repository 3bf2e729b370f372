"""Orders settled once for each need, against the buying programme each time."""

from pathlib import Path
from random import Random

import pytest

from diagtree.estimate.orders import Orders
from diagtree.graph.serving import builds
from diagtree.model.library import Library
from diagtree.scope.parts import bill, buying, part_lines
from diagtree.source.reader import read
from tests.estimate.garage import garage
from tests.oracle.libraries import random_library

FOREIGN = Path(__file__).resolve().parents[1] / "foreign"


@pytest.fixture(params=["garage", "pump", "boiler", 3, 11], ids=str)
def library(request: pytest.FixtureRequest, tmp_path: Path) -> Library:
    if request.param == "garage":
        return garage()
    if isinstance(request.param, str):
        return read(str(FOREIGN / request.param)).library
    file = tmp_path / "random.yaml"
    file.write_text(random_library(request.param), encoding="utf-8")
    return read(str(file)).library


def test_an_order_costs_what_the_buying_programme_says(library: Library) -> None:
    (engine,) = library.engines.values()
    random = Random(1)
    taking = [step.takes for step in engine.work.values() if step.takes]
    taking += [check.takes for check in library.checks.values() if check.takes]
    for build in builds(engine):
        orders = Orders(engine, build, [take for takes in taking for take in takes])
        for _ in range(8):
            chosen = random.sample(taking, random.randint(0, len(taking)))
            takes = [take for one in chosen for take in one]
            want = bill(buying(engine, build, part_lines(engine, build, takes)))
            assert orders.order([orders.needs(one) for one in chosen]).cost == pytest.approx(float(want), abs=1e-9)
