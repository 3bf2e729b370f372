from pathlib import Path

from tests.rules.finding import find

TEXT = """\
engine: v8
title: V8
features:
  chain: {title: Chain, values: [roller, silent]}
  pump: {title: Pump, values: [in, out]}
builds:
  early: {share: 3, chain: roller, pump: in}
  late: {share: 2, chain: silent}
  coach: {share: 1, chain: roller, pump: in}
"""


def test_a_build_without_a_value_and_two_that_nothing_tells_apart(tmp_path: Path) -> None:
    assert find(tmp_path, "build-without-feature-value", TEXT) == [
        (8, 3, "This build has no value for 'pump'. Write one, `none` if it has no such thing.", ""),
        (9, 3, "This build has the same features as 'early'. Make them one, or say in what they differ.", ""),
    ]


def test_builds_that_differ_and_have_every_value(tmp_path: Path) -> None:
    text = TEXT.replace("chain: silent}", "chain: silent, pump: in}").replace("1, chain: roller", "1, chain: silent")
    text = text.replace("1, chain: silent, pump: in", "1, chain: silent, pump: out")
    assert find(tmp_path, "build-without-feature-value", text) == []


def test_a_misspelt_value_is_reported_already(tmp_path: Path) -> None:
    text = TEXT.replace("chain: silent}", "chain: silentt}").replace(
        "  coach: {share: 1, chain: roller, pump: in}\n", ""
    )
    assert find(tmp_path, "build-without-feature-value", text) == []


def test_an_engine_without_builds_has_one(tmp_path: Path) -> None:
    assert find(tmp_path, "build-without-feature-value", "engine: v8\ntitle: V8\n") == []
