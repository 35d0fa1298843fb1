"""Edges that the row table does not reach: the day itself, what is later than the flight, what is half known."""

from datetime import date, timedelta

import pytest

from gyrewright.finding import Verdict
from gyrewright.rules.shapes import Due, Inoperative

ON = date(2027, 6, 14)
DAY = timedelta(days=1)
GO, GO_IF, UNKNOWN, STOP = Verdict.GO, Verdict.GO_IF, Verdict.UNKNOWN, Verdict.STOP


def one(found):
    assert len(found) == 1, found
    return found[0]


def test_a_certificate_that_no_age_is_written_for_is_unknown(ask):
    found = one(ask("us.61.305.age", {"commander_certificate": "balloonist"}))
    assert (found.verdict, found.lacking) == (UNKNOWN, ("commander_certificate",))


@pytest.mark.parametrize(
    ("changes", "verdict", "why"),
    [
        ({"commander_basicmed_course_on": ON}, GO, "go"),
        ({"commander_basicmed_course_on": ON + DAY}, STOP, "later"),
        ({"commander_basicmed_exam_on": ON}, GO, "go"),
        ({"commander_basicmed_exam_on": ON + DAY}, STOP, "later"),
        ({"commander_basicmed_history_clear": False}, STOP, "conditions"),
        ({"commander_basicmed_history_clear": None}, UNKNOWN, "unknown"),
        ({"commander_medical_route": "medical", "commander_medical_exam_on": ON}, GO, "go"),
        ({"commander_medical_route": "medical", "commander_medical_exam_on": ON + DAY}, STOP, "later"),
        ({"commander_medical_route": "medical", "commander_born_on": None}, UNKNOWN, "unknown"),
        ({"commander_medical_route": "medical", "commander_medical_exam_on": None}, UNKNOWN, "unknown"),
        ({"commander_medical_route": "licence", "commander_licence_until_on": None}, UNKNOWN, "unknown"),
        ({"commander_medical_route": "licence", "commander_licence_conditions_met": None}, UNKNOWN, "unknown"),
        ({"commander_privileges": "king"}, UNKNOWN, "unknown"),
        ({"commander_medical_route": "none"}, STOP, "route"),
    ],
)
def test_each_route_of_the_medical_rule(ask, changes, verdict, why):
    found = one(ask("us.61.23.commander", {"commander_medical_route": "basicmed", **changes}))
    assert (found.verdict, found.why) == (verdict, why)


def test_a_route_names_each_date_that_it_lacks(ask):
    lacking = {
        "commander_basicmed_course_on": None,
        "commander_basicmed_exam_on": None,
        "commander_basicmed_history_clear": None,
    }
    found = one(ask("us.61.23.commander", {"commander_medical_route": "basicmed", **lacking}))
    assert set(found.lacking) == set(lacking)
    found = one(ask("us.61.23.commander", {"commander_medical_route": "medical", "commander_born_on": None}))
    assert found.lacking == ("commander_born_on",)


def test_basicmed_ends_with_the_first_of_its_three_clocks(ask):
    found = one(ask("us.61.23.commander", {"commander_medical_route": "basicmed"}))
    assert found.params["until"] == date(2028, 7, 31)
    sooner = {"commander_medical_route": "basicmed", "commander_licence_until_on": date(2027, 8, 1)}
    assert one(ask("us.61.23.commander", sooner)).params["until"] == date(2027, 8, 1)


def test_by_night_a_medical_certificate_serves_a_sport_pilot(ask, shapes):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23)}
    assert one(ask("us.61.23.commander", {**late, "commander_medical_route": "medical"})).verdict is GO
    private = {**late, "commander_medical_route": "medical", "commander_privileges": "private"}
    assert one(ask("us.61.23.commander", private)).verdict is GO


@pytest.mark.parametrize(
    ("word", "hour", "verdict"),
    [("fit", 9, GO), ("fit", 10, UNKNOWN), ("", 7, UNKNOWN), ("tired", 7, UNKNOWN), ("not fit", 10, STOP)],
)
def test_a_word_about_fitness(ask, shapes, word, hour, verdict):
    changes = {"commander_fitness": word, "commander_fitness_at": shapes["at"](hour)}
    assert one(ask("us.61.53", changes)).verdict is verdict


