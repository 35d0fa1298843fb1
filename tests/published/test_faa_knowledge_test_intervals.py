"""[FAAKT] Dates and hours asked in the agency's public knowledge-test items, and the rules that they rest on."""

from __future__ import annotations

from datetime import date

import pytest

from gyrewright.maintenance.months import through_calendar_months
from gyrewright.maintenance.next_due import next_due_h

EXACT_H = 1e-9  # sums of printed tenths; only the machine's rounding


@pytest.mark.source("FAA airman knowledge-test item (public sample); 14 CFR 61.56(c)", "review of 8 August")
def test_a_review_of_8_august_counts_through_august_two_years_later():
    assert through_calendar_months(date(2010, 8, 8), 24) == date(2012, 8, 31)


@pytest.mark.source(
    "FAA airman knowledge-test item (public sample), from memory; 14 CFR 61.23(d)(1)(iii)", "aged 51, 3 May"
)
def test_a_third_class_medical_at_51_counts_through_may_two_years_later():
    assert through_calendar_months(date(2024, 5, 3), 24) == date(2026, 5, 31)


@pytest.mark.source(
    "FAA airman knowledge-test item (public sample), from memory; 14 CFR 91.409(a)(1)", "annual of 12 July"
)
def test_an_annual_of_12_july_counts_through_july_a_year_later():
    assert through_calendar_months(date(2024, 7, 12), 12) == date(2025, 7, 31)


@pytest.mark.source(
    "FAA airman knowledge-test item (public sample), from memory; 14 CFR 91.409(b)", "due 3302.5, done 3309.5"
)
def test_seven_hours_flown_over_leave_93_to_the_next():
    due = next_due_h(done_h=3309.5, was_due_h=3302.5, interval_h=100.0, late="subtracts")
    assert due == pytest.approx(3402.5, abs=EXACT_H)


@pytest.mark.source("14 CFR part 61, 1 January 2025 edition", "61.39(a)(1)(i)")
def test_a_knowledge_test_of_march_counts_through_march_two_years_later():
    assert through_calendar_months(date(2024, 3, 15), 24) == date(2026, 3, 31)


@pytest.mark.source("14 CFR part 61, 1 January 2025 edition", "61.109(d)(3), within the preceding 2 calendar months")
def test_preparation_on_1_march_serves_a_test_through_31_may_and_not_on_1_june():
    last = through_calendar_months(date(2025, 3, 1), 2)
    assert last == date(2025, 5, 31)
    assert date(2025, 6, 1) > last
