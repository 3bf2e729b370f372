"""Which numbers can be written where they stand."""

from pathlib import Path

from diagtree.learning.cases import Alike, fitting
from diagtree.learning.mixture import learn
from diagtree.learning.proposal import propose
from diagtree.learning.standing import edits, writable
from diagtree.source.patching import patched
from diagtree.source.reader import read

LIBRARY = """\
checks:
  wet: {ask: Is it wet?, hours: 0.2, answers: {yes: Wet, no: Dry}, given: {seal: &row {yes: 90, no: 10}, pump: *row}}
  hot: {ask: Is it hot?, hours: 0.2, answers: {yes: Hot, no: Not}, given: {seal: .9, pump: {yes: "probable", no: no15}}}
---
faults:
  seal: {title: Seal, why: Age., repair: [], verify: [Look.]}
  pump: {title: Pump, why: Wear., repair: [], verify: [Look.]}
---
tree: leak
title: Leak
weights: {seal: 0.000003, pump: 0.000001}
other: 0
closed-jobs: 3
start: wet
nodes:
  wet: {check: wet, then: {yes: hot, no: pump}}
  hot: {check: hot, then: {yes: pump, no: seal}}
  seal: {outcome: seal}
  pump: {outcome: pump}
""".replace("no15", "improbable")


def case(cause: str, many: int) -> Alike:
    return Alike("leak", "only", ("only",), (("wet", "no"), ("hot", "no")), (cause,), many)


def test_a_number_used_twice_is_left_and_named_and_the_rest_is_written(tmp_path: Path) -> None:
    (tmp_path / "library.yaml").write_text(LIBRARY)
    found = read(str(tmp_path))
    assert not found.problems
    learned = learn(found.library, [case("seal", 20), case("pump", 40)])
    proposal, stuck = writable(found.library, found.texts, propose(found.library, learned))
    assert stuck == (("wet", "", "pump"), ("wet", "", "seal"))
    (text,) = found.texts.values()
    after = patched(text, edits(proposal))
    assert after is not None
    lines = after.splitlines()
    assert lines[1] == LIBRARY.splitlines()[1]
    assert "seal: 0.2," in lines[2]  # of .9, most is slips: (0.5 * 0.0139 - 0.005) / 0.99
    assert '"probable"' not in lines[2]
    assert "closed-jobs: 60" in lines
    (tmp_path / "library.yaml").write_text(after)
    again = read(str(tmp_path))
    assert not again.problems
    # Small weights stay small, and their ratio is the learned one: (20 + 15) / (40 + 5).
    weights = again.library.trees["leak"].weights
    assert (weights["seal"].fixed or 0) / (weights["pump"].fixed or 1) < 0.8


def test_what_the_weights_exclude_is_told_and_not_counted(tmp_path: Path) -> None:
    (tmp_path / "library.yaml").write_text(LIBRARY.replace("pump: 0.000001", "pump: 0"))
    library = read(str(tmp_path)).library
    kept, unfit = fitting(library, [case("seal", 2), case("pump", 7)])
    assert [one.faults for one in kept] == [("seal",)]
    assert unfit.many == 7