def test_a_word_about_fitness_lasts_a_day_and_says_until_when(ask, shapes):
    said = shapes["at"](9, day=ON - DAY)
    found = one(ask("us.61.53", {"commander_fitness_at": said}))
    assert (found.verdict, found.holds_until) == (GO, shapes["at"](9))
    older = said - timedelta(minutes=1)
    assert one(ask("us.61.53", {"commander_fitness_at": older})).why == "old"


def test_a_declaration_says_until_when_it_holds(ask, shapes):
    found = one(ask("us.91.103.briefing"))
    assert found.holds_until == shapes["at"](11)


def test_a_temporary_certificate_says_when_it_ended_and_is_not_asked_without_its_date(ask):
    changes = {"commander_certificate_temporary": True, "commander_certificate_on": ON - timedelta(days=121)}
    assert one(ask("us.61.2", changes)).params["until"] == ON - DAY
    assert one(ask("us.61.2", {**changes, "commander_certificate_on": None})).verdict is UNKNOWN


@pytest.mark.parametrize(
    ("rows", "missing"),
    [([(2, 0)], 3), ([(0, 2)], 3), ([(2, 2)], 1), ([(1, 3)], 2), ([(3, 1)], 2), ([], 3)],
)
def test_how_many_are_missing_is_the_larger_of_both_counts(ask, shapes, rows, missing):
    landings = tuple(shapes["Landing"](ON - DAY, take_offs=ups, landings=downs) for ups, downs in rows)
    found = one(ask("us.61.57.day", {"commander_landings": landings}))
    assert found.params["missing"] == missing


def test_recency_ends_ninety_days_after_the_oldest_that_cannot_be_spared(ask, shapes):
    make = shapes["Landing"]
    rows = [(date(2027, 4, 1), 3, 3), (date(2027, 5, 1), 1, 1), (date(2027, 6, 1), 2, 2)]
    landings = tuple(make(on, take_offs=ups, landings=downs) for on, ups, downs in rows)
    found = one(ask("us.61.57.day", {"commander_landings": landings}))
    assert found.params["until"] == date(2027, 5, 1) + timedelta(days=90)
    uneven = (make(date(2027, 4, 1), take_offs=0, landings=1), make(date(2027, 6, 1), take_offs=3, landings=2))
    found = one(ask("us.61.57.day", {"commander_landings": uneven}))
    assert found.params["until"] == date(2027, 4, 1) + timedelta(days=90)


def test_landings_of_which_nobody_has_said_who_flew_leave_it_open_only_if_they_could_suffice(ask, shapes):
    make = shapes["Landing"]
    unsaid = (make(ON - DAY, sole=None),)
    assert one(ask("us.61.57.day", {"commander_landings": unsaid})).verdict is UNKNOWN
    too_few = (make(ON - DAY, take_offs=3, landings=2, sole=None),)
    assert one(ask("us.61.57.day", {"commander_landings": too_few})).verdict is STOP
    both = (make(ON - DAY, take_offs=1, landings=1), make(ON - DAY, take_offs=2, landings=2, sole=None))
    assert one(ask("us.61.57.day", {"commander_landings": both})).verdict is UNKNOWN


def test_night_landings_of_which_nobody_has_said_whether_they_count(ask, shapes):
    make = shapes["Landing"]
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23)}
    for unsaid in ({"night": None}, {"night": True, "full_stop": None}):
        changes = {**late, "commander_landings": (make(ON - DAY, **unsaid),)}
        assert one(ask("us.61.57.night", changes)).verdict is UNKNOWN
        sure = (make(ON - DAY, night=True), make(ON - DAY, **unsaid))
        assert one(ask("us.61.57.night", {**late, "commander_landings": sure})).verdict is GO
    assert one(ask("us.61.57.night", {**late, "commander_landings": None})).verdict is UNKNOWN


def test_alone_at_night_no_night_landings_are_asked_for(ask, shapes):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23), "commander_landings": ()}
    assert ask("us.61.57.night", {**late, "aboard_count": 1}) == ()
    assert one(ask("us.61.57.night", late)).verdict is STOP


def test_the_last_day_of_a_review_and_of_a_medical_route_counts(ask):
    assert one(ask("us.61.56", {"commander_review_on": date(2025, 6, 3)}, on=date(2027, 6, 30))).verdict is GO
    assert one(ask("us.61.56", {"commander_review_on": date(2025, 6, 3)}, on=date(2027, 7, 1))).verdict is STOP
    route = {"commander_medical_route": "medical", "commander_medical_exam_on": date(2025, 6, 3)}
    for on, verdict in ((date(2027, 6, 30), GO), (date(2027, 7, 1), STOP)):
        assert one(ask("us.61.23.commander", route, on=on)).verdict is verdict


