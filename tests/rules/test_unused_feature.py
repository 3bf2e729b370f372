from pathlib import Path

import pytest

from tests.rules.finding import find

TEXT = """\
engine: v8
title: V8
features:
  chain: {title: Chain, values: [roller, silent]}
builds: {late: {chain: silent}, early: {chain: roller}}
work:
  renew-chain: {title: Chain, hours: 0.4, takes: {chain: 1}}
parts:
  chain: {title: Chain, numbers: [{number: C1, price: 9}]}
"""


def test_a_feature_that_nothing_names(tmp_path: Path) -> None:
    assert find(tmp_path, "unused-feature", TEXT) == [
        (4, 3, "No condition, amount or weight names 'chain'. Use it, or take it out.", ""),
    ]


@pytest.mark.parametrize(
    "used",
    [
        TEXT.replace("takes: {chain: 1}", "takes: {chain: {chain: {roller: 1, silent: 2}}}"),
        TEXT.replace("hours: 0.4", "hours: 0.4, when: {chain: roller}"),
        TEXT.replace("price: 9", "price: 9, when: {chain: roller}"),
        TEXT + "kits: [{number: K, title: K, price: 8, when: {chain: roller}, holds: {chain: 1}}]\n",
        TEXT + "---\ncautions: {hot: {say: Hot., when: {chain: roller}}}\n",
        TEXT + "---\nfaults: {f: {title: F, why: F., repair: [], verify: [], when: {chain: roller}}}\n",
        TEXT + "---\nchecks: {c: {ask: C?, hours: 1, when: {chain: roller}, answers: {y: Yes, n: No}}}\n",
        TEXT
        + "---\nchecks: {c: {ask: C?, hours: 1, takes: {chain: {chain: {roller: 1}}}, answers: {y: Yes, n: No}}}\n",
        TEXT
        + "---\ntree: t\ntitle: T\nweights: {f: {chain: {roller: 1, silent: 2}}}\nstart: a\nnodes: {a: {outcome: f}}\n",
        TEXT.replace("hours: 0.4", "hours: 0.4, when: {chian: roller}"),
    ],
)
def test_a_feature_that_a_condition_an_amount_or_a_weight_names(tmp_path: Path, used: str) -> None:
    assert find(tmp_path, "unused-feature", used) == []
