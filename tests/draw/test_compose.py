"""A tree to a picture: everything is there, nothing overlaps, every word is in its shape."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagtree.draw import pdf, svg
from diagtree.draw.compose import WALL, compose
from diagtree.draw.paper import PAPERS
from diagtree.draw.path import BLACK, SHADE, print_of
from diagtree.draw.picture import Curve, Picture, overflow
from diagtree.draw.refusal import Refusal
from diagtree.draw.setting import SIZES
from diagtree.draw.shape import Extent, Point
from diagtree.graph.serving import builds, served
from diagtree.graph.trees import graph
from diagtree.model.check import Band
from diagtree.model.library import NOTICE, Library
from diagtree.model.tree import Outcome, Question, Tree
from diagtree.report.question import asked
from diagtree.source.reader import read
from diagtree.walk.replies import Case
from diagtree.walk.session import Session, begin
from tests.oracle.libraries import random_library

Drawn = Callable[[str], Picture]
Small = Callable[..., tuple[Library, Tree]]


def _points(curve: Curve) -> Iterator[Point]:
    """Twenty points on each cubic piece of a curve."""
    for at in range(0, len(curve) - 1, 3):
        for step in range(21):
            t = step / 20
            weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            piece = curve[at : at + 4]
            yield (
                sum(w * point[0] for w, point in zip(weights, piece, strict=True)),
                sum(w * point[1] for w, point in zip(weights, piece, strict=True)),
            )


def _inside(extent: Extent, point: Point, by: float) -> bool:
    core = extent.shrunk(by)
    return core.left < point[0] < core.right and core.top < point[1] < core.bottom


def test_picture_graph_and_tree_have_the_same_nodes_and_answers(
    picture: Picture, library: Library, rattle: Tree
) -> None:
    made = graph(library, rattle)
    assert sorted(box.id for box in picture.nodes) == sorted(made.nodes) == sorted(rattle.nodes)
    drawn = sorted((line.source, line.target, line.key) for line in picture.lines)
    assert drawn == sorted(made.edges(keys=True))
    answers = sum(len(node.then) + bool(node.otherwise) for node in rattle.questions)
    assert len(picture.lines) == answers


@pytest.mark.parametrize("paper", ["", "A2", "A0", "Arch-E"])
def test_every_word_is_in_its_shape_and_on_the_page(drawn: Drawn, paper: str) -> None:
    assert overflow(drawn(paper)) == ()


def test_an_address_is_as_large_and_as_black_in_the_box_as_in_the_connector(picture: Picture) -> None:
    heads = [box.words[0] for box in picture.nodes]
    connectors = [box.words[0] for box in picture.references]
    assert connectors
    assert all(box.address in box.words[0].text.split(" \N{MIDDLE DOT} ") for box in picture.nodes)
    assert {(word.bold, round(word.size, 6)) for word in (*heads, *connectors)} == {
        (True, round(SIZES.answer * picture.scale, 6))
    }
    assert {print_of(word, SHADE) for word in heads} == {BLACK}
    assert not [box.id for box in picture.nodes if any(box.id == word.text for word in box.words)]


def test_every_answers_line_is_seen_to_go_on_beyond_its_words(picture: Picture) -> None:
    seen = 0
    for line in picture.lines:
        (_, level), *rest = line.curves[1]
        if {y for _, y in rest} == {level}:
            continue
        upright = max(x for x, y in rest if y == level)
        assert upright - max(word.left + word.width for word in line.words) > 5.99 * picture.scale
        seen += 1
    assert seen > 5


def test_where_limits_differ_each_engine_has_its_own(library: Library, rattle: Tree) -> None:
    engine = library.engines["brennick-v8"]
    moved = {"oil-pressure": {"low": Band(end=80.0), "ok": Band(start=80.0)}}
    other = replace(engine, id="brennick-i4", title="Brennick I4 (invented)", limits=moved)
    both = replace(library, engines={engine.id: engine, other.id: other})
    picture = compose(both, rattle, (engine, other))
    assert isinstance(picture, Picture)
    words = {(line.source, line.key): " ".join(word.text for word in line.words) for line in picture.lines}
    assert words["pressure", "low"] == "Below the limit (V8: below 100 kPa; I4: below 80 kPa)"
    assert words["pressure", "ok"] == "At or above the limit (V8: 100 kPa or more; I4: 80 kPa or more)"
    assert overflow(picture) == ()


def test_several_causes_in_one_end_are_not_said_to_be_there_together(picture: Picture) -> None:
    said = {box.id: " ".join(word.text for word in box.words) for box in picture.nodes}
    assert "One or more of these; the work mends all:" in said["filter-or-tensioner"]
    assert "One or more" not in said["leaks"]
    legend = {box.title for box in picture.panels if box.kind == "legend"}
    assert any(words.startswith("Several causes in one end") for words in legend)


def test_a_word_that_reaches_out_of_its_box_or_its_line_is_found(picture: Picture) -> None:
    box, line = picture.nodes[0], picture.lines[0]
    assert line.extent is not None
    narrow = replace(box, extent=box.extent.shrunk(12.0))
    gap = replace(line, extent=line.extent.shrunk(6.0))
    broken = replace(picture, nodes=(narrow, *picture.nodes[1:]), lines=(gap, *picture.lines[1:]))
    assert set(overflow(broken)) & set(box.words)
    assert set(overflow(broken)) & set(line.words)
    assert overflow(replace(picture, width=picture.width / 2))


def _placed(picture: Picture) -> list[tuple[str, Extent]]:
    """Everything that takes room in the field: boxes, connectors, words of answers."""
    return [
        *((box.id, box.extent) for box in (*picture.nodes, *picture.references)),
        *((f"{line.source} {line.key}", line.extent) for line in picture.lines if line.extent),
    ]


def _overlaps(picture: Picture) -> list[tuple[str, str]]:
    return [(one[0], other[0]) for one, other in combinations(_placed(picture), 2) if one[1].meets(other[1])]


def _runs_through(picture: Picture) -> list[tuple[str, str]]:
    """Lines with the boxes and words that they run through."""
    return sorted(
        {
            (f"{line.source} {line.key}", name)
            for line in picture.lines
            for curve in line.curves
            for point in _points(curve)
            for name, extent in _placed(picture)
            if _inside(extent, point, 0.5 * picture.scale)
        }
    )


def _crossings(picture: Picture) -> list[tuple[str, str]]:
    """Lines of different questions that cross: their strokes are level or upright, so it is a matter of intervals."""
    strokes = [
        (line.source, (min(x, u), min(y, v), max(x, u), max(y, v)))
        for line in picture.lines
        for curve in line.curves
        for (x, y), (u, v) in pairwise(curve)
    ]
    return [
        (one, other)
        for (one, a), (other, b) in combinations(strokes, 2)
        if one != other and a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]


def test_boxes_and_answers_keep_clear_of_one_another(picture: Picture) -> None:
    assert len(_placed(picture)) == len(picture.nodes) + len(picture.references) + len(picture.lines)
    assert _overlaps(picture) == []


def test_boxes_that_overlap_are_found(picture: Picture) -> None:
    first, second, *rest = picture.nodes
    moved = replace(first, extent=second.extent)
    assert _overlaps(replace(picture, nodes=(moved, second, *rest)))


def test_no_line_runs_through_a_box_or_through_words_or_crosses_another(picture: Picture) -> None:
    assert _runs_through(picture) == []
    assert _crossings(picture) == []


def test_each_line_joins_its_question_its_words_and_its_target(picture: Picture) -> None:
    boxes = {box.id: box.extent for box in picture.nodes}
    connectors = {box.id: box.extent for box in picture.references}
    for line in picture.lines:
        first, last = line.curves
        source = boxes[line.source]
        target = connectors.get(f"{line.source}--{line.target}", boxes[line.target])
        assert line.extent is not None
        assert line.arrow is not None
        assert first[0] == pytest.approx((source.right, source.centre[1]), abs=0.01)
        assert first[-1] == pytest.approx((line.extent.left, line.extent.centre[1]), abs=0.01)
        assert last[0] == pytest.approx((line.extent.right, line.extent.centre[1]), abs=0.01)
        assert line.arrow == pytest.approx((target.left, target.centre[1]), abs=0.01)
        assert last[-1][0] < line.arrow[0]
        assert source.right < line.extent.left < line.extent.right < target.left


def test_each_box_has_at_most_one_line_s_source_and_connectors_name_the_others(picture: Picture, rattle: Tree) -> None:
    """Every question that leads to a box has a line to it or a connector with its address."""
    addresses = {box.id: box.words[0].text for box in picture.nodes}
    connectors = {box.id for box in picture.references}
    for box in picture.nodes:
        sources = {line.source for line in picture.lines if line.target == box.id}
        lined = {source for source in sources if f"{source}--{box.id}" not in connectors}
        assert len(lined) <= 1
    for connector in picture.references:
        (said,) = (word.text for word in connector.words)
        assert said in addresses[connector.target].split(" \N{MIDDLE DOT} ")
        source = connector.id.split("--")[0]
        own = next(part for part in addresses[source].split(" \N{MIDDLE DOT} ") if part[-1].isdigit())
        words = " ".join(word.text for box in picture.nodes if box.id == connector.target for word in box.words)
        assert own in words.partition(" from ")[2]
    assert rattle.start in addresses


def test_else_is_dashed_and_nothing_else_is(picture: Picture) -> None:
    assert {line.key == "else" for line in picture.lines if line.dashed} == {True}
    assert not [line for line in picture.lines if line.key == "else" and not line.dashed]


def test_kinds_differ_in_outline_and_the_start_in_its_border(picture: Picture, rattle: Tree) -> None:
    shapes = {box.kind: {found.shape for found in picture.nodes if found.kind == box.kind} for box in picture.nodes}
    assert shapes == {"question": {"hexagon"}, "outcome": {"terminator"}, "onward": {"connector"}}
    assert [box.id for box in picture.nodes if box.border == "heavy"] == [rattle.start]


def test_short_questions_stand_in_diamonds(small: Small) -> None:
    library, tree = small()
    picture = compose(library, replace(tree, nodes={**tree.nodes, "n": Question("n", "c", {"a": "x", "b": "y"})}), ())
    assert isinstance(picture, Picture)
    assert {box.shape for box in picture.nodes if box.kind == "question"} == {"diamond"}
    assert overflow(picture) == ()


def test_the_head_says_what_it_is_for_and_who_decides(picture: Picture, rattle: Tree) -> None:
    (head,) = (box.title for box in picture.panels if box.kind == "title")
    for words in (rattle.title, rattle.covers, "Revision 1", "2026-11-25", rattle.source, "Brennick V8", "early, late"):
        assert words in head
    assert NOTICE in head
    drawn = " ".join(word.text for box in picture.panels if box.kind == "title" for word in box.words)
    assert NOTICE in drawn


def test_stop_cautions_come_first_and_have_a_double_border(picture: Picture) -> None:
    cautions = [box for box in picture.panels if box.kind == "caution"]
    assert [(box.words[0].text, box.border) for box in cautions] == [
        ("STOP 1", "double"),
        ("STOP 2", "double"),
        ("Warning 3", "single"),
        ("Note 4", "none"),
    ]
    assert "Only with chain roller." in cautions[1].title


def test_a_box_names_the_cautions_of_its_check_and_of_the_work_that_it_needs(picture: Picture) -> None:
    small = {box.id: [word.text for word in box.words if word.bold and word.role == "small"] for box in picture.nodes}
    assert small["pressure"] == ["Warning 3"]
    assert small["tensioner"] == ["Stop 2"]  # behind a step with the caution
    assert small["oil-grade"] == []


def test_answers_carry_limits_and_codes(picture: Picture) -> None:
    words = {(line.source, line.key): " ".join(word.text for word in line.words) for line in picture.lines}
    assert words["pressure", "low"] == "Below the limit (below 100 kPa)"
    assert words["pressure", "ok"] == "At or above the limit (100 kPa or more)"
    assert words["codes-short", "both-banks"].endswith("(P0016 or P0017) with (P0018 or P0019)")
    assert words["codes-short", "none"] == "none whatever else is stored, or nothing"
    assert words["soak", "else"] == "cannot tell"
    assert words["belt-off", "else"] == "cannot tell, or not on this build"


def test_codes_are_said_as_the_walk_says_them(library: Library, rattle: Tree, picture: Picture) -> None:
    engine = library.engines["brennick-v8"]
    tree = replace(rattle, start="codes-short")
    session = begin(Case(replace(library, trees={tree.id: tree}), tree, engine, builds(engine), {}))
    assert isinstance(session, Session)
    found = asked(session)
    assert found is not None
    drawn = set()
    for line in picture.lines:
        if line.source == "codes-short" and line.key != "else":
            answer, *codes = (word.text for word in line.words)
            drawn.add(f"{answer}: {' '.join(codes)}")
    assert drawn == {choice.text for choice in found.choices}


def test_an_engine_of_its_own_leaves_out_the_cautions_of_other_builds(library: Library, rattle: Tree) -> None:
    engine = library.engines["brennick-v8"]
    late = replace(engine, builds={"late": engine.builds["late"]})
    picture = compose(library, rattle, (late,))
    assert isinstance(picture, Picture)
    doubled = [box.id for box in picture.panels if box.border == "double" and box.kind == "caution"]
    assert doubled == ["caution-hand-only"]


def test_papers_keep_their_rule_and_the_refusal_names_the_paper_that_does(
    library: Library, rattle: Tree, drawn: Drawn
) -> None:
    refused = compose(library, rattle, served(library, rattle), "A4")
    assert isinstance(refused, Refusal)
    assert "6 pt is the least" in refused.sentence
    assert refused.sentence.endswith("use --paper A2.")
    american = compose(library, rattle, served(library, rattle), "Letter")
    assert isinstance(american, Refusal)
    assert american.sentence.endswith("use --paper Arch-C.")
    assert drawn("A2").smallest >= 6
    sizes = {role: min(word.size for word in drawn("A0").words if word.role == role) for role in ("question", "answer")}
    assert sizes["question"] >= 24
    assert sizes["answer"] >= 18
    assert drawn("A0").smallest >= 12


@pytest.mark.parametrize(
    ("paper", "sides"),
    [("A2", (420, 594)), ("A0", (841, 1189)), ("Arch-E", (914.4, 1219.2)), ("Arch-C", (457.2, 609.6))],
)
def test_a_paper_is_exact_and_the_drawing_keeps_its_margins(
    drawn: Drawn, paper: str, sides: tuple[float, float]
) -> None:
    """ISO 216: A2 is 420 by 594 mm, A0 841 by 1189 mm. Arch C is 18 by 24 inches, Arch E 36 by 48."""
    picture = drawn(paper)
    assert sorted(side * 25.4 / 72 for side in (picture.width, picture.height)) == pytest.approx(sides)
    margin = PAPERS[paper].margin / 25.4 * 72 - 0.5
    page = Extent(margin, margin, picture.width - 2 * margin, picture.height - 2 * margin)
    for box in picture.boxes:
        assert all(page.left <= x <= page.right and page.top <= y <= page.bottom for x, y in box.extent.corners), box.id


def test_a_small_tree_is_not_blown_up_without_bound(small: Small) -> None:
    picture = compose(*small(), (), "A4")
    assert isinstance(picture, Picture)
    assert picture.scale <= 1.6


def test_a_tree_too_large_for_any_paper_is_told_how_large_a_poster_of_tiles_would_be() -> None:
    nodes: dict[str, Question | Outcome] = {
        f"n{number}": Question(f"n{number}", "?", {"a": f"n{number + 1}", "b": "end"}) for number in range(140)
    }
    nodes["n140"] = nodes["end"] = Outcome("end", ("f",))
    tree = Tree("t", "Long", {}, "n0", nodes)
    refused = compose(Library(trees={"t": tree}), tree, (), "A1")
    assert isinstance(refused, Refusal)
    assert "--tiles A4 without --paper makes a poster of" in refused.sentence
    poster = compose(Library(trees={"t": tree}), tree, (), WALL)
    assert isinstance(poster, Picture)
    assert f"{poster.width * 25.4 / 72:.0f} x {poster.height * 25.4 / 72:.0f} mm" in refused.sentence
    assert min(word.size for word in poster.words if word.role == "question") >= 24


def test_two_drawings_of_one_tree_are_equal(picture: Picture, library: Library, rattle: Tree) -> None:
    assert compose(library, rattle, served(library, rattle)) == picture


@given(st.lists(st.text(st.characters(codec=None), max_size=80), min_size=5, max_size=5))
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_any_text_stays_in_its_shape_and_paints(small: Small, texts: list[str]) -> None:
    picture = compose(*small(*texts), ())
    assert isinstance(picture, Picture)
    assert overflow(picture) == ()
    assert len(picture.nodes) == 3
    assert len(picture.lines) == 3
    assert svg.paint(picture)
    assert pdf.paint([picture]).startswith(b"%PDF-")


@st.composite
def trees(draw: st.DrawFn) -> Tree:
    """Acyclic trees of up to 14 nodes in which answers meet again, skip rows and run side by side."""
    count = draw(st.integers(2, 14))
    nodes: dict[str, Question | Outcome] = {}
    for number in range(count - 1):
        ends = draw(st.lists(st.integers(number + 1, count - 1), min_size=1, max_size=5))
        then = {f"a{at}": f"n{end}" for at, end in enumerate(ends)}
        otherwise = draw(st.sampled_from(["", f"n{count - 1}"]))
        nodes[f"n{number}"] = Question(f"n{number}", f"check-{number % 3} of some length", then, otherwise)
    nodes[f"n{count - 1}"] = Outcome(f"n{count - 1}", ("f",))
    return Tree("t", "Any", {}, "n0", dict(nodes))


@given(trees())
@settings(max_examples=12, deadline=None)
def test_any_tree_keeps_its_boxes_lines_and_words_clear(tree: Tree) -> None:
    library = Library(trees={"t": tree})
    picture = compose(library, tree, ())
    assert isinstance(picture, Picture)
    assert len(picture.nodes) == len(tree.nodes)
    assert len(picture.lines) == sum(len(node.then) + bool(node.otherwise) for node in tree.questions)
    assert _overlaps(picture) == []
    assert _runs_through(picture) == []
    assert _crossings(picture) == []
    assert overflow(picture) == ()


@pytest.mark.parametrize("seed", range(12))
def test_trees_of_random_libraries_are_drawn_whole(seed: int, tmp_path: Path) -> None:
    file = tmp_path / "library.yaml"
    file.write_text(random_library(seed), "utf-8")
    library = read(str(file)).library
    for tree in library.trees.values():
        picture = compose(library, tree, served(library, tree))
        assert isinstance(picture, Picture)
        assert {box.id for box in picture.nodes} == set(tree.nodes)
        assert _overlaps(picture) == []
        assert _crossings(picture) == []
        assert overflow(picture) == ()