def test_a_review_on_the_day_itself_counts_and_a_later_one_does_not(ask):
    assert one(ask("us.61.56", {"commander_review_on": ON})).verdict is GO
    later = one(ask("us.61.56", {"commander_review_on": ON + DAY}))
    assert (later.verdict, later.why) == (STOP, "later")
    assert one(ask("us.61.56", {"commander_review_on": date(2025, 6, 3)})).params["ends_this_month"]
    assert not one(ask("us.61.56", {"commander_review_on": date(2025, 7, 3)})).params["ends_this_month"]


def test_a_review_of_unknown_scope_is_unknown_beyond_sport_privileges(ask):
    changes = {"commander_review_scope": None, "commander_privileges": "private"}
    assert one(ask("us.61.56", changes)).verdict is UNKNOWN
    assert one(ask("us.61.56", {**changes, "commander_privileges": "sport"})).verdict is GO


def test_an_inspection_on_the_day_itself_counts_and_a_later_one_does_not(ask):
    assert one(ask("us.91.319.condition", {"condition_inspection_on": ON})).verdict is GO
    assert one(ask("us.91.319.condition", {"condition_inspection_on": ON + DAY})).why == "later"


@pytest.mark.parametrize(
    ("item", "verdict"),
    [
        (Due("a"), UNKNOWN),
        (Due("a", None, 10.0, None), UNKNOWN),
        (Due("a", ON, 10.0, None), UNKNOWN),
        (Due("a", ON - DAY, 10.0, None), STOP),
        (Due("a", ON, 10.0, 9.0), GO),
        (Due("a", ON, 10.0, 9.5), STOP),
        (Due("a", ON - DAY, 100.0, 9.0), STOP),
        (Due("a", ON, None, None), GO),
    ],
)
def test_whichever_comes_first_of_day_and_hour_binds(ask, item, verdict):
    assert one(ask("us.39.7", {"directives": (item,)})).verdict is verdict
    assert one(ask("us.39.7", {"directives": (Due("b", ON), item)})).verdict is verdict


@pytest.mark.parametrize(
    "item",
    [
        Inoperative("lamp"),
        Inoperative("lamp", False),
        Inoperative("lamp", False, True, False, None, True, "M1", True),
        Inoperative("lamp", False, True, False, True, None, "M1", True),
        Inoperative("lamp", False, False, True, True, None, "M1", None),
    ],
)
def test_a_deferral_half_known_is_unknown(ask, item):
    assert one(ask("us.91.213", {"inoperative": (item,)})).verdict is UNKNOWN


def test_a_bad_deferral_after_a_good_one_is_found(ask):
    good = Inoperative("lamp", False, False, True, True, None, "M1", True)
    bad = Inoperative("radio", False, False, True, False, None, "M1", True)
    assert one(ask("us.91.213", {"inoperative": (good, bad)})).verdict is STOP
    assert one(ask("us.91.213", {"inoperative": (good, good)})).verdict is GO


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"registration_until_on": None}, UNKNOWN),
        ({"registration_until_on": None, "registration_issued_on": date(2026, 1, 1)}, UNKNOWN),
        ({"registration_temporary": True}, UNKNOWN),
        ({"registration_temporary": True, "registration_applied_on": ON, "flight_within_country": None}, UNKNOWN),
        ({"registration_ended_on": ON + DAY}, GO),
        ({"registration_until_on": ON}, GO),
    ],
)
def test_a_registration_half_known(ask, changes, verdict):
    assert one(ask("us.91.203.registration", changes)).verdict is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"hours_were_due_at_h": None}, GO),
        ({"hours_were_due_at_h": None, "time_in_service_h": 499.5}, STOP),
        ({"persons_for_hire": True, "instruction_for_hire": False, "time_in_service_h": 499.5}, STOP),
        ({"instructor_provides_aircraft": False, "time_in_service_h": 499.5}, None),
        ({"time_in_service_h": 500.0, "block_h": 0.0}, STOP),
        ({"flight_to_inspection": True, "time_in_service_h": 509.0}, GO),
        ({"flight_to_inspection": True, "time_in_service_h": 509.1}, STOP),
    ],
)
def test_the_inspection_by_hours(ask, changes, verdict):
    found = ask("us.91.409.hundred", changes)
    assert (found[0].verdict if found else None) is verdict


