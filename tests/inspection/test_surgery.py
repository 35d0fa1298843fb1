"""What the walk-round's own record proposes about its items."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from gyrewright.inspection.lists import shipped_list
from gyrewright.inspection.surgery import MOVE, REWORD, Seen, by_maintainers_alone, never_failed, proposals

ITEMS = shipped_list("walk-round").items
NOTED = next(each for each in ITEMS if each.grade == "N" and not each.critical and not each.of)
GROUNDS = next(each for each in ITEMS if each.grade == "G" and not each.of)
CRITICAL = next(each for each in ITEMS if each.critical)


def seen(item, **counts):
    return {item.id: Seen(item.id, **counts)}


def test_an_item_never_found_not_right_is_asked_about_after_the_houses_number_of_looks():
    assert proposals(ITEMS, seen(NOTED, looks=199), asked_after=200) == ()
    (one,) = proposals(ITEMS, seen(NOTED, looks=200), asked_after=200)
    assert (one.item, one.what) == (NOTED, MOVE)
    assert proposals(ITEMS, seen(NOTED, looks=200), asked_after=None) == ()
    assert proposals(ITEMS, seen(NOTED, looks=200, failed=1), asked_after=200) == ()
    assert proposals(ITEMS, seen(NOTED, looks=200, by_others=1), asked_after=200) == ()


def test_what_grounds_or_has_killed_is_never_proposed_for_fewer_looks():
    for item in (GROUNDS, CRITICAL):
        assert proposals(ITEMS, seen(item, looks=100_000), asked_after=200) == ()
        assert never_failed(ITEMS, seen(item, looks=5)) != ()


def test_what_maintainers_alone_find_is_proposed_to_be_said_better():
    (one,) = proposals(ITEMS, seen(CRITICAL, looks=50, by_maintainers=2), asked_after=None)
    assert (one.item, one.what) == (CRITICAL, REWORD)
    assert by_maintainers_alone(ITEMS, seen(CRITICAL, looks=50, by_maintainers=2, failed=1)) == ()
    assert by_maintainers_alone(ITEMS, seen(CRITICAL, looks=50, by_maintainers=2, by_others=1)) == ()


def test_an_item_that_nobody_has_looked_at_is_no_item_that_never_failed():
    assert never_failed(ITEMS, seen(NOTED)) == ()
    assert never_failed(ITEMS, {}) == ()


COUNTS = st.fixed_dictionaries(
    {name: st.integers(0, 400) for name in ("looks", "failed", "by_maintainers", "by_others")}
).map(lambda each: each | {"failed": min(each["failed"], each["looks"])})


@given(st.dictionaries(st.sampled_from([each.id for each in ITEMS]), COUNTS, max_size=20))
def test_whatever_was_counted_no_grounding_item_is_proposed_for_fewer_looks(counts):
    record = {id: Seen(id, **each) for id, each in counts.items()}
    for one in proposals(ITEMS, record, asked_after=1):
        assert one.what == REWORD or (one.item.grade != "G" and not one.item.critical)
        assert one.what == MOVE or one.seen.by_maintainers


def test_the_share_of_an_item_never_found_is_bounded_above():
    assert 0.0 < Seen("B06", looks=200).share.high_ratio < 0.02
