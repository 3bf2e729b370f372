import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from diagtree.graph.labour import closure, labour
from diagtree.graph.work import graph, plan
from diagtree.model.engine import Engine
from tests.scope.making import engine, engines, step


def everything_pulled(made: Engine, build: str, wanted: set[str]) -> set[str]:
    """The closure by networkx: what can be reached over `after` and `brings` among the admitted steps."""
    features = made.builds[build].features
    admitted = {name for name, one in made.work.items() if one.when.admits(features)}
    pulls: nx.DiGraph[str] = nx.DiGraph()
    pulls.add_nodes_from(admitted)
    for name in admitted:
        one = made.work[name]
        pulls.add_edges_from((name, other) for other in (*one.after, *one.brings) if other in admitted)
    start = wanted & admitted
    return start.union(*(nx.descendants(pulls, name) for name in start))


@given(engines(), st.data())
def test_a_closure_is_what_networkx_can_reach(made: Engine, data: st.DataObject) -> None:
    wanted = data.draw(st.sets(st.sampled_from(sorted(made.work))))
    for build in made.builds.values():
        assert closure(labour(made, build), wanted) == everything_pulled(made, build.id, wanted)


@given(engines(), st.data())
def test_a_closure_is_monotone_and_idempotent(made: Engine, data: st.DataObject) -> None:
    larger = data.draw(st.sets(st.sampled_from(sorted(made.work))))
    smaller = {name for name in larger if data.draw(st.booleans())}
    for build in made.builds.values():
        work = labour(made, build)
        inside, outside = closure(work, smaller), closure(work, larger)
        assert inside <= outside
        assert closure(work, outside) == outside


@given(engines())
def test_a_plan_holds_each_step_once_after_all_that_it_stands_behind(made: Engine) -> None:
    for build in made.builds.values():
        wanted = closure(labour(made, build), made.work)
        order = plan(made, wanted)
        assert sorted(order) == sorted(wanted)
        for place, name in enumerate(order):
            one = made.work[name]
            assert {*one.after, *one.follows} & wanted <= set(order[:place])


@given(engines(), st.randoms(use_true_random=False))
def test_a_plan_does_not_depend_on_the_order_of_the_wanted_steps(made: Engine, random: object) -> None:
    names = list(made.work)
    random.shuffle(names)  # type: ignore[attr-defined]
    assert plan(made, names) == plan(made, made.work)


def test_of_the_steps_that_could_be_next_the_first_in_the_file_is() -> None:
    made = engine([step("c", after=["a"]), step("b"), step("a"), step("d")])
    assert plan(made, ["d", "c", "b", "a"]) == ("b", "a", "c", "d")


def test_follows_orders_and_pulls_nothing_in() -> None:
    made = engine([step("fill", follows=["drain"]), step("drain")])
    assert plan(made, ["fill"]) == ("fill",)
    assert plan(made, ["fill", "drain"]) == ("drain", "fill")


def test_a_ring_of_follows_leaves_after_standing() -> None:
    made = engine([step("a", after=["b"]), step("b", follows=["a"])])
    assert plan(made, ["a", "b"]) == ("b", "a")


def test_a_ring_of_after_falls_back_to_the_file() -> None:
    made = engine([step("a", after=["b"]), step("b", after=["a"])])
    assert plan(made, ["b", "a"]) == ("a", "b")


def test_steps_that_the_engine_lacks_are_left_out_of_the_graph() -> None:
    made = engine([step("a", after=["gone"])])
    assert set(graph(made, ["a", "gone"])) == {"a"}