def test_an_authority_that_nobody_knows_about_is_unknown(ask):
    assert one(ask("us.91.326.hundred", {"training_authority_relied_on": None})).verdict is UNKNOWN
    assert one(ask("us.91.326.old-authority", {"training_authority_on": None})).verdict is UNKNOWN
    assert one(ask("us.91.326.old-authority", {"training_authority_on": ON + DAY})).verdict is STOP
    assert ask("us.91.326.old-authority", {"training_authority_relied_on": False}) == ()
    assert ask("us.91.326.no-demo", {"training_authority_relied_on": False}) == ()
    assert ask("us.91.326.persons", {"training_authority_relied_on": False}) == ()


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"training_authority": None}, UNKNOWN),
        ({"training_authority": None, "same_provider": None}, UNKNOWN),
        ({"training_authority": None, "same_provider": False, "aircraft_advertised": None}, UNKNOWN),
        (
            {"training_authority": "", "same_provider": None, "aircraft_advertised": False, "aircraft_charge": "cost"},
            UNKNOWN,
        ),
        (
            {"training_authority": "", "same_provider": False, "aircraft_advertised": None, "aircraft_charge": "cost"},
            UNKNOWN,
        ),
        (
            {"training_authority": "", "same_provider": False, "aircraft_advertised": False, "aircraft_charge": None},
            UNKNOWN,
        ),
        ({"training_authority": "", "same_provider": True, "aircraft_advertised": None, "aircraft_charge": None}, STOP),
        ({"training_authority": "", "same_provider": None, "aircraft_advertised": True, "aircraft_charge": None}, STOP),
        (
            {
                "training_authority": "",
                "same_provider": None,
                "aircraft_advertised": None,
                "aircraft_charge": "above cost",
            },
            STOP,
        ),
        ({"training_authority_on": None}, UNKNOWN),
        ({"training_authority_aboard": None}, UNKNOWN),
        ({"training_authority_on": ON}, GO),
        (
            {
                "same_provider": False,
                "aircraft_advertised": False,
                "aircraft_charge": "none",
                "training_authority": None,
            },
            GO,
        ),
    ],
)
def test_paid_training_in_an_experimental_aircraft(ask, changes, verdict):
    assert one(ask("us.91.326.training", changes)).verdict is verdict


def test_the_test_area_must_be_known_until_the_tests_are_complete(ask):
    found = one(ask("us.91.319.use", {"test_phase_complete": False}))
    assert (found.verdict, found.lacking) == (UNKNOWN, ("inside_test_area",))


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"check_flight_needed": True, "aboard_count": 1, "commander_certificate": None}, UNKNOWN),
        ({"check_flight_needed": True, "aboard_count": 2, "check_flight_logged": True}, GO),
        ({"check_flight_needed": False, "aboard_count": 2}, GO),
    ],
)
def test_the_check_flight(ask, changes, verdict):
    assert one(ask("us.91.407.check", changes)).verdict is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"transponder_fitted": False}, None),
        ({"transponder_to_be_used": False}, None),
        ({"transponder_to_be_used": False, "airspace_needs_transponder": True}, GO),
        ({"transponder_tested_on": None}, UNKNOWN),
        ({"transponder_tested_on": ON}, GO),
        ({"transponder_tested_on": ON + DAY}, GO_IF),
    ],
)
def test_the_transponder_test(ask, changes, verdict):
    found = ask("us.91.413", changes)
    assert (found[0].verdict if found else None) is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"transponder_working": None}, UNKNOWN),
        ({"position_broadcast_working": None}, UNKNOWN),
        ({"position_broadcast_working": False}, STOP),
        ({"transponder_working": False, "never_had_engine_driven_electrics": True}, STOP),
        ({"transponder_working": False, "airspace_excepts_no_electrics": True}, STOP),
    ],
)
def test_airspace_that_needs_a_transponder(ask, changes, verdict):
    assert one(ask("us.91.215", {"airspace_needs_transponder": True, **changes})).verdict is verdict
    assert ask("us.91.215", changes) == ()


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"walk_round_done": None}, UNKNOWN),
        ({"commander_finds_safe": None}, UNKNOWN),
        ({"walk_round_done": None, "commander_finds_safe": False}, STOP),
    ],
)
def test_the_look_round(ask, changes, verdict):
    assert one(ask("us.91.7", changes)).verdict is verdict


