"""The walk in the page comes to what `diagtree walk` comes to."""

from collections.abc import Iterator
from itertools import count, islice
from typing import Any, TypeAlias

import pytest

from diagtree.measure import bands
from diagtree.walk.session import Session
from tests.report.page import cars

Opened: TypeAlias = tuple[cars.Car, Any, int]  # a car, its page in the browser, how many walks to try
FOREIGN = cars.ROOT / "tests" / "foreign"
KINDS = {
    "demo": (None, "", 80),
    "pump": (FOREIGN / "pump", "low-flow tarn-pump tall", 30),
    "no engine": (FOREIGN / "small.yaml", "dark-lamp", 10),
    "own": (None, "first e one", 80),
}


@pytest.fixture(scope="module", params=KINDS)
def opened(request: pytest.FixtureRequest, chromium: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    """A page, opened."""
    path, names, many = KINDS[request.param]
    folder = tmp_path_factory.mktemp("page")
    if request.param == "own":
        path = folder / "own.yaml"
        path.write_text(cars.OWN, encoding="utf-8")
    if path is None:
        of, made = request.getfixturevalue("demo")
    else:
        of, made = cars.car(path, *names.split()), folder / "page.html"
        made.write_bytes(of.page())
    context = chromium.new_context()
    shown = context.new_page()
    shown.goto(made.as_uri())
    yield of, shown, many
    context.close()


def test_random_answers_come_to_the_same_end(opened: Opened) -> None:
    of, shown, many = opened
    ended = 0
    for seed in range(many):
        replies, refused, session = cars.random_walk(of, seed)
        found = shown.evaluate("replies => window.diagtree.replay(replies)", replies)
        assert found.pop("refused") == refused, (seed, replies)
        cars.same(found, session)
        ended += session.outcome is not None
    assert ended > many * 0.7


def test_taps_and_keys_come_to_the_same_end(opened: Opened) -> None:
    of, shown, _ = opened
    for replies, session in islice(_plain(of), 6):
        if shown.get_by_role("button", name="Begin again").count():
            shown.get_by_role("button", name="Begin again").click()
        for reply in replies:
            _tap(shown, reply)
        _read(shown)
        cars.same(shown.evaluate("window.diagtree.state()"), session)


def _plain(of: cars.Car) -> Iterator[tuple[list[list[Any]], Session]]:
    """Walks of answers to the question that stands, all of them taken."""
    for seed in count(1000):
        replies, refused, session = cars.random_walk(of, seed)
        if not any(refused) and not any(reply[0] in {"revise", "tell"} for reply in replies):
            yield replies, session


def _read(shown: Any) -> None:
    while shown.get_by_role("button", name="I have read this").count():
        shown.get_by_role("button", name="I have read this").click()


def _tap(shown: Any, reply: list[Any]) -> None:
    _read(shown)
    match reply:
        case ["back"]:
            shown.get_by_role("button", name="Back", exact=True).click()
        case ["cannotTell"]:
            shown.get_by_role("button", name="Cannot tell").click()
        case [_, text]:
            field = shown.locator("#w-field")
            if field.count():
                field.fill(text)
                field.press("Enter")
            else:
                at = shown.evaluate("name => DATA.checks[name].answers.map(one => one.id)", _asked(shown)).index(text)
                shown.locator(".w-answers button").nth(at).click()


def _asked(shown: Any) -> str:
    here = shown.evaluate("window.diagtree.state().trail.at(-1)")
    name: str = shown.evaluate("([tree, node]) => DATA.trees[tree].nodes[node].check", [here["tree"], here["node"]])
    return name


def test_shares_of_bands_are_those_of_the_program(opened: Opened) -> None:
    _, shown, _ = opened
    edges = [(None, -1.0), (-1.0, 2.0), (2.0, 2.5), (2.5, None)]
    for value in (-40.0, -3.0, -1.0, 0.3, 1.999, 2.0, 2.2, 2.5, 3.7, 9.0, 60.0):
        for sure in (0.0, 0.01, 0.7, 4.0, 50.0):
            found = shown.evaluate("([value, sure, bands]) => Numbers.shares(value, sure, bands)", [value, sure, edges])
            assert found == pytest.approx(bands.band_shares(value, sure, [-1.0, 2.0, 2.5]), abs=1e-14, rel=1e-12)


def test_what_is_no_reading_is_asked_again(opened: Opened) -> None:
    _, shown, _ = opened
    unit = {"unit": "kPa", "scale": ["1", "1"], "offset": ["0", "1"]}
    for typed in ("", "  ", "high", "1,500", "1 2", "1.2.3", "NaN", "Infinity", "1e999", "1e16", "9" * 81):
        found = shown.evaluate("([typed, unit]) => Numbers.parse(typed, unit)", [typed, unit])
        assert found.keys() == {"refused"}
        assert found["refused"].endswith(".")
