"""Words beside a point: near it, over no other words, inside their bounds."""

from hypothesis import given, settings
from hypothesis import strategies as st

from gyrewright.pictures.place import Box, Ground
from pictures.measured import document_of, named, outside, overlaps, text_boxes

BOUNDS = Box(0.0, 0.0, 500.0, 400.0)
SPOTS = st.lists(st.tuples(st.floats(0.0, 500.0), st.floats(0.0, 400.0)), max_size=8)


@settings(max_examples=30)
@given(SPOTS)
def test_words_never_lie_on_each_other_nor_outside(spots: list[tuple[float, float]]) -> None:
    ground = Ground(BOUNDS)
    parts = [part for number, spot in enumerate(spots) for part in ground.say(f"point {number} at 450 kg", spot)]
    root = document_of(parts, 500.0, 400.0)
    assert overlaps(root) == []
    assert outside(root) == []


def test_words_go_to_the_side_where_no_line_runs() -> None:
    ground = Ground(BOUNDS)
    ground.trace([(280.0, 0.0), (280.0, 400.0)])
    (drawn,) = text_boxes(document_of(ground.say("take-off", (250.0, 200.0)), 500.0, 400.0))
    assert drawn.right < 250.0


def test_words_far_from_their_point_are_tied_to_it() -> None:
    ground = Ground(BOUNDS, boxes=[Box(100.0, 100.0, 400.0, 300.0)])
    root = document_of(ground.say("take-off", (250.0, 200.0)), 500.0, 400.0)
    assert len(named(root, "line", "leader")) == 1


def test_where_nothing_is_free_nothing_is_said() -> None:
    assert Ground(BOUNDS, boxes=[BOUNDS]).say("take-off", (250.0, 200.0)) == []


def test_a_line_cuts_a_box_only_where_it_runs_through() -> None:
    box = Box(10.0, 10.0, 20.0, 20.0)
    assert box.cut_by((0.0, 15.0, 30.0, 15.0))
    assert box.cut_by((0.0, 0.0, 30.0, 30.0))
    assert not box.cut_by((0.0, 15.0, 9.0, 15.0))
    assert not box.cut_by((0.0, 21.0, 30.0, 21.0))
    assert not box.cut_by((5.0, 0.0, 5.0, 30.0))