def test_equipment_for_the_night_and_for_hire_is_asked_only_then(ask, shapes, good):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23)}
    day_only = good["equipment_working"] - {"position lights", "anticollision light", "landing light"}
    assert one(ask("us.91.205", {"equipment_working": day_only})).verdict is GO
    assert one(ask("us.91.205", {**late, "equipment_working": day_only})).verdict is STOP
    no_lamp = good["equipment_working"] - {"landing light"}
    assert one(ask("us.91.205", {**late, "equipment_working": no_lamp})).verdict is GO
    assert one(ask("us.91.205", {**late, "equipment_working": no_lamp, "flight_for_hire": True})).verdict is STOP
    assert one(ask("us.91.205", {**late, "flight_for_hire": None})).verdict is UNKNOWN
    assert one(ask("us.91.205", {"flight_for_hire": None})).verdict is GO


def test_equipment_that_hangs_on_a_feature_is_asked_only_with_it(ask, good):
    without = good["equipment_working"] - {"coolant temperature gauge"}
    assert one(ask("us.91.205", {"equipment_working": without})).verdict is STOP
    air = {"equipment_working": without | {"oil temperature gauge"}, "aircraft_features": frozenset({"air cooling"})}
    assert one(ask("us.91.205", air)).verdict is GO


def test_lights_and_night_authority_that_nobody_knows_about(ask, shapes):
    late = {"depart_at": shapes["at"](22), "land_at": shapes["at"](23)}
    assert one(ask("us.91.209", {**late, "position_lights_working": None})).verdict is UNKNOWN
    assert ask("us.91.209", {"position_lights_working": False}) == ()
    assert ask("us.91.319.night", {"night_flight_authorized": False}) == ()
    assert one(ask("us.91.319.night", {**late, "night_flight_authorized": True})).verdict is GO


def test_a_landing_distance_that_nobody_knows_is_unknown(ask):
    assert one(ask("us.91.103.runway", {"landing_needed_m": None})).verdict is UNKNOWN
    assert one(ask("us.91.103.runway", {"landing_needed_m": 850.0})).verdict is GO


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"aircraft_vh_m_s": None}, UNKNOWN),
        ({"aircraft_vh_m_s": 128.6}, GO),
        ({"aircraft_vh_m_s": 128.7}, STOP),
        ({"aircraft_seats": 2}, GO),
    ],
)
def test_the_light_sport_category(ask, changes, verdict):
    assert one(ask("us.21.190", changes)).verdict is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"limits_require_rating": None, "aboard_count": 1, "commander_ratings": frozenset()}, UNKNOWN),
        ({"limits_require_rating": None, "aboard_count": 2, "commander_ratings": frozenset()}, STOP),
        (
            {
                "limits_require_rating": False,
                "aboard_count": 1,
                "commander_ratings": frozenset(),
                "certificate": "standard",
            },
            STOP,
        ),
    ],
)
def test_the_rating(ask, changes, verdict):
    assert one(ask("us.61.31", changes)).verdict is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"passenger_count": 0, "commander_cost_share_ratio": None}, GO),
        ({"passenger_count": 1, "commander_cost_share_ratio": None}, UNKNOWN),
        ({"passenger_count": 1, "commander_cost_share_ratio": 0.5}, GO),
    ],
)
def test_sharing_of_cost(ask, changes, verdict):
    assert one(ask("us.61.315.gain", changes)).verdict is verdict


def test_endorsements_that_the_flight_does_not_need_are_not_asked_for(ask):
    assert ask("us.61.325", {"commander_endorsed_for": frozenset()}) == ()
    assert ask("us.61.329", {"commander_endorsed_for": frozenset()}) == ()


