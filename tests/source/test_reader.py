"""Reading a library: what stands in it comes back, and every mistake has its place and its sentence."""

from pathlib import Path

import pytest
import yaml

from diagtree.model.problem import Problem
from diagtree.model.quantity import Hours
from diagtree.source import composer
from diagtree.source.reader import Read, read

SHOP = "shop: a\nname: A\ncurrency: EUR\nlabour-rate: 95\ntax: 20\ngoodwill: 600\n"


def parse(tmp_path: Path, text: str | bytes, name: str = "lib.yaml") -> Read:
    file = tmp_path / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read(str(file))


def brief(problem: Problem) -> tuple[int, int, str, str]:
    return problem.line, problem.column, problem.rule, problem.message


CHECK = "checks:\n  c:\n    ask: Q?\n    hours: 0.1\n"

MISTAKES = {
    "unknown kind": (
        "colours: a\n",
        1,
        1,
        "unknown-kind",
        (
            "'colours' is no kind of file. "
            "The first key must be one of shop, cautions, codes, checks, faults, engine, tree."
        ),
    ),
    "unknown key": (
        SHOP + "colour: red\n",
        7,
        1,
        "unknown-key",
        "The key 'colour' is not known here. Correct its spelling or take it out.",
    ),
    "missing key": (
        SHOP.replace("tax: 20\n", ""),
        1,
        1,
        "missing-key",
        "The key 'tax' is missing. Add it: Per cent, added only on what a customer reads.",
    ),
    "duplicate key": (
        SHOP + "name: B\n",
        7,
        1,
        "duplicate-key",
        "The key 'name' stands twice in this mapping, first on line 2, column 1. Keep one of them.",
    ),
    "wrong type": (
        SHOP.replace("95", "dear"),
        4,
        14,
        "wrong-type",
        "'dear' stands here. Write an amount of money, a number.",
    ),
    "quoted number": (
        SHOP.replace("95", '"95"'),
        4,
        14,
        "wrong-type",
        "'95' stands here. Write an amount of money, a number.",
    ),
    "negative": (
        SHOP.replace("95", "-95"),
        4,
        14,
        "out-of-range",
        "-95 stands here. Write an amount of money, a number of at least 0.",
    ),
    "no value": (SHOP.replace("name: A", "name:"), 2, 1, "wrong-type", "Nothing stands here. Write some text."),
    "bad id": (
        SHOP.replace("shop: a", "shop: A b"),
        1,
        7,
        "bad-id",
        "'A b' stands here. Write an id: lower-case words joined by hyphens, such as oil-level.",
    ),
    "two shops": (
        SHOP + "---\n" + SHOP,
        8,
        7,
        "duplicate-id",
        "A library has one shop, and one stands in line 1. Keep one of them.",
    ),
    "falling hours": (
        CHECK.replace("0.1", "[2, 1, 3]") + "    answers: {y: Yes}\n",
        4,
        12,
        "out-of-range",
        "Three-point hours must not fall: write [optimistic, likely, pessimistic], the least first.",
    ),
    "two hours": (
        CHECK.replace("0.1", "[2, 3]") + "    answers: {y: Yes}\n",
        4,
        12,
        "wrong-type",
        (
            "A list stands here. Write hours: a number, or three such as [0.5, 0.8, 1.5] (optimistic, "
            "likely, pessimistic)."
        ),
    ),
    "tag": ("shop: !!str a\n", 1, 7, "tag", "A tag (`!...`) stands here. A library holds plain data: take it out."),
    "unknown anchor": ("shop: *a\n", 1, 7, "alias", "Nothing above is marked '&a'. Write it out here."),
    "alias in itself": (
        "checks: &a {b: *a}\n",
        1,
        16,
        "alias",
        "This alias stands inside what it names. Write it out.",
    ),
    "not a mapping": (
        "- a\n",
        1,
        1,
        "wrong-type",
        (
            "A list stands here. Write a mapping whose first key is one of "
            "shop, cautions, codes, checks, faults, engine, tree."
        ),
    ),
    "bad code": (
        "codes: {P4000: No such code}\n",
        1,
        9,
        "bad-code",
        "The key 'P4000' stands here. Write a trouble code such as P0016.",
    ),
    "bad level": (
        "cautions: {a: {say: Hot., level: loud}}\n",
        1,
        34,
        "wrong-type",
        "'loud' stands here. Write one of stop, warn, note.",
    ),
    "beside a kind": (
        "faults: {}\ncolour: red\n",
        2,
        1,
        "unknown-key",
        "The key 'colour' stands beside 'faults'. Take it out, or set it in under 'faults'.",
    ),
    "reading and codes": (
        CHECK + "    reading: {unit: kPa}\n    codes: true\n    answers: {y: {}}\n",
        6,
        5,
        "wrong-type",
        "A check is of one kind: keep one of reading, codes.",
    ),
    "unknown answer in a row": (
        CHECK + "    answers: {y: Yes, n: No}\n    given: {f: {y: 1, n: 2, m: 3}}\n",
        6,
        29,
        "unknown-answer",
        "The check has no answer 'm'. Its answers are y, n.",
    ),
    "mixed row": (
        CHECK + "    answers: {y: Yes, n: No}\n    given: {f: {y: certain, n: 2}}\n",
        6,
        13,
        "mixed-row",
        "This row mixes words and numbers. Write all words or all numbers.",
    ),
    "short row": (
        CHECK + "    answers: {y: Yes, n: No}\n    given: {f: {y: 1}}\n",
        6,
        13,
        "short-row",
        "This row says nothing of n: that counts as never seen. Write it, 0 if so.",
    ),
    "one number for three": (
        CHECK + "    answers: {y: Yes, n: No, m: Or}\n    given: {f: 40}\n",
        6,
        16,
        "wrong-type",
        "One number is a row only where a check has two answers; this one has 3. Write a number for each.",
    ),
    "row over 100": (
        CHECK + "    answers: {y: Yes, n: No}\n    given: {f: 140}\n",
        6,
        16,
        "out-of-range",
        "One number as a row is per cent of the first answer: write 0 to 100.",
    ),
    "slip over 1": (
        CHECK + "    answers: {y: Yes}\n    slip: 2\n",
        6,
        11,
        "out-of-range",
        "2 stands here. Write a chance from 0 to 1.",
    ),
    "unknown pattern": (
        CHECK + "    offsets: {uncertainty: 2}\n    answers: {odd: Odd}\n",
        6,
        15,
        "unknown-key",
        "The key 'odd' stands here. Write one of none, stretched, all-together, one-bank, one-cam, mixed.",
    ),
    "node of two sorts": (
        "tree: t\ntitle: T\nweights: {f: 1}\nstart: n\nnodes: {n: {outcome: f, continue: u}}\n",
        5,
        25,
        "wrong-type",
        "A node does one thing: keep one of outcome, continue.",
    ),
    "node of no sort": (
        "tree: t\ntitle: T\nweights: {f: 1}\nstart: n\nnodes: {n: {note: x}}\n",
        5,
        9,
        "missing-key",
        "This node has no `check`, `outcome` or `continue`. Add one.",
    ),
    "bad date": (
        "tree: t\ntitle: T\ndate: 25.11.2026\nweights: {f: 1}\nstart: n\nnodes: {n: {outcome: f}}\n",
        3,
        7,
        "wrong-type",
        "'25.11.2026' stands here. Write a date such as 2026-11-25.",
    ),
    "infinity": (
        SHOP.replace("95", ".inf"),
        4,
        14,
        "wrong-type",
        "'.inf' stands here. Write an amount of money, a number.",
    ),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_single_mistake_is_one_problem_at_its_place(tmp_path: Path, name: str) -> None:
    text, *expected = MISTAKES[name]
    assert [brief(problem) for problem in parse(tmp_path, text).problems] == [tuple(expected)]


def test_a_clean_file_has_no_problem_and_keeps_what_it_says(tmp_path: Path) -> None:
    found = parse(tmp_path, SHOP)
    assert found.problems == ()
    assert found.library.shop is not None
    assert (found.library.shop.labour_rate, found.library.shop.tax) == (95.0, 20.0)


def test_yes_and_no_and_numbers_stay_text_where_text_is_meant(tmp_path: Path) -> None:
    found = parse(tmp_path, CHECK + "    answers: {yes: yes, no: 7}\n")
    assert [(a.id, a.text) for a in found.library.checks["c"].answers] == [("yes", "yes"), ("no", "7")]


def test_words_of_a_row_are_read_on_their_scale(tmp_path: Path) -> None:
    """Renooij and Witteman 1999, from memory: improbable 15, certain 100."""
    row = "    answers: {y: Yes, n: No}\n    given: {f: {y: improbable, n: certain}}\n"
    assert parse(tmp_path, CHECK + row).library.checks["c"].given == {"f": (15.0, 100.0)}


def test_one_number_is_per_cent_of_the_first_answer(tmp_path: Path) -> None:
    row = "    answers: {y: Yes, n: No}\n    given: {f: 30}\n"
    assert parse(tmp_path, CHECK + row).library.checks["c"].given == {"f": (30.0, 70.0)}


def test_three_hours_are_a_three_point_estimate(tmp_path: Path) -> None:
    found = parse(tmp_path, CHECK.replace("0.1", "[1, 2, 6]") + "    answers: {y: Yes}\n")
    assert found.library.checks["c"].hours == Hours(1, 2, 6)
    assert found.library.checks["c"].hours.mean == 2.5


def test_a_key_written_twice_names_both_places(tmp_path: Path) -> None:
    (problem,) = parse(tmp_path, SHOP + "tax: 5\n").problems
    assert (problem.line, problem.column) == (7, 1)
    assert "line 5, column 1" in problem.message


def test_an_id_taken_in_another_file_names_that_file(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("cautions: {hot: Hot oil.}\n")
    (tmp_path / "b.yaml").write_text("# more\ncautions:\n  hot: Hot.\n")
    (problem,) = read(str(tmp_path)).problems
    assert (problem.file, problem.line, problem.column) == (str(tmp_path / "b.yaml"), 3, 3)
    assert f"{tmp_path / 'a.yaml'}, line 1" in problem.message


def test_all_mistakes_of_a_file_come_in_one_run(tmp_path: Path) -> None:
    text = "cautions:\n" + "".join(f"  c{n}: {{say: Hot., level: loud}}\n" for n in range(12))
    assert [problem.line for problem in parse(tmp_path, text).problems] == list(range(2, 14))


def test_documents_before_a_syntax_error_are_kept(tmp_path: Path) -> None:
    found = parse(tmp_path, SHOP + "---\ntree: [\n")
    assert found.library.shop is not None
    assert not found.whole
    assert [problem.rule for problem in found.problems] == ["syntax"]


@pytest.mark.parametrize("parser", [yaml.Loader, getattr(getattr(yaml, "cyaml", None), "CParser", yaml.Loader)])
def test_a_lone_question_mark_in_braces_should_stand_in_quotes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, parser: type
) -> None:
    monkeypatch.setattr(composer, "_Parser", parser)
    (found,) = parse(tmp_path, "checks:\n  c: {ask: ?, hours: 1, answers: {y: Yes}}\n").problems
    assert (found.line, found.column, found.rule, found.help) == (2, 12, "syntax", "Put the sentence in quotes.")


def test_without_the_c_parser_a_question_in_braces_is_a_syntax_error_with_its_cure(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(composer, "_Parser", yaml.Loader)
    (found,) = parse(tmp_path, "checks:\n  c: {ask: Does it glow?, hours: 1, answers: {y: Yes}}\n").problems
    assert (found.line, found.column, found.rule, found.help) == (2, 24, "syntax", "Put the sentence in quotes.")


def test_a_quote_that_is_not_closed_is_told_where_it_opens(tmp_path: Path) -> None:
    (found,) = parse(tmp_path, 'cautions:\n  a: "Hot.\n  b: Cold.\n').problems
    assert brief(found) == (
        2,
        6,
        "syntax",
        "This is not YAML from here on: found unexpected end of stream while scanning a quoted scalar.",
    )
    assert found.help == "This quote is not closed."


def test_an_entry_read_in_part_is_still_known_by_its_id(tmp_path: Path) -> None:
    found = parse(tmp_path, "checks: {c: {ask: Q?, answers: {y: Yes}}, d: 3}\n")
    assert set(found.library.checks) == {"c"}
    assert found.library.unread == {("checks", "d")}


def test_a_value_knows_its_place(tmp_path: Path) -> None:
    library = parse(tmp_path, "engine: e\ntitle: E\nwork:\n  a: {title: A, hours: 1, after: [b, c]}\n").library
    assert library.value("engine", "e", "work", "a", "after", 1)[1:] == (4, 38, 4, 39)
    assert library.key("engine", "e", "work", "a")[1:] == (4, 3, 4, 4)
    assert library.key("engine", "e", "work", "gone")[1:3] == (3, 1)


def test_an_alias_stands_for_what_it_names_at_its_own_place(tmp_path: Path) -> None:
    library = parse(tmp_path, CHECK + "    answers: {y: &t Same, n: *t}\n").library
    assert [answer.text for answer in library.checks["c"].answers] == ["Same", "Same"]
    assert library.value("checks", "c", "answers", "n").column == 30


def test_offset_patterns_are_asked_in_the_order_of_the_contract(tmp_path: Path) -> None:
    text = CHECK + "    offsets: {uncertainty: 2}\n    answers: {mixed: M, none: N, one-cam: O}\n"
    answers = parse(tmp_path, text).library.checks["c"].answers
    assert [answer.id for answer in answers] == ["none", "one-cam", "mixed"]


def test_folded_text_keeps_its_words_and_no_tabs(tmp_path: Path) -> None:
    library = parse(tmp_path, "cautions:\n  a: >\n    Hot   oil\n    and\tcoolant.\n").library
    assert library.cautions["a"].say == "Hot oil and coolant."
