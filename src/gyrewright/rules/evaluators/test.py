"""The practical test: windows of dates, statements, standards, the aircraft and the examiner's consent."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from gyrewright.arrays import at_least
from gyrewright.finding import Cure
from gyrewright.rules.calendar import good_through, within_days
from gyrewright.rules.registry import TEXT, TEXTS, WHOLE, Found, Params, evaluator, measured, passes, stops, unknown


@evaluator("test papers", knowledge_months=WHOLE, training_months=WHOLE)
def judge_test_papers(
    *,
    knowledge_months: int,
    training_months: int,
    student_knowledge_test_on: date,
    student_test_report_presented: bool,
    student_areas_missed: int,
    student_missed_areas_reviewed: bool | None = None,
    student_test_training_on: date,
    student_test_endorsed_on: date | None = None,
    student_experience_complete: bool,
    flight_on: date,
) -> Found:
    """Return everything that stands between an applicant and the test, each as a finding of its own."""
    out = []
    knowledge_until = good_through(student_knowledge_test_on, knowledge_months)
    training_until = good_through(student_test_training_on, training_months)
    if student_knowledge_test_on > flight_on or flight_on > knowledge_until:
        out.append(stops("knowledge", tested_on=student_knowledge_test_on, until=knowledge_until))
    if not student_test_report_presented:
        out.append(stops("report"))
    if student_areas_missed > 0:
        if student_missed_areas_reviewed is None:
            out.append(unknown("student_missed_areas_reviewed", count=student_areas_missed))
        elif not student_missed_areas_reviewed:
            cure = Cure("people.review_missed_areas", "the instructor who reviews them")
            out.append(stops("areas", count=student_areas_missed, cures=(cure,)))
    if student_test_training_on > flight_on or flight_on > training_until:
        out.append(stops("training", trained_on=student_test_training_on, until=training_until))
    if student_test_endorsed_on is None:
        out.append(unknown("student_test_endorsed_on"))
    elif student_test_endorsed_on > flight_on or student_test_endorsed_on < student_test_training_on:
        out.append(stops("endorsement", endorsed_on=student_test_endorsed_on, trained_on=student_test_training_on))
    if not student_experience_complete:
        out.append(stops("experience"))
    return tuple(out) or passes(until=min(knowledge_until, training_until))


@evaluator("test continued", credit_days=WHOLE, parts_months=WHOLE)
def judge_test_continued(
    *,
    credit_days: int,
    parts_months: int,
    student_test_discontinued_on: date | None = None,
    student_test_begun_on: date | None = None,
    student_claims_credit: bool,
    flight_on: date,
) -> Found:
    """Return whether areas already passed still count: the days of credit and the months for all parts, the earlier."""
    if not student_claims_credit:
        return None
    if student_test_discontinued_on is None or student_test_begun_on is None:
        dates = (
            ("student_test_discontinued_on", student_test_discontinued_on),
            ("student_test_begun_on", student_test_begun_on),
        )
        return unknown(*(name for name, value in dates if value is None))
    until = min(
        student_test_discontinued_on + timedelta(days=credit_days), good_through(student_test_begun_on, parts_months)
    )
    good = within_days(student_test_discontinued_on, flight_on, credit_days) and flight_on <= until
    return passes(until=until) if good else stops(until=until)


@evaluator("retest")
def retest(
    *,
    student_test_failed_on: date | None = None,
    student_test_failed: bool,
    student_retest_endorsed_on: date | None = None,
    flight_on: date,
) -> Found:
    """Return whether training after a failure has been endorsed; no wait is asked for."""
    if not student_test_failed:
        return None
    if student_test_failed_on is None:
        return unknown("student_test_failed_on")
    if student_retest_endorsed_on is None:
        return stops(failed_on=student_test_failed_on)
    params: Params = {"failed_on": student_test_failed_on, "endorsed_on": student_retest_endorsed_on}
    good = student_test_failed_on <= student_retest_endorsed_on <= flight_on
    return passes(**params) if good else stops("early", **params)


@evaluator("test aircraft", by_consent=TEXTS, stations=WHOLE)
def judge_test_aircraft(
    *,
    by_consent: Sequence[str],
    stations: int,
    certificate: str,
    examiner_accepts_aircraft: bool | None = None,
    registered_at_home: bool,
    limits_forbid_a_task: bool,
    pilot_stations: int,
    test_commander_agreed: bool | None = None,
) -> Found:
    """Return whether the aircraft fits the test, the examiner consents where asked, and who commands is agreed."""
    if not registered_at_home:
        return stops("registered")
    if limits_forbid_a_task:
        return stops("task")
    if pilot_stations < stations and not examiner_accepts_aircraft:
        return unknown("examiner_accepts_aircraft") if examiner_accepts_aircraft is None else stops("stations")
    if certificate in by_consent:
        if examiner_accepts_aircraft is None:
            return unknown("examiner_accepts_aircraft")
        if not examiner_accepts_aircraft:
            return stops(certificate=certificate)
    return passes() if test_commander_agreed else unknown("test_commander_agreed")


@evaluator("test standard", edition=TEXT)
def judge_test_standard(*, edition: str, examiner_standard_edition: str) -> Found:
    """Return whether the examiner's plan follows the edition that binds on the day."""
    params: Params = {"edition": edition, "used": examiner_standard_edition}
    return passes(**params) if examiner_standard_edition == edition else stops(**params)


@evaluator("recovery height", least=measured("length"))
def recovery_height(*, least: float, planned_recovery_height_m: float) -> Found:
    """Return whether slow flight and recoveries are planned to end at or above the height of the standard."""
    params: Params = {"height_m": planned_recovery_height_m, "least_m": least}
    return passes(**params) if at_least(planned_recovery_height_m, least) else stops(**params)