@pytest.mark.parametrize(
    "name", ["aircraft_seats", "aircraft_pressurized", "aircraft_rotor", "aircraft_gear", "aircraft_propeller"]
)
def test_each_property_of_a_sport_aircraft_is_asked(ask, name):
    bad = {
        "aircraft_seats": 3,
        "aircraft_pressurized": True,
        "aircraft_rotor": "three blades",
        "aircraft_gear": "skis",
        "aircraft_propeller": "manual",
    }
    assert one(ask("us.61.316", {name: bad[name]})).verdict is STOP
    assert one(ask("us.61.316", {name: None})).verdict is UNKNOWN


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"examiner_accepts_aircraft": None}, UNKNOWN),
        ({"examiner_accepts_aircraft": None, "pilot_stations": 1}, UNKNOWN),
        ({"test_commander_agreed": None}, UNKNOWN),
        ({"test_commander_agreed": False}, UNKNOWN),
        ({"certificate": "standard", "examiner_accepts_aircraft": None}, GO),
    ],
)
def test_the_aircraft_of_a_test(ask, changes, verdict):
    assert one(ask("us.61.45", changes)).verdict is verdict


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"student_knowledge_test_on": ON}, GO),
        ({"student_knowledge_test_on": ON + DAY}, STOP),
        ({"student_test_training_on": ON, "student_test_endorsed_on": ON}, GO),
        ({"student_test_training_on": ON + DAY, "student_test_endorsed_on": ON + DAY}, STOP),
        ({"student_test_endorsed_on": ON}, GO),
        ({"student_test_endorsed_on": ON + DAY}, STOP),
        ({"student_test_endorsed_on": None}, UNKNOWN),
        ({"student_areas_missed": 1}, UNKNOWN),
        ({"student_areas_missed": 1, "student_missed_areas_reviewed": True}, GO),
    ],
)
def test_the_papers_of_a_test(ask, changes, verdict):
    found = ask("us.61.39", changes)
    assert max(each.verdict for each in found) is verdict


def test_all_that_a_test_lacks_is_listed(ask):
    changes = {"student_test_report_presented": False, "student_experience_complete": False, "student_areas_missed": 2}
    assert {each.why for each in ask("us.61.39", changes)} == {"report", "experience", "unknown"}
    assert one(ask("us.61.39")).params["until"] == date(2027, 8, 31)


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"student_test_failed_on": None, "student_retest_endorsed_on": ON}, UNKNOWN),
        ({"student_test_failed_on": ON, "student_retest_endorsed_on": ON}, GO),
        ({"student_test_failed_on": ON, "student_retest_endorsed_on": ON - DAY}, STOP),
        ({"student_test_failed_on": ON - DAY, "student_retest_endorsed_on": ON + DAY}, STOP),
    ],
)
def test_a_retest(ask, changes, verdict):
    assert one(ask("us.61.49", {"student_test_failed": True, **changes})).verdict is verdict
    assert ask("us.61.49", changes) == ()


@pytest.mark.parametrize("name", ["student_test_begun_on", "student_test_discontinued_on"])
def test_credit_for_areas_without_a_date_is_unknown(ask, name):
    both = {"student_test_begun_on": ON, "student_test_discontinued_on": ON}
    found = one(ask("us.61.43.credit", {"student_claims_credit": True, **both, name: None}))
    assert (found.verdict, found.lacking) == (UNKNOWN, (name,))
    later = {**both, "student_test_discontinued_on": ON + DAY}
    assert one(ask("us.61.43.credit", {"student_claims_credit": True, **later})).verdict is STOP
    assert ask("us.61.43.credit", both) == ()


TEACHING = "instructor_teaching_"


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"on": None}, UNKNOWN),
        ({"on": ON + DAY}, STOP),
        ({"on": ON, "recent_on": ON}, GO),
        ({"recent_on": ON + DAY}, STOP),
        ({"recent_on": None}, UNKNOWN),
        ({"recent_on": None, "renewed_on": ON}, GO),
        ({"on": date(2024, 11, 30), "printed_until_on": None}, UNKNOWN),
        ({"on": date(2024, 11, 30), "printed_until_on": ON}, GO),
        ({"on": date(2024, 11, 30), "printed_until_on": ON - DAY}, STOP),
        ({"on": date(2024, 11, 30), "printed_until_on": None, "renewed_on": ON}, UNKNOWN),
        ({"on": date(2024, 11, 30), "printed_until_on": ON, "renewed_on": ON + DAY}, GO),
        ({"on": date(2024, 11, 30), "printed_until_on": date(2026, 11, 30), "renewed_on": ON + DAY}, STOP),
        ({"on": date(2024, 11, 30), "printed_until_on": date(2026, 11, 30), "renewed_on": date(2026, 12, 1)}, STOP),
        (
            {"on": date(2024, 11, 30), "printed_until_on": date(2026, 11, 30), "renewed_on": date(2026, 11, 30)},
            Verdict.JUDGE,
        ),
        ({"on": date(2024, 11, 30), "printed_until_on": date(2026, 11, 30), "renewed_on": date(2026, 10, 31)}, GO),
        ({"on": date(2024, 12, 1), "printed_until_on": date(2020, 1, 1)}, GO),
    ],
)
def test_whether_an_instructor_may_use_the_certificate(ask, changes, verdict):
    assert one(ask("us.61.197", {TEACHING + name: value for name, value in changes.items()})).verdict is verdict


