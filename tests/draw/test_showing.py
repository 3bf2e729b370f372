"""Line widths, shades, the path of one car, a single build."""

import json
import re
from pathlib import Path

import numpy as np
import pytest

from diagtree.cli import main
from diagtree.draw import showing
from diagtree.draw.body import Show
from diagtree.draw.compose import Look, compose
from diagtree.draw.legend import Extras
from diagtree.draw.path import SHADE, print_of
from diagtree.draw.picture import Picture, Word, overflow
from diagtree.graph.serving import builds, served
from diagtree.graph.trees import Link
from diagtree.model.library import Library
from diagtree.model.tree import Tree
from diagtree.reason.finding import plain
from diagtree.reason.flow import Flow, flow
from diagtree.reason.tables import tables
from diagtree.source.reader import read


@pytest.fixture(scope="module")
def demo() -> Library:
    """The demo library."""
    return read(str(Path(__file__).parents[2] / "trees")).library


def _flow(library: Library, tree: Tree, *findings: tuple[str, str]) -> Flow:
    engine = served(library, tree)[0]
    found = flow(
        library, tree, engine, builds(engine), [plain(library.checks[name], answer) for name, answer in findings]
    )
    assert found is not None
    return found


@pytest.mark.parametrize("name", ["broken-guide", "rattle-on-cold-start"])
def test_all_cars_start_and_all_end_and_none_is_lost_on_the_way(demo: Library, name: str) -> None:
    tree = demo.trees[name]
    found = _flow(demo, tree)
    assert found.nodes[tree.start] == pytest.approx(1)
    ends = [*(end.id for end in tree.outcomes), *(end.id for end in tree.onwards)]
    assert sum(found.nodes.get(end, 0.0) for end in ends) == pytest.approx(1)
    for node, share in found.nodes.items():
        into = sum(part for link, part in found.links.items() if link.target == node)
        assert into == pytest.approx(share) or node == tree.start


def test_what_was_found_decides_where_it_is_asked(demo: Library) -> None:
    tree = demo.trees["broken-guide"]
    node = next(node for node in tree.questions if node.id == tree.start)
    answer = demo.checks[node.check].answers[0].id
    found = _flow(demo, tree, (node.check, answer))
    taken = {link.key: share for link, share in found.links.items() if link.source == node.id}
    assert taken == {answer: pytest.approx(1)}


def test_the_share_of_an_end_is_what_the_walk_cost_is_weighed_by(demo: Library) -> None:
    """The first question's answers are taken as often as their marginal probability says."""
    tree = demo.trees["broken-guide"]
    engine = served(demo, tree)[0]
    (build, *_) = builds(engine)
    found = flow(demo, tree, engine, (build,))
    assert found is not None
    node = next(node for node in tree.questions if node.id == tree.start)
    known = tables(demo, tree, (build,), [node.check])
    prior = np.exp(known.log_prior[:, 0])
    marginal = known.rows[node.check] @ (prior / prior.sum())
    for answer, share in zip(demo.checks[node.check].answers, marginal, strict=True):
        link = Link(node.id, node.then[answer.id], answer.id)
        assert found.links[link] == pytest.approx(share)


def test_a_tree_without_tables_has_no_flow() -> None:
    from diagtree.model.engine import ONLY_BUILD, ONLY_ENGINE
    from diagtree.model.tree import Outcome, Question

    tree = Tree("t", "T", {}, "n", {"n": Question("n", "c", {"a": "x"}), "x": Outcome("x", ("f",))})
    assert flow(Library(trees={"t": tree}), tree, ONLY_ENGINE, (ONLY_BUILD,)) is None


def test_widths_grow_with_how_often_a_line_is_taken_and_the_legend_gives_the_scale(rattle: Tree) -> None:
    node = rattle.questions[0]
    links = [Link(node.id, target, key) for key, target in node.then.items()]
    widths, scale = showing.pens(rattle, {links[0]: 0.8, links[1]: 0.2})
    assert widths[links[0]] == pytest.approx(4 * widths[links[1]])
    assert min(widths.values()) > 0
    assert [words for _, words in scale] == ["100", "50", "25", "11 or fewer"]
    assert list(scale) == sorted(scale, reverse=True)


