from pathlib import Path

from tests.rules.finding import find


def test_cold_is_asked_after_hot(tmp_path: Path) -> None:
    text = """\
checks:
  pressure: {ask: Hot pressure?, hours: 0.6, needs: hot, answers: {low: Low, ok: Right}}
  level: {ask: Level?, hours: 0.1, answers: {low: Low, ok: Right}}
  start: {ask: Rattle?, hours: 0.1, needs: cold, answers: {'yes': Rattles, 'no': Quiet}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: pressure, then: {low: b, ok: b}}
  b: {check: level, then: {low: c, ok: c}}
  c: {check: start, then: {'yes': d, 'no': d}}
  d: {outcome: oil-low}
"""
    assert find(tmp_path, "cold-after-hot", text) == [
        (
            13,
            14,
            (
                "This needs a cold engine, and 'pressure' can come before it and leaves it hot. Ask this "
                "first, or give it a `wait`."
            ),
            "",
        ),
    ]


def test_a_wait_between_or_at_the_check_itself_is_enough(tmp_path: Path) -> None:
    text = """\
checks:
  drive: {ask: Noise?, hours: 0.6, leaves: hot, answers: {low: Low, ok: Right}}
  soak: {ask: Dripping?, hours: 0.1, wait: 8, answers: {low: Low, ok: Right}}
  start: {ask: Rattle?, hours: 0.1, needs: cold, answers: {'yes': Rattles, 'no': Quiet}}
  overnight: {ask: Rattle?, hours: 0.1, wait: 8, needs: cold, answers: {'yes': Rattles, 'no': Quiet}}
---
tree: rattle
title: Rattle
weights: {oil-low: 1}
start: a
nodes:
  a: {check: drive, then: {low: b, ok: c}}
  b: {check: soak, then: {low: d, ok: d}}
  c: {check: overnight, then: {'yes': e, 'no': d}}
  d: {check: start, then: {'yes': e, 'no': e}}
  e: {outcome: oil-low}
"""
    assert find(tmp_path, "cold-after-hot", text) == []
