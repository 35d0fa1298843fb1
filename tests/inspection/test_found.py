"""Found of placed: what holds for every count."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gyrewright.errors import OutOfRange
from gyrewright.inspection.found import share

COUNTS = st.integers(0, 60).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


@given(COUNTS)
def test_what_was_seen_lies_in_its_interval_and_the_missed_mirror_the_found(counts):
    found, of = counts
    made, missed = share(found, of), share(of - found, of)
    assert 0.0 <= made.low_ratio <= made.high_ratio <= 1.0
    if of:
        assert made.low_ratio <= found / of <= made.high_ratio
    assert made.low_ratio == pytest.approx(1.0 - missed.high_ratio, abs=1e-12)


@given(st.integers(1, 60), st.data())
def test_each_limit_leaves_exactly_one_tail(of, data):
    found = data.draw(st.integers(1, of - 1)) if of > 1 else 0
    made = share(found, of)

    def often(counts, ratio):
        return math.fsum(math.comb(of, each) * ratio**each * (1 - ratio) ** (of - each) for each in counts)

    assert often(range(found + 1), made.high_ratio) == pytest.approx(0.025, abs=1e-10)
    if found:
        assert often(range(found, of + 1), made.low_ratio) == pytest.approx(0.025, abs=1e-10)


@given(COUNTS)
def test_more_tries_of_the_same_share_say_more(counts):
    found, of = counts
    few, many = share(found, of), share(10 * found, 10 * of)
    assert many.high_ratio - many.low_ratio <= few.high_ratio - few.low_ratio + 1e-12


def test_nothing_of_nothing_says_nothing():
    made = share(0, 0)
    assert (made.low_ratio, made.high_ratio, made.is_told) == (0.0, 1.0, False)
    assert share(0, 1).is_told


@pytest.mark.parametrize(("found", "of", "confidence"), [(3, 2, 0.95), (-1, 2, 0.95), (1, 2, 1.0), (1, 2, 0.0)])
def test_what_is_no_count_is_refused(found, of, confidence):
    with pytest.raises(OutOfRange):
        share(found, of, confidence_ratio=confidence)
