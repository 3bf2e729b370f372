from pathlib import Path

from tests.rules.finding import find


def test_an_answer_leads_on_to_what_must_never_follow_it(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, answers: {right: All right, together: All alike}}
  cranking: {ask: Even?, hours: 0.3, answers: {even: Even, odd: Odd}, never-after: {offsets: [together]}}
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
tree: codes
title: Codes
weights: {slipped: 1}
start: a
nodes:
  a: {check: offsets, then: {right: b, together: b}}
  b: {check: level, then: {low: c, ok: c}}
  c: {check: cranking, then: {even: d, odd: d}}
  d: {outcome: slipped}
"""
    assert find(tmp_path, "forbidden-path", text) == [
        (
            13,
            14,
            (
                "'offsets' answered 'together' leads here, and 'cranking' must never be done after it. Lead "
                "that answer elsewhere."
            ),
            "",
        ),
    ]


def test_also_by_way_of_another_tree(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, answers: {right: All right, together: All alike}}
  cranking: {ask: Even?, hours: 0.3, answers: {even: Even, odd: Odd}, never-after: {offsets: [together]}}
---
tree: codes
title: Codes
weights: {slipped: 1, valves: 1}
start: a
nodes:
  a: {check: offsets, then: {right: b, together: c}}
  b: {outcome: slipped}
  c: {continue: valves}
---
tree: valves
title: Valves
weights: {slipped: 1}
start: a
nodes:
  a: {check: cranking, then: {even: d, odd: d}}
  d: {outcome: slipped}
"""
    assert find(tmp_path, "forbidden-path", text) == [
        (
            19,
            14,
            (
                "'offsets' answered 'together' leads here by way of tree 'codes', and 'cranking' must never "
                "be done after it. Lead that answer elsewhere."
            ),
            "",
        ),
    ]


def test_an_answer_known_from_further_up_keeps_the_path_away(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, answers: {right: All right, together: All alike}}
  cranking: {ask: Even?, hours: 0.3, answers: {even: Even, odd: Odd}, never-after: {offsets: [together]}}
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
---
tree: codes
title: Codes
weights: {slipped: 1}
start: a
nodes:
  a: {check: offsets, then: {right: b, together: b}}
  b: {check: level, then: {low: c, ok: c}}
  c: {check: offsets, then: {right: e, together: d}, else: d}
  e: {check: cranking, then: {even: d, odd: d}}
  d: {outcome: slipped}
"""
    assert find(tmp_path, "forbidden-path", text) == []


def test_no_build_has_both_checks(tmp_path: Path) -> None:
    text = """\
checks:
  offsets: {ask: Offsets?, hours: 0.1, when: {banks: 2}, answers: {right: All right, together: All alike}}
  cranking:
    {ask: Even?, hours: 0.3, when: {banks: 1}, answers: {even: Even, odd: Odd}, never-after: {offsets: [together]}}
---
engine: v8
title: V8
features: {banks: {title: Banks, values: [1, 2]}}
builds: {one: {banks: 1}, two: {banks: 2}}
---
tree: codes
title: Codes
weights: {slipped: 1}
start: a
nodes:
  a: {check: offsets, then: {right: c, together: c}, else: c}
  c: {check: cranking, then: {even: d, odd: d}, else: d}
  d: {outcome: slipped}
"""
    assert find(tmp_path, "forbidden-path", text) == []