def test_shades_are_told_apart_in_grey_and_black_type_stays_legible_on_them(rattle: Tree) -> None:
    ends = [node.id for node in rattle.outcomes]
    tones, said = showing.belief(rattle, dict.fromkeys(ends, 0.0) | {ends[0]: 0.4, ends[1]: 0.2})
    assert tones[ends[0]] < tones[ends[1]] - 0.1 < tones[ends[2]] - 0.2
    assert said[ends[0]] == "about 40 in 100"
    assert said[ends[2]] == "fewer than 5 in 100"
    # WCAG 2.1, contrast ratio: 7 to 1 is its enhanced level.
    linear = ((min(tones.values()) + 0.055) / 1.055) ** 2.4
    assert (linear + 0.05) / 0.05 > 7


def test_small_print_is_black_where_grey_could_not_be_read(rattle: Tree) -> None:
    """WCAG 2.1, contrast ratio: 4.5 to 1 is what it asks of small type."""

    def light(grey: float) -> float:
        return float(((grey + 0.055) / 1.055) ** 2.4 + 0.05)

    small = Word("10 h", 0.0, 0.0, 0.0, 12.0, "small")
    shares = {node.id: at / 20 for at, node in enumerate(rattle.outcomes)}
    tones, _ = showing.belief(rattle, shares)
    for ground in (1.0, SHADE, *tones.values()):
        assert light(ground) / light(print_of(small, ground)) >= 4.5
    assert print_of(small, SHADE) != print_of(small, min(tones.values()))


def test_the_legend_calls_the_thick_boxes_either_the_start_or_the_path(library: Library, rattle: Tree) -> None:
    for inked, question in (("", "a question; the thick one is the start"), ("the path", "a question")):
        picture = compose(library, rattle, served(library, rattle), "", Look(extras=Extras(inked=inked)))
        assert isinstance(picture, Picture)
        assert question in {box.title for box in picture.panels if box.kind == "legend"}


def test_the_legend_explains_what_the_drawing_shows_and_nothing_else(library: Library, rattle: Tree) -> None:
    def legend(show: Show, extras: Extras, of: Tree = rattle) -> str:
        picture = compose(library, of, served(library, of), "", Look(show, extras))
        assert isinstance(picture, Picture)
        assert overflow(picture) == ()
        return "\n".join(box.title for box in picture.panels if box.kind == "legend")

    plain = legend(Show(), Extras())
    for words in (
        "what to repair: its hours and parts; single prices before tax, checks not counted",
        "the box there names the way back (from)",
        "Stop: a caution at the top, by its number",
        "Several causes in one end",
    ):
        assert words in plain
    for words in ("has not: take the dashed way", "of 100 cars"):
        assert words not in plain
    late = legend(Show(builds=frozenset({"late"}), passed=frozenset({"belt-off"})), Extras(build="late"))
    assert "has not: take the dashed way" in late
    scale = legend(Show(), Extras(pens=((4.5, "100"), (0.5, "11 or fewer"))))
    assert "A line's width: of 100 cars that come to this tree, how many go that way:\n100\n11 or fewer" in scale
    assert "Stop:" not in legend(Show(), Extras(), library.trees["sludge"])


def test_a_scale_is_not_torn_apart(library: Library, rattle: Tree) -> None:
    pens = ((4.5, "100"), (2.2, "50"), (1.1, "25"), (0.5, "11 or fewer"))
    for paper in ("", "A2", "A0"):
        picture = compose(library, rattle, served(library, rattle), paper, Look(Show(), Extras(pens=pens)))
        assert isinstance(picture, Picture)
        scale = {
            line.title: line.curves[0][0][1] for line in picture.samples if line.title in {words for _, words in pens}
        }
        assert len(scale) == 4
        assert len(set(scale.values())) == 1


