"""What closed jobs would change in the files."""

from pathlib import Path

import numpy as np
import pytest

from diagtree.graph.serving import builds
from diagtree.learning.cases import Alike
from diagtree.learning.mixture import learn
from diagtree.learning.proposal import Number, propose
from diagtree.model.library import Library
from diagtree.reason.tables import rows, tables
from diagtree.rules.registry import vet
from diagtree.source.patching import Edit, patched
from diagtree.source.reader import Read, read
from tests.learning.test_mixture import jobs

FOREIGN = Path(__file__).resolve().parents[1] / "foreign" / "pump"
STRENGTH = 0.01


@pytest.fixture(scope="module")
def author() -> Read:
    return read(str(FOREIGN))


def other_truth(folder: Path) -> Library:
    """The same trade where some things are otherwise than the author wrote."""
    for path in FOREIGN.rglob("*.yaml"):
        text = path.read_text()
        text = text.replace(
            "bearings-worn: {gravel: 5, rumble: 85, squeal: 5, quiet: 5}", "bearings-worn: [15, 45, 35, 5]"
        )
        text = text.replace("[15, 45, 35, 5]", "{gravel: 15, rumble: 45, squeal: 35, quiet: 5}")
        text = text.replace("given: {default: 6, bearings-worn: 80}", "given: {default: 16, bearings-worn: 50}")
        (folder / path.name).write_text(text)
    return read(str(folder)).library


def written(found: Read, numbers: tuple[Number, ...], folder: Path) -> Library:
    """The library with these numbers, as it is read again."""
    for file, text in found.texts.items():
        after = patched(text, [Edit(one.place, one.after) for one in numbers if one.place.file == file])
        assert after is not None
        (folder / Path(file).name).write_text(after)
    again = read(str(folder))
    assert not again.problems
    assert not [one for one in vet(again) if one.severity == "error"]
    return again.library


def test_the_files_as_patched_hold_what_was_learned(author: Read, tmp_path: Path) -> None:
    truth = tmp_path / "truth"
    truth.mkdir()
    cases = jobs(other_truth(truth), 30_000, hidden=0.0, seed=2)
    learned = learn(author.library, cases, strength=STRENGTH)
    found = propose(author.library, learned)
    moved = {(one.check, one.cause) for one in found.numbers if one.check}
    assert {("noise-kind", "bearings-worn"), ("frame-oil", "bearings-worn"), ("frame-oil", "default")} <= moved
    after = tmp_path / "after"
    after.mkdir()
    library = written(author, found.numbers, after)
    for name, key in moved:
        cause = (
            key
            if key != "default"
            else next(fault for fault in library.trees["noisy-pump"].weights if fault not in library.checks[name].given)
        )
        row = rows(library, library.checks[name], [cause])[:, 0]
        # Written to a tenth of a per cent.
        assert row == pytest.approx(learned.rows[name, key].learned, abs=1.5e-3), (name, key)


def test_weights_as_patched_are_the_learned_shares(author: Read, tmp_path: Path) -> None:
    """Of one build each job: so the shares of the visits are what the weights say."""
    tree = author.library.trees["noisy-pump"]
    engine = next(iter(author.library.engines.values()))
    made = builds(engine)
    causes = [name for name in tree.weights if name in author.library.faults]
    cases = [
        Alike(tree.id, engine.id, (build.id,), (), (cause,), 40 + 30 * at)
        for at, cause in enumerate(causes)
        for build in made
        if author.library.faults[cause].when.admits(build.features)
    ]
    learned = learn(author.library, cases, strength=STRENGTH)
    found = propose(author.library, learned)
    assert all(one.tree == tree.id for one in found.numbers)
    library = written(author, found.numbers, tmp_path)
    cells = learned.weights[tree.id]
    known = tables(library, library.trees[tree.id], made, ())
    joint = np.exp(known.log_prior)
    by_cause = joint.sum(axis=1) / joint.sum()
    expected = dict.fromkeys(known.causes, 0.0)
    for (cause, _), share in zip(cells.names, cells.learned.tolist(), strict=True):
        expected[cause] += share
    assert dict(zip(known.causes, by_cause.tolist(), strict=True)) == pytest.approx(expected, abs=0.01)


def test_what_is_seldom_seen_keeps_its_author_s_number(author: Read) -> None:
    tree = author.library.trees["noisy-pump"]
    engine = next(iter(author.library.engines.values()))
    check, cause = author.library.checks["noise-kind"], "bearings-worn"
    build = builds(engine)[0]
    few = [Alike(tree.id, engine.id, (build.id,), ((check.id, check.answers[0].id),), (cause,), 4)]
    found = propose(author.library, learn(author.library, few, strength=STRENGTH))
    assert found.numbers == ()
    assert found.seldom == 2


def test_an_interval_holds_the_learned_share_and_shrinks_with_cars(author: Read) -> None:
    tree = author.library.trees["noisy-pump"]
    engine = next(iter(author.library.engines.values()))
    build = builds(engine)[0]
    wide = []
    for many in (20, 2000):
        cases = [Alike(tree.id, engine.id, (build.id,), (("noise-kind", "gravel"),), ("bearings-worn",), many)]
        found = propose(author.library, learn(author.library, cases))
        row = [one for one in found.numbers if one.check == "noise-kind"]
        assert row
        for one in row:
            assert one.low <= one.learned <= one.high
            assert one.cars == many
        wide.append(max(one.high - one.low for one in row))
    assert wide[1] < wide[0] / 5
