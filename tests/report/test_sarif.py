"""SARIF and the lines that a CI server marks."""

import json
from typing import Any

from diagtree.model.problem import Place, Problem, problem
from diagtree.report.sarif import as_annotations, as_sarif


def run_of(problems: list[Problem], text: str) -> Any:
    return json.loads(as_sarif(problems, {"lib.yaml": text}, {"a-rule": "Something is wrong.\n\nWhy."}))["runs"][0]


def at(line: int, message: str = "Wrong.") -> Problem:
    return problem(Place("lib.yaml", line, 1, line, 5), "a-rule", message)


def test_a_result_has_its_place_in_columns_from_one() -> None:
    run = run_of([at(2)], "one\ntwo\n")
    assert run["columnKind"] == "unicodeCodePoints"
    (result,) = run["results"]
    assert result["ruleId"] == "a-rule"
    assert result["level"] == "error"
    assert result["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "lib.yaml"},
        "region": {"startLine": 2, "startColumn": 1, "endLine": 2, "endColumn": 5},
    }


def test_a_fingerprint_stays_when_a_line_is_inserted_above() -> None:
    before = run_of([at(2, "First on line 1.")], "one\ntwo\n")["results"][0]
    after = run_of([at(3, "First on line 2.")], "\none\ntwo\n")["results"][0]
    assert before["partialFingerprints"] == after["partialFingerprints"]


def test_equal_lines_have_fingerprints_of_their_own() -> None:
    prints = [tuple(result["partialFingerprints"].values()) for result in run_of([at(1), at(2)], "a\na\n")["results"]]
    assert len(set(prints)) == 2


def test_the_rules_carry_their_manual_entries() -> None:
    (rule,) = run_of([at(1)], "a\n")["tool"]["driver"]["rules"]
    assert rule["shortDescription"]["text"] == "Something is wrong."


def test_a_path_is_a_relative_reference() -> None:
    odd = problem(Place("a b/é%.yaml", 1, 1, 1, 2), "a-rule", "Wrong.")
    result = json.loads(as_sarif([odd], {}, {}))["runs"][0]["results"][0]
    assert result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "a%20b/%C3%A9%25.yaml"


def test_an_annotation_can_not_be_broken_by_its_text() -> None:
    hostile = problem(Place("a,b:c.yaml", 1, 1, 1, 2), "a-rule", "100 %\n::error::no")
    (line,) = as_annotations([hostile]).splitlines()
    assert line == (
        "::error file=a%2Cb%3Ac.yaml,line=1,endLine=1,col=1,endColumn=2,title=a-rule::100 %25%0A::error::no"
    )