def test_a_path_is_numbered_heavy_and_nothing_else_is(library: Library, rattle: Tree) -> None:
    node = next(node for node in rattle.questions if node.id == rattle.start)
    key, target = next(iter(node.then.items()))
    steps, taken = showing.path(rattle, [(node.id, key), (target, "")])
    picture = compose(
        library, rattle, served(library, rattle), "", Look(Show(steps=steps, taken=taken), Extras(inked="the path"))
    )
    assert isinstance(picture, Picture)
    inked = {box.id: box.words[0].text for box in picture.nodes if box.border == "inked"}
    assert {name: text[:3] for name, text in inked.items()} == {node.id: "(1)", target: "(2)"}
    assert [(line.source, line.key) for line in picture.lines if line.inked] == [(node.id, key)]
    assert max(line.pen for line in picture.lines if not line.inked) < min(
        line.pen for line in picture.lines if line.inked
    )
    assert overflow(picture) == ()


COMMAND = ["draw", "rattle", "--json"]


def _run(words: list[str], file: Path, out: Path, capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    assert main([*COMMAND, *words, "--library", str(file), "--out", str(out)]) == 0
    said: dict[str, object] = json.loads(capsys.readouterr().out)
    return said


def test_answers_ink_their_path(
    yaml_file: Path, rattle: Tree, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    node = next(node for node in rattle.questions if node.id == rattle.start)
    _run(["--answer", f"{node.check}={next(iter(node.then))}"], yaml_file, tmp_path / "x.svg", capsys)
    text = (tmp_path / "x.svg").read_text("utf-8")
    assert "(1)" in text
    assert "(2)" in text
    assert "numbered" in text


def test_a_build_leaves_out_what_it_never_meets(
    library: Library, rattle: Tree, yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = _run([], yaml_file, tmp_path / "x.svg", capsys)
    said = {name: _run(["--build", name], yaml_file, tmp_path / f"{name}.svg", capsys) for name in ("early", "late")}
    (engine,) = served(library, rattle)
    for name, facts in said.items():
        gone, passed = showing.left_out(library, rattle, [engine.builds[name]])
        assert facts["nodes"] == len(rattle.nodes) - len(gone)
        closed = sum(
            len(node.then) + bool(node.otherwise) if node.id in gone else len(node.then)
            for node in rattle.questions
            if node.id in gone | passed
        )
        assert facts["edges"] == int(str(whole["edges"])) - closed
        assert f"For build {name} only" in (tmp_path / f"{name}.svg").read_text("utf-8")
    assert any(facts["edges"] != whole["edges"] for facts in said.values())


def test_a_tree_without_tables_has_even_lines_and_no_belief(
    yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*COMMAND, "--belief", "--library", str(yaml_file), "--out", str(tmp_path / "x.svg")]) == 2
    assert "leave --belief out" in capsys.readouterr().err
    _run([], yaml_file, tmp_path / "y.svg", capsys)
    assert "how many go that way" not in (tmp_path / "y.svg").read_text("utf-8")


def test_belief_puts_a_number_at_each_end_and_widths_differ_unless_even(
    demo: Library, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tree = demo.trees["broken-guide"]
    out = tmp_path / "x.svg"
    common = ["draw", tree.id, "--library", str(Path(__file__).parents[2] / "trees"), "--out", str(out)]
    assert main([*common, "--belief"]) == 0
    text = out.read_text("utf-8")
    assert len(re.findall(r"(?:about \d+|fewer than 5) in 100<", text)) >= len(tree.outcomes) + len(tree.onwards)
    widths = re.compile(r'class="line" d="[^"]*" stroke="[^"]*" stroke-width="([\d.]+)"')
    assert len(set(widths.findall(text))) > 6
    assert main([*common, "--even"]) == 0
    assert len(set(widths.findall(out.read_text("utf-8")))) == 2  # lines, and the ticks of the margin
    capsys.readouterr()


def test_onward_trees_are_further_pages_and_tiles_name_their_sheets(
    yaml_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(["--onward"], yaml_file, tmp_path / "x.pdf", capsys)["pages"] == 2
    facts = _run(["--tiles", "a4"], yaml_file, tmp_path / "y.pdf", capsys)
    cut = facts["tiles"]
    assert isinstance(cut, dict)
    assert facts["pages"] == cut["rows"] * cut["columns"] + 1 > 2
