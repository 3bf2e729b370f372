"""What each key does to a drill on the screen, and that it fits every size. No terminal."""

import pytest

from diagtree.graph.serving import builds
from diagtree.practice.car import Bay, Car, draw
from diagtree.practice.drill import begin
from diagtree.report.lines import cells
from diagtree.source.reader import read
from diagtree.term.drill_keys import opened, paste, press
from diagtree.term.drill_page import lay_out, move
from diagtree.term.drill_view import View, entries
from tests.term.test_drill_screen import CAREFUL

SIZES = ((1, 1), (19, 5), (39, 12), (79, 24), (120, 30), (199, 50))


def unjudged(_columns: int) -> tuple[str, ...] | None:
    return None


@pytest.fixture(scope="module", name="car")
def _car(tmp_path_factory: pytest.TempPathFactory) -> Car:
    path = tmp_path_factory.mktemp("keys") / "library.yaml"
    path.write_text(CAREFUL, encoding="utf-8")
    library = read(str(path)).library
    engine = library.engines["small"]
    car = draw(Bay(library, library.trees["leak"], engine, builds(engine)), 4, fault="pump")
    assert isinstance(car, Car)
    return car


def typed(view: View, *keys: str) -> View:
    for key in keys:
        view = press(view, key)
    return view


def test_a_number_points_and_only_enter_pays(car: Car) -> None:
    pointed = typed(opened(begin(car)), "2")
    assert not pointed.drill.taken
    assert [one.check.id for one in typed(pointed, "enter").drill.taken] == ["smell"]
    # 2 is done: what was pointed at before is pointed at no more.
    assert typed(pointed, "enter", "1", "2").pointed is None


def test_enter_that_is_held_down_does_one_check(car: Car) -> None:
    view = press(typed(opened(begin(car)), "2", "enter"), "enter", held=True)
    assert len(view.drill.taken) == 1
    assert "Point at one first" in press(view, "enter").refusal


def test_a_stop_caution_is_passed_by_its_key_alone(car: Car) -> None:
    waiting = typed(opened(begin(car)), "4", "enter")
    assert waiting.kind == "stop"
    for key in ("enter", "1", "u", " ", "t", "o"):
        assert not press(waiting, key).drill.taken
        assert press(waiting, key).kind == "stop"
    assert not press(waiting, "y", held=True).read
    assert press(waiting, "escape").kind == "checks"
    assert typed(waiting, "y").kind == "care"
    assert [one.check.id for one in typed(waiting, "y", "enter").drill.taken] == ["inside"]


def test_narrowing_finds_by_part_and_a_paste_does_nothing_but_narrow(car: Car) -> None:
    view = paste(typed(opened(begin(car)), "/"), "mell\r\ne")
    assert [one.id for one in entries(view)] == ["smell"]
    assert not view.drill.taken
    assert typed(view, "enter").drill.taken
    assert paste(opened(view.drill), "f\r") == opened(view.drill)


def test_naming_is_asked_once_and_can_be_left(car: Car) -> None:
    asked = typed(opened(begin(car)), "f", "1", " ", "2", " ", "enter")
    assert asked.beside == "ending"
    assert typed(asked, "enter", "y", "1").drill.ended is None
    assert typed(asked, "escape").marked == ("seal", "pump")
    ended = typed(asked, "e").drill.ended
    assert ended is not None
    assert ended.named == ("seal", "pump")


def test_what_is_refused_is_said_and_costs_nothing(car: Car) -> None:
    view = typed(opened(begin(car)), "9")
    assert view.refusal == "There is no 9 here."
    assert typed(opened(begin(car)), "f", "enter").refusal


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_no_row_is_wider_and_no_screen_longer_than_it_may_be(car: Car, size: tuple[int, int]) -> None:
    begun = opened(begin(car))
    lists = ["", "2 enter", "4 enter", "4 enter y", "f 1  ", "f 1 enter", "f 1 enter e", "o", "p", "h", "q", "/ x"]
    keys = [some.split() for some in lists]
    for some in keys:
        view = typed(begun, *some)
        for key in ("", "down", "page-down", "up", "page-up"):
            view = move(view, key, size, unjudged) if key else view
            sheet = lay_out(view, *size, unjudged)
            assert len(sheet.rows) <= max(1, size[1])
            assert all(cells(row.whole) <= max(2, size[0]) for row in sheet.rows)
            assert sheet.cursor[0] < len(sheet.rows)
