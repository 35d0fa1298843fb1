"""Labels of marks on one line: none on another, none outside, and no leader through words where that can be."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from gyrewright.pictures.stack import Label, Placed, drawn, stacked
from pictures.measured import at, document_of, named, overlaps, text_boxes

SIZE = 16.0
WORDS = ("manual: at most 20 kt", "house (student alone): at most 8 kt, binds", "law", "endorsement: at most 6 kt")
LABELS = st.lists(
    st.builds(Label, st.floats(0.0, 700.0, allow_subnormal=False), st.sampled_from(WORDS), st.booleans()),
    max_size=7,
)


def placed_of(labels: list[Label], right: float) -> tuple[Placed, ...]:
    held = [Label(min(label.x, right), label.words, label.bold) for label in labels]
    return stacked(held, left=0.0, right=right, top=30.0, size=SIZE)


@given(LABELS, st.sampled_from([300.0, 400.0, 700.0]))
def test_labels_stay_in_their_room_and_never_lie_on_each_other(labels: list[Label], right: float) -> None:
    placed = placed_of(labels, right)
    assert len(placed) == len(labels)
    parts = drawn(placed, from_y=10.0, size=SIZE)
    root = document_of(parts, right, 2000.0)
    assert overlaps(root) == []
    assert all(box.left >= -0.01 and box.right <= right + 0.01 for box in text_boxes(root))
    assert len(named(root, "line", "leader")) == len(labels)


@given(LABELS)
def test_where_there_is_room_no_leader_passes_through_words(labels: list[Label]) -> None:
    """Wide enough, every label can stand on the left of its mark."""
    apart = [Label(1000.0 + label.x, label.words, label.bold) for label in labels]
    placed = stacked(apart, left=0.0, right=3000.0, top=30.0, size=SIZE)
    for one, other in ((a, b) for pair in combinations(placed, 2) for a, b in (pair, pair[::-1])):
        through = one.low < other.label.x - 0.5 and other.label.x + 0.5 < one.high and other.top > one.top
        assert not through


def test_two_marks_at_one_place_get_one_label_below_the_other() -> None:
    first, second = stacked(
        [Label(300.0, "house 8 kt"), Label(300.0, "law 8 kt")], left=0.0, right=600.0, top=0.0, size=SIZE
    )
    assert second.top >= first.bottom
    assert first.label.x == second.label.x == 300.0


def test_marks_far_apart_share_a_row() -> None:
    placed = stacked([Label(100.0, "law"), Label(500.0, "house")], left=0.0, right=600.0, top=5.0, size=SIZE)
    assert {each.top for each in placed} == {5.0}


def test_a_leader_ends_beside_its_own_words() -> None:
    (each,) = stacked([Label(300.0, "house")], left=0.0, right=600.0, top=20.0, size=SIZE)
    root = document_of(drawn([each], from_y=10.0, size=SIZE), 600.0, 100.0)
    (leader,) = named(root, "line", "leader")
    (box,) = text_boxes(root)
    assert (at(leader, "x1"), at(leader, "x2"), at(leader, "y1")) == (300.0, 300.0, 10.0)
    assert box.top < at(leader, "y2") <= box.bottom + 4.0
    assert 0.0 <= 300.0 - box.right < 10.0
