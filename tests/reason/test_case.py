"""Cases that are kept while one library is asked."""

from dataclasses import replace

from diagtree.graph.serving import builds, engines
from diagtree.reason.case import kept_case
from tests.reason.cases import random_library


def test_a_case_is_made_once_for_the_same_library_tree_engine_and_build() -> None:
    library = random_library(1)
    tree, engine = next(iter(library.trees.values())), engines(library)[0]
    build = builds(engine)[0]
    first = kept_case(library, tree, engine, build)
    assert kept_case(library, tree, engine, build) is first
    assert kept_case(library, replace(tree), engine, build) is not first
    assert kept_case(library, tree, engine, replace(build)) is not first


def test_another_library_of_the_same_ids_has_cases_of_its_own() -> None:
    found = []
    for library in (random_library(1), random_library(2), random_library(1)):
        tree, engine = next(iter(library.trees.values())), engines(library)[0]
        found.append((library, kept_case(library, tree, engine, builds(engine)[0])))
    assert all(made.library is library for library, made in found)
    assert len({id(made) for _, made in found}) == len(found)
