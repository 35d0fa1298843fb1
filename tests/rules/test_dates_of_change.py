"""Every dated change of the US pack: the day before, the day, the day after."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules import in_force

GO, STOP, UNKNOWN = Verdict.GO, Verdict.STOP, Verdict.UNKNOWN
DAY = timedelta(days=1)


def around(day):
    return (day - DAY, day, day + DAY)


def verdicts(ask, rule, changes, day, **given):
    out = []
    for on in around(day):
        found = ask(rule, changes, on=on, **given)
        out.append(None if not found else found[0].verdict)
    return tuple(out)


def test_1_december_2024_instructor_certificates_stop_expiring(ask):
    """Issued before, a certificate ends on its printed day under both texts."""
    old = {"instructor_teaching_on": date(2022, 12, 5), "instructor_teaching_printed_until_on": date(2024, 12, 31)}
    assert verdicts(ask, "us.61.197", {**old, "instructor_teaching_recent_on": None}, date(2024, 12, 1)) == (GO, GO, GO)
    late = {**old, "instructor_teaching_printed_until_on": date(2024, 11, 29)}
    assert verdicts(ask, "us.61.197", late, date(2024, 12, 1)) == (STOP, STOP, STOP)


def test_1_december_2024_recent_experience_counts_only_from_then_on(ask):
    new = {
        "instructor_teaching_on": date(2024, 11, 30),
        "instructor_teaching_printed_until_on": None,
        "instructor_teaching_recent_on": date(2024, 11, 30),
    }
    assert verdicts(ask, "us.61.197", new, date(2024, 12, 1)) == (UNKNOWN, UNKNOWN, UNKNOWN)
    issued = {**new, "instructor_teaching_on": date(2024, 12, 1), "instructor_teaching_recent_on": date(2024, 12, 1)}
    assert verdicts(ask, "us.61.197", issued, date(2024, 12, 1)) == (STOP, GO, GO)


def test_2_december_2024_persons_instead_of_passengers(ask):
    assert verdicts(ask, "us.61.57.day", {"commander_landings": ()}, date(2024, 12, 2)) == (None, STOP, STOP)


def test_2_december_2024_training_in_experimental_aircraft(ask):
    changes = {"training_authority": ""}
    assert verdicts(ask, "us.91.326.training", changes, date(2024, 12, 2)) == (None, STOP, STOP)


def test_22_october_2025_weight_and_speed_no_longer_bound_a_sport_aircraft(ask):
    heavy = {"aircraft_max_mass_kg": 650.0, "aircraft_engine": "single reciprocating"}
    assert verdicts(ask, "us.61.316", heavy, date(2025, 10, 22)) == (STOP, GO, GO)
    fast = {"aircraft_max_mass_kg": 500.0, "aircraft_engine": "single reciprocating", "aircraft_vh_m_s": 62.0}
    assert verdicts(ask, "us.61.316", fast, date(2025, 10, 22)) == (STOP, GO, GO)


def test_22_october_2025_data_that_only_the_old_text_asks_for_is_lacking_only_under_it(ask):
    lacking = {"aircraft_max_mass_kg": None, "aircraft_engine": "single reciprocating"}
    assert verdicts(ask, "us.61.316", lacking, date(2025, 10, 22)) == (UNKNOWN, GO, GO)
    new = {"aircraft_controllable_without_power": None}
    assert ask("us.61.316", new, on=date(2025, 10, 22))[0].lacking == ("aircraft_controllable_without_power",)


def test_22_october_2025_a_sport_pilot_may_fly_at_night_with_an_endorsement(ask, shapes):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23)}
    assert verdicts(ask, "us.61.329", late, date(2025, 10, 22)) == (STOP, GO, GO)
    without = {**late, "commander_endorsed_for": frozenset()}
    assert verdicts(ask, "us.61.329", without, date(2025, 10, 22)) == (STOP, STOP, STOP)


def test_22_october_2025_retractable_gear_with_an_endorsement(ask):
    changes = {"aircraft_gear_retractable": True, "commander_endorsed_for": frozenset()}
    assert verdicts(ask, "us.61.331", changes, date(2025, 10, 22)) == (None, STOP, STOP)
    gear = {"aircraft_gear": "retractable", "aircraft_max_mass_kg": 500.0, "aircraft_engine": "single reciprocating"}
    assert verdicts(ask, "us.61.316", gear, date(2025, 10, 22)) == (STOP, GO, GO)


def test_24_july_2026_a_gyroplane_may_be_in_the_light_sport_category(ask):
    assert verdicts(ask, "us.21.190", {}, date(2026, 7, 24)) == (STOP, GO, GO)


def test_14_october_2026_the_new_standards_bind(ask):
    old = {"examiner_standard_edition": "FAA-S-8081-29A"}
    new = {"examiner_standard_edition": "FAA-S-8081-29B"}
    assert verdicts(ask, "us.61.43.standard-sport", old, date(2026, 10, 14)) == (GO, STOP, STOP)
    assert verdicts(ask, "us.61.43.standard-sport", new, date(2026, 10, 14)) == (STOP, GO, GO)


def test_14_october_2026_a_recovery_under_the_reported_height_is_unknown_for_nobody_has_read_the_text(ask):
    low = {"planned_recovery_height_m": 200.0}
    assert verdicts(ask, "us.61.43.recovery", low, date(2026, 10, 14)) == (GO, UNKNOWN, UNKNOWN)
    assert verdicts(ask, "us.61.43.recovery", {"planned_recovery_height_m": 180.0}, date(2026, 10, 14))[0] is STOP
    (found,) = ask("us.61.43.recovery", {"planned_recovery_height_m": 457.2}, on=date(2026, 10, 14))
    assert found.verdict is GO
    assert found.unconfirmed
    (found,) = ask("us.61.43.recovery", low, on=date(2026, 10, 14))
    assert found.why == "unread"
    assert not found.unconfirmed


def test_1_december_2026_an_old_training_authority_ends(ask):
    old = {"training_authority_on": date(2024, 12, 1)}
    new = {"training_authority_on": date(2024, 12, 2)}
    assert verdicts(ask, "us.91.326.old-authority", old, date(2026, 12, 1)) == (GO, STOP, STOP)
    assert verdicts(ask, "us.91.326.old-authority", new, date(2026, 12, 1)) == (GO, GO, GO)


def test_1_march_2027_an_unread_text_of_the_training_entry_is_unknown(ask):
    assert verdicts(ask, "us.61.51.training", {}, date(2027, 3, 1)) == (GO, UNKNOWN, UNKNOWN)
    (found,) = ask("us.61.51.training", {"training_entry_fields": frozenset()}, on=date(2027, 2, 28))
    assert found.verdict is STOP
    (found,) = ask("us.61.51.training", {}, on=date(2027, 3, 1))
    assert found.why == "unread"
    assert found.params["since"] == date(2027, 3, 1)


def test_an_unread_text_for_after_the_flight_holds_no_flight_up(us, shapes):
    from gyrewright.rules import checks_in_force

    ids = {check.id for check in checks_in_force(us, date(2027, 6, 14), shapes["flight"])}
    assert "rule.us.61.51.training" not in ids
    after = {check.id for check in checks_in_force(us, date(2027, 6, 14), shapes["flight"], phase="after")}
    assert "rule.us.61.51.training" in after


def test_10_april_2026_a_review_under_sport_privileges_serves_those_only(ask):
    changes = {
        "commander_review_scope": "sport",
        "commander_privileges": "private",
        "commander_review_on": date(2026, 1, 5),
    }
    assert verdicts(ask, "us.61.56", changes, date(2026, 4, 10)) == (GO, STOP, STOP)


def test_30_november_2026_the_last_printed_certificates_end(ask):
    """Issued in November 2024 for 24 months: the printed day decides, and the next day it is over."""
    printed = {
        "instructor_teaching_on": date(2024, 11, 20),
        "instructor_teaching_printed_until_on": date(2026, 11, 30),
        "instructor_teaching_recent_on": None,
    }
    assert verdicts(ask, "us.61.197", printed, date(2026, 11, 30)) == (GO, GO, STOP)


def test_a_renewal_in_the_very_month_of_the_printed_end_is_judged_by_a_person(ask):
    printed = {
        "instructor_teaching_on": date(2024, 11, 20),
        "instructor_teaching_printed_until_on": date(2026, 11, 30),
        "instructor_teaching_recent_on": None,
    }
    (found,) = ask("us.61.197", {**printed, "instructor_teaching_renewed_on": date(2026, 11, 3)}, on=date(2026, 12, 5))
    assert found.verdict is Verdict.JUDGE
    assert [cure.who for cure in found.cures] == ["manager"]
    (found,) = ask("us.61.197", {**printed, "instructor_teaching_renewed_on": date(2026, 10, 31)}, on=date(2026, 12, 5))
    assert found.verdict is GO
    (found,) = ask("us.61.197", {**printed, "instructor_teaching_renewed_on": date(2026, 12, 1)}, on=date(2026, 12, 5))
    assert found.verdict is STOP


def test_every_change_in_the_pack_is_one_that_a_test_here_names(us):
    """A new dated text must bring its test: the days on which something changes are these and no others."""
    days = {
        value.begins
        for rule in us.rules
        for value in rule.values
        if value.stood_on is None and not (len(rule.values) == 1 and value.begins == us.begins)
    }
    assert days == {
        date(2024, 12, 1),
        date(2024, 12, 2),
        date(2025, 10, 22),
        date(2026, 4, 10),
        date(2026, 7, 24),
        date(2026, 10, 14),
        date(2027, 3, 1),
    }


@pytest.mark.parametrize("rule", ["us.91.327.condition", "us.91.327.hundred", "us.91.327.night", "us.61.415.night"])
def test_a_rule_that_is_new_was_not_in_force_the_day_before(us, rule):
    first = us.rule(rule).values[0].begins
    assert in_force(us.rule(rule), first - DAY) is None
    assert in_force(us.rule(rule), first) is us.rule(rule).values[0]


def test_a_flight_before_the_pack_begins_and_one_long_after_it_was_read_are_unknown(ask):
    assert verdicts(ask, "us.pack", {}, date(2027, 12, 1)) == (GO, UNKNOWN, UNKNOWN)
    (found,) = ask("us.pack", {"pack_begins": date(2027, 1, 1)}, on=date(2026, 12, 31))
    assert found.why == "early"


def test_certainty_shows_where_a_rule_passes_and_never_softens_a_stop(ask, us):
    (found,) = ask("us.61.56", {}, on=date(2027, 6, 14))
    assert found.unconfirmed
    assert found.verdict is GO
    (found,) = ask("us.61.56", {"commander_review_on": date(2020, 1, 1)})
    assert not found.unconfirmed
    assert found.verdict is STOP
    (found,) = ask("us.39.7")
    assert found.params["edition_year"] == 2024
    assert not found.unconfirmed
    (found,) = ask("us.91.319.condition")
    assert found.unconfirmed
    assert "edition_year" not in found.params


def test_the_words_of_another_country_never_reach_this_pack(us, shapes):
    from gyrewright.rules import checks_in_force

    for light in ("day", "night"):
        flight = replace(shapes["flight"], light=light)
        assert all(check.id.startswith("rule.us.") for check in checks_in_force(us, date(2027, 6, 14), flight))
