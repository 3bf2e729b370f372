from pathlib import Path

from tests.rules.finding import find


def test_an_engine_that_is_served_and_has_no_timing(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, offsets: {uncertainty: 2}, answers: {none: All right, mixed: No pattern}}
---
engine: v8
title: V8
---
tree: codes
title: Codes
weights: {oil-low: 1}
start: a
nodes:
  a: {check: offsets, then: {none: b, mixed: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "offsets-without-timing", text) == [
        (
            4,
            9,
            (
                "Check 'offsets' reads camshaft offsets, and 'v8' has no `timing`. Write it, or say `when` "
                "the check applies."
            ),
            "",
        ),
    ]


def test_a_library_without_an_engine(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, offsets: {uncertainty: 2}, answers: {none: All right, mixed: No pattern}}
---
tree: codes
title: Codes
weights: {oil-low: 1}
start: a
nodes:
  a: {check: offsets, then: {none: b, mixed: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "offsets-without-timing", text) == [
        (
            2,
            40,
            "Offsets are read by camshaft, and this library has no engine. Write one with its `timing`.",
            "",
        ),
    ]


def test_an_engine_with_timing(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, offsets: {uncertainty: 2}, answers: {none: All right, mixed: No pattern}}
---
engine: v8
title: V8
timing: {pitch: 8, crank-teeth: 22, cam-teeth: 44, cams: {intake-1: {bank: 1, span: 310}}}
---
tree: codes
title: Codes
weights: {oil-low: 1}
start: a
nodes:
  a: {check: offsets, then: {none: b, mixed: b}}
  b: {outcome: oil-low}
"""
    assert find(tmp_path, "offsets-without-timing", text) == []
