"""[FAAKT] Calendar months and hours of public knowledge-test items; years fixed for the test, exact to the day."""

from datetime import date

import pytest

from gyrewright.rules.calendar import good_through

DOCUMENT = "FAA airman knowledge test, public sample items"


@pytest.mark.source(DOCUMENT, "flight review of 8 August, 14 CFR 61.56(c)")
def test_a_flight_review_of_8_august_is_good_to_the_end_of_august_two_years_on():
    assert good_through(date(2010, 8, 8), 24) == date(2012, 8, 31)


@pytest.mark.source(DOCUMENT, "third-class medical at 51, 3 May, 14 CFR 61.23(d); from memory")
def test_a_third_class_medical_of_3_may_at_51_is_good_to_the_end_of_may_two_years_on():
    assert good_through(date(2024, 5, 3), 24) == date(2026, 5, 31)


@pytest.mark.source(DOCUMENT, "annual inspection of 12 July, 14 CFR 91.409(a); from memory")
def test_an_annual_inspection_of_12_july_is_good_to_the_end_of_july_next_year():
    assert good_through(date(2024, 7, 12), 12) == date(2025, 7, 31)
