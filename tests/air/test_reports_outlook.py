"""What a forecast allows at each hour: gyrewright.air.reports.outlook."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.air.reports import WEATHER_FACTS, Conditions, State, conditions_over, decode_taf, overridden

RECEIVED = datetime(2027, 6, 15, 12, 0, tzinfo=UTC)
START = datetime(2027, 6, 15, 12, 0, tzinfo=UTC)


def at(day, hour, minute=0):
    return datetime(2027, 6, day, hour, minute, tzinfo=UTC)


def spells(groups, head="TAF KAAA 151130Z 1512/1612 24010KT 9999 SKC"):
    return conditions_over(decode_taf(f"{head} {groups}", received_on=RECEIVED))


def table(found):
    """Each spell by kind, hours and the text of its facts."""
    return [
        (
            one.kind,
            one.probability_percent,
            one.start,
            one.end,
            one.conditions.wind and one.conditions.wind.text,
            one.conditions.visibility and one.conditions.visibility.text,
        )
        for one in found
    ]


def test_a_from_group_replaces_everything():
    found = spells("FM151800 25010KT 5000 RA BKN010 FM152200 26010KT 9999 SKC")
    assert table(found) == [
        ("prevailing", None, at(15, 12), at(15, 18), "24010KT", "9999"),
        ("from", None, at(15, 18), at(15, 22), "25010KT", "5000"),
        ("from", None, at(15, 22), at(16, 12), "26010KT", "9999"),
    ]
    assert [one.conditions.weather and one.conditions.weather[0].text for one in found] == [(), "RA", ()]
    assert [(one.certain_from, one.certain_to) for one in found] == [(one.start, one.end) for one in found]


def test_while_a_change_is_under_way_both_ends_may_hold():
    before, after = spells("BECMG 1518/1520 5000")
    assert (before.start, before.end, before.certain_from, before.certain_to) == (
        at(15, 12),
        at(15, 20),
        at(15, 12),
        at(15, 18),
    )
    assert (after.start, after.end, after.certain_from, after.certain_to) == (
        at(15, 18),
        at(16, 12),
        at(15, 20),
        at(16, 12),
    )
    assert (after.kind, after.conditions.wind.text, after.conditions.visibility.text) == ("becoming", "24010KT", "5000")
    assert after.conditions.cloud.text == "SKC"


def test_changes_follow_one_another_whatever_their_order_in_the_text():
    expected = [
        ("prevailing", None, at(15, 12), at(15, 16), "24010KT", "9999"),
        ("becoming", None, at(15, 14), at(15, 20), "24010KT", "5000"),
        ("becoming", None, at(15, 18), at(16, 12), "26010KT", "5000"),
    ]
    assert table(spells("BECMG 1514/1516 5000 BECMG 1518/1520 26010KT")) == expected
    assert table(spells("BECMG 1518/1520 26010KT BECMG 1514/1516 5000")) == expected


def test_a_spell_between_overlapping_changes_is_certain_at_no_time():
    found = spells("BECMG 1514/1518 5000 BECMG 1516/1520 26010KT")
    assert [(one.start, one.end) for one in found] == [
        (at(15, 12), at(15, 18)),
        (at(15, 14), at(15, 20)),
        (at(15, 16), at(16, 12)),
    ]
    assert (found[1].certain_from, found[1].certain_to) == (None, None)


def test_a_change_ends_with_its_track():
    found = spells("BECMG 1516/1520 5000 FM151800 25010KT 9999 SKC")
    assert table(found) == [
        ("prevailing", None, at(15, 12), at(15, 18), "24010KT", "9999"),
        ("becoming", None, at(15, 16), at(15, 18), "24010KT", "5000"),
        ("from", None, at(15, 18), at(16, 12), "25010KT", "9999"),
    ]
    assert found[1].certain_from is None


def test_a_change_printed_in_whole_hours_starts_no_earlier_than_its_from_group():
    found = spells("FM151830 25010KT 9999 SKC BECMG 1518/1520 5000")
    assert found[2].start == at(15, 18, 30)


def test_temporary_and_probable_conditions_complete_what_prevails():
    found = spells("BECMG 1516/1518 26010KT TEMPO 1514/1520 5000 RA PROB30 1600/1602 2000 PROB40 TEMPO 1602/1604 1000")
    assert table(found)[2:] == [
        ("temporary", None, at(15, 14), at(15, 18), "24010KT", "5000"),
        ("temporary", None, at(15, 16), at(15, 20), "26010KT", "5000"),
        ("probable", 30, at(16, 0), at(16, 2), "26010KT", "2000"),
        ("temporary", 40, at(16, 2), at(16, 4), "26010KT", "1000"),
    ]
    assert [(one.certain_from, one.certain_to) for one in found[2:]] == [(None, None)] * 4


def test_a_temporary_group_holds_for_its_hours_whatever_from_group_falls_into_them():
    found = spells("TEMPO 1516/1520 5000 FM151800 25010KT 9999 SKC")
    assert table(found)[2:] == [
        ("temporary", None, at(15, 16), at(15, 18), "24010KT", "5000"),
        ("temporary", None, at(15, 18), at(15, 20), "25010KT", "5000"),
    ]


def test_what_a_lasting_change_lost_stays_lost_until_everything_is_stated_afresh():
    found = spells("BECMG 1514/1516 BKNO10 BECMG 1518/1520 5000 FM160000 25010KT 9999 SKC")
    assert [one.conditions.state("cloud") for one in found] == [
        State.KNOWN,
        State.UNREAD,
        State.UNREAD,
        State.KNOWN,
    ]
    assert all(one.conditions.state("wind") is State.KNOWN for one in found)


def test_a_lost_change_leaves_nothing_known_from_one_from_group_to_the_next():
    found = spells("FM151500 25010KT 9999 SKC BECXX 1516/1518 1000 FM160000 26010KT 9999 SKC")
    unknown = [one for one in found if one.kind == "unknown"]
    assert {(one.start, one.end) for one in unknown} == {(at(15, 15), at(16, 0))}
    assert all(one.conditions.state(fact) is State.UNREAD for one in unknown for fact in WEATHER_FACTS)
    assert not any(one.overlaps(start=at(16, 1), end=at(16, 2)) for one in unknown)


@pytest.mark.parametrize(
    "head", ["TAF KAAA 151130Z NIL", "TAF KAAA 151130Z 1512/1612 CNL", "TAF KAAA 151130Z 15l2/1612 24010KT 9999 SKC"]
)
def test_a_forecast_that_is_none_allows_nothing_known_at_any_time(head):
    (one,) = spells("", head=head)
    assert one.kind == "unknown"
    assert one.conditions.lost == set(WEATHER_FACTS)
    assert one.overlaps(start=at(15, 13), end=at(15, 14))


def test_both_ends_of_a_spell_count():
    first, second = spells("FM151800 25010KT 5000 SKC")
    assert first.overlaps(start=at(15, 18), end=at(15, 19))
    assert second.overlaps(start=at(15, 17), end=at(15, 18))
    assert not second.overlaps(start=at(15, 17), end=at(15, 17, 59))
    assert not first.overlaps(start=at(15, 18, 1), end=at(15, 19))


def test_nothing_stated_changes_nothing():
    base = spells("")[0].conditions
    assert overridden(base, Conditions()) == base
    assert overridden(Conditions(), base) == base


changes = st.lists(
    st.tuples(
        st.sampled_from(["BECMG", "TEMPO", "PROB30", "PROB40 TEMPO"]),
        st.integers(0, 22),
        st.integers(1, 12),
        st.sets(st.sampled_from(["25015KT", "3000", "RA", "BKN010", "0VC003", "21010Z"]), min_size=1),
    ),
    max_size=6,
)


@given(changes, st.integers(0, 24 * 4))
def test_every_value_that_a_fact_may_have_stands_in_a_spell_of_that_moment(drawn, quarter):
    words = []
    for word, first, length, groups in drawn:
        begin, end = START + timedelta(hours=first), START + timedelta(hours=min(first + length, 24))
        words.append(f"{word} {begin:%d%H}/{end:%d%H} {' '.join(sorted(groups))}")
    taf = decode_taf(f"TAF KAAA 151130Z 1512/1612 24010KT 9999 SKC {' '.join(words)}", received_on=RECEIVED)
    moment = START + timedelta(minutes=15 * quarter)
    found = [one for one in conditions_over(taf) if one.overlaps(start=moment, end=moment)]
    lasting = sorted((one for one in taf.periods if one.kind == "becoming"), key=lambda one: (one.start, one.end))
    passing = [one for one in taf.periods if one.kind in ("temporary", "probable") and one.start <= moment <= one.end]
    for fact in ("wind", "visibility", "weather", "cloud"):
        # By hand: the last change that is over for certain, any that is under way, any that passes.
        held = taf.periods[0].conditions
        possible = [held]
        for one in lasting:
            if one.conditions.state(fact) is State.NOT_STATED or one.start > moment:
                continue
            possible = [one.conditions] if one.end < moment else [*possible, one.conditions]
        possible += [one.conditions for one in passing if one.conditions.state(fact) is not State.NOT_STATED]
        there = [(one.conditions.state(fact), getattr(one.conditions, fact)) for one in found]
        for one in possible:
            assert (one.state(fact), getattr(one, fact)) in there


@given(changes)
def test_some_prevailing_conditions_cover_every_moment_of_the_validity(drawn):
    words = []
    for word, first, length, groups in drawn:
        begin, end = START + timedelta(hours=first), START + timedelta(hours=min(first + length, 24))
        words.append(f"{word} {begin:%d%H}/{end:%d%H} {' '.join(sorted(groups))}")
    taf = decode_taf(
        f"TAF KAAA 151130Z 1512/1612 24010KT 9999 SKC {' '.join(words)} FM160930 25005KT 9999 SKC", received_on=RECEIVED
    )
    lasting = [one for one in conditions_over(taf) if one.kind in ("prevailing", "from", "becoming")]
    assert lasting[0].start == taf.valid_from
    assert lasting[-1].end == taf.valid_to
    assert all(after.start <= before.end for before, after in pairwise(lasting))