def test_hours_of_teaching_say_what_is_left_and_when_more_comes_free(ask, shapes):
    at = shapes["at"]
    yesterday = ON - DAY
    taught = ((at(14, day=yesterday), at(18, day=yesterday)), (at(5), at(8, 30)))
    found = one(ask("us.61.195.hours", {"instructor_taught": taught}))
    assert found.verdict is STOP
    assert found.params["given_h"] == pytest.approx(7.5)
    assert found.params["left_h"] == pytest.approx(0.5)
    assert found.params["frees_at"] == at(14)
    assert one(ask("us.61.195.hours")).params["frees_at"] is None


def test_a_solo_endorsement_of_the_day_itself_counts(ask, shapes):
    make = shapes["Endorsement"]
    today = (make("solo", "Invented Two", given_on=ON),)
    assert one(ask("us.61.87.endorsement", {"student_endorsements": today})).verdict is GO
    unsure = (make("solo", "Invented Two", giver_in_standing=None),)
    found = one(ask("us.61.87.endorsement", {"student_endorsements": unsure}))
    assert (found.verdict, found.why) == (UNKNOWN, "giver_unsure")
    assert ask("us.61.87.night", {"student_endorsements": ()}) == ()
    assert ask("us.61.94", {"student_endorsements": ()}) == ()


def test_a_cross_country_needs_each_of_its_endorsements_by_somebody_in_standing(ask, shapes):
    make = shapes["Endorsement"]
    whole = [
        make("cross-country category"),
        make("cross-country aircraft", "Invented Two"),
        make("this cross-country", for_flight_on=ON),
    ]
    far = {"farthest_from_start_m": 60000.0}
    assert one(ask("us.61.93", {**far, "student_endorsements": tuple(whole)})).verdict is GO
    for index in range(3):
        part = whole[:index] + whole[index + 1 :]
        found = one(ask("us.61.93", {**far, "student_endorsements": tuple(part)}))
        assert (found.verdict, found.params["count"]) == (STOP, 1)
        from dataclasses import replace

        for standing, verdict in ((None, UNKNOWN), (False, STOP)):
            doubted = [*part, replace(whole[index], giver_in_standing=standing)]
            assert one(ask("us.61.93", {**far, "student_endorsements": tuple(doubted)})).verdict is verdict
        later = [*part, replace(whole[index], given_on=ON + DAY)]
        assert one(ask("us.61.93", {**far, "student_endorsements": tuple(later)})).verdict is STOP
    other = [whole[0], make("cross-country aircraft", "Invented Three"), whole[2]]
    assert one(ask("us.61.93", {**far, "student_endorsements": tuple(other)})).verdict is STOP
    assert one(ask("us.61.93", {**far, "student_endorsements": None})).verdict is UNKNOWN


def test_landing_practice_elsewhere_reaches_twenty_five_miles_and_a_route_fifty(ask, shapes):
    make = shapes["Endorsement"]
    for kind, reach_m in (("landings elsewhere", 46300.0), ("repeated route", 92600.0)):
        held = {"student_endorsements": (make(kind, place="X1"),), "lands_elsewhere": True, "destination": "X1"}
        assert one(ask("us.61.93", {**held, "farthest_from_start_m": reach_m})).verdict is GO
        assert one(ask("us.61.93", {**held, "farthest_from_start_m": reach_m + 1.0})).verdict is STOP
        assert one(ask("us.61.93", {**held, "farthest_from_start_m": 1000.0, "destination": None})).verdict is STOP


def test_an_event_told_leaves_the_records_to_be_frozen(ask):
    event = {"event_kinds": frozenset({"fire in flight"}), "authority_notified": True}
    found = one(ask("us.830.5", event))
    assert (found.verdict, found.conditions[0].id) == (GO_IF, "rules.freeze_records")
    assert one(ask("us.830.5", {**event, "records_frozen": True})).verdict is GO
