from gyrewright.finding import Verdict


def test_a_plain_machine_has_nothing_against_it(asked):
    answer = asked()
    assert answer.verdict is Verdict.GO, answer.refused


def test_every_fact_is_asked_for_and_its_lack_is_unknown(asked):
    for name in (
        "maintenance_program",
        "maintenance_history",
        "maintenance_house",
        "interval_allowance_h",
        "meter_reading_stands_h",
        "directives_read_on",
        "papers_held",
        "bookings",
        "defects",
        "event_locks",
        "work_done",
        "counts_planned",
        "entitled",
        "block_h",
        "purpose",
        "depart_at",
        "asked_at",
        "flight_on",
        "land_at",
    ):
        answer = asked(without=(name,))
        assert answer.verdict is Verdict.UNKNOWN, name
        assert any(name in found.lacking for found in answer.findings), name
