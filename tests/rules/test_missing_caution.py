from pathlib import Path

from tests.rules.finding import find

TEXT = """\
engine: v8
title: V8
work:
  cover-off: {title: Cover off, hours: 2}
  renew-chain: {title: Chain, hours: 0.4, after: [cover-off], cautions: [interference]}
  renew-guides: {title: Guides, hours: 0.4, after: [cover-off], cautions: [interference]}
  renew-phasers: {title: Phasers, hours: 0.4, after: [cover-off], cautions: [interference, hot]}
  renew-tensioner: {title: Tensioner, hours: 0.3, after: [cover-off]}
"""
FAULTS = """\
faults:
  age: {title: Age, why: A., repair: [chain], verify: [], cautions: [interference], kind-of: guide}
  slap: {title: Slap, why: A., repair: [chain, oil], verify: [], cautions: [interference], kind-of: guide}
  wrong: {title: Wrong parts, why: A., repair: [chain], verify: [], cautions: [interference], kind-of: guide}
  jumped: {title: Jumped, why: A., repair: [chain], verify: [], cautions: [hot], kind-of: guide}
  lost: {title: Lost, why: A., repair: [engine], verify: [], kind-of: guide}
  long: {title: Long, why: A., repair: [chain], verify: []}
"""


def test_a_step_alone_lacks_a_caution_of_its_kin(tmp_path: Path) -> None:
    said = "name the caution 'interference', and this one does not. Name it here, if it holds."
    assert find(tmp_path, "missing-caution", TEXT) == [
        (8, 3, f"The 3 other steps behind the same access {said}", ""),
    ]
    tools = TEXT.replace("after: [cover-off]", "tools: [pin, lamp]").replace(
        "0.3, tools", "0.3, cautions: [hot], tools"
    )
    assert find(tmp_path, "missing-caution", tools) == [
        (8, 51, f"The 3 other steps with the same tools {said}", ""),
    ]


def test_two_kin_that_carry_it_are_too_few(tmp_path: Path) -> None:
    text = "".join(line for line in TEXT.splitlines(keepends=True) if "renew-guides" not in line)
    assert find(tmp_path, "missing-caution", text) == []


def test_two_that_lack_it_are_no_slip(tmp_path: Path) -> None:
    assert find(tmp_path, "missing-caution", TEXT + "  feel: {title: Feel, hours: 1, after: [cover-off]}\n") == []


def test_a_caution_of_a_step_that_is_done_with_it_is_shown_anyway(tmp_path: Path) -> None:
    assert find(tmp_path, "missing-caution", TEXT.replace("hours: 2}", "hours: 2, cautions: [interference]}")) == []


def test_a_fault_alone_lacks_a_caution_of_its_kin(tmp_path: Path) -> None:
    """`lost` needs other work and `long` is of another kind: both are left alone."""
    assert find(tmp_path, "missing-caution", FAULTS) == [
        (
            5,
            65,
            (
                "The 3 other faults that need 'chain' name the caution 'interference', and this one does not. "
                "Name it here, if it holds."
            ),
            "",
        ),
    ]


def test_a_step_of_the_repair_may_carry_it(tmp_path: Path) -> None:
    engine = "---\nengine: v8\ntitle: V8\nwork: {chain: {title: C, hours: 1, cautions: [interference]}}\n"
    assert find(tmp_path, "missing-caution", FAULTS + engine) == []
