import pytest

from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE, Build, Engine
from diagtree.report import chances
from diagtree.rules.wording import build_name, build_names, in_hundred, listed, meant, nearest


@pytest.mark.parametrize(
    ("ids", "words"),
    [
        ([], ""),
        (["a"], "'a'"),
        (["a", "b"], "'a' and 'b'"),
        (["a", "b", "c"], "'a', 'b' and 'c'"),
        (list("abcdefghij"), "'a', 'b', 'c', 'd', 'e', 'f', 'g', 'h' and 2 more"),
    ],
)
def test_ids_are_listed_as_one_phrase(ids: list[str], words: str) -> None:
    assert listed(ids) == words


def test_the_nearest_id_is_named_as_a_statement() -> None:
    assert nearest("step", "fill-oli", ["drain-oil", "fill-oil"]) == "The nearest step is 'fill-oil'."


def test_few_ids_are_all_named_where_none_is_near() -> None:
    assert nearest("step", "zzz", ["a", "b"]) == "The steps here are 'a' and 'b'."
    assert nearest("step", "zzz", ["a"]) == "The step here is 'a'."


def test_nothing_is_said_where_nothing_helps() -> None:
    assert nearest("step", "zzz", []) == ""
    assert nearest("step", "zzz", (f"step-{index}" for index in range(9))) == ""


def test_what_a_slip_is_meant_for() -> None:
    assert meant(["fill-oli"], ["fill-oil", "drain-oil", "sump"]) == {"fill-oil"}
    assert meant([], ["fill-oil"]) == frozenset()


def test_builds_are_named_by_what_a_reader_knows() -> None:
    early, late = Build("early"), Build("late")
    engine = Engine("v8", "V8", builds={"early": early, "late": late})
    assert build_name(engine, early) == "build 'early' of 'v8'"
    assert build_name(Engine("i4", "I4"), ONLY_BUILD) == "engine 'i4'"
    assert build_name(ONLY_ENGINE, ONLY_BUILD) == "the only build"
    assert build_names([(engine, early), (engine, late)]) == "build 'early' of 'v8' and build 'late' of 'v8'"
    assert build_names([(engine, early)] * 10).endswith("build 'early' of 'v8' and 2 more")


@pytest.mark.parametrize("chance", [0.0, 0.049, 0.05, 0.074, 0.075, 0.42, 0.5, 0.949, 0.95, 0.951, 1.0])
def test_a_chance_is_told_as_people_read_it_elsewhere(chance: float) -> None:
    assert in_hundred(chance) == chances.in_hundred(chance)


def test_a_chance_is_told_to_the_nearest_five() -> None:
    assert [in_hundred(chance) for chance in (0.0, 0.42, 0.43, 1.0)] == [
        "fewer than 5 in 100",
        "about 40 in 100",
        "about 45 in 100",
        "more than 95 in 100",
    ]
