"""The one sentence names the binding reason in the instructor's terms; every other reason has its own."""

from datetime import UTC, datetime
from functools import cache

import pytest

from gyrewright.finding import Verdict
from gyrewright.words.catalogue import catalogue
from gyrewright.words.detail import all_cures, cures_of, dated_inputs, layers_of
from gyrewright.words.tell import Said, Told, clocks, next_up, tell
from kit.files import Files, demo, good_day


@cache
def said(flight: str = "0630-sunde-halloran") -> Said:
    return tell(demo(flight).answer())


def asked(files: Files, change) -> Said:
    return tell(files.changed(files.flight, change).answer())


def told(answer: Said, id: str, about: str = "") -> Told:
    (found,) = [each for each in answer.findings if each.finding.id == id and each.finding.about == about]
    return found


# --- the one sentence -------------------------------------------------------------------------------------------------


def test_a_stop_names_the_reason_that_binds():
    answer = said("table-0630-sanderling-dual-25")
    assert answer.mark == "STOP"
    assert answer.sentence == "It would climb 262 ft/min; this house asks for 300: 38 ft/min short."


def test_further_reasons_are_counted():
    answer = said("1330-sunde-halloran")
    worst = sum(each.finding.verdict is Verdict.STOP for each in answer.findings)
    words = {2: "One more reason stands", 3: "Two more reasons stand", 4: "Three more reasons stand"}
    assert answer.more == f"{words[worst]} against it."


def test_nothing_found_is_never_called_more_than_that_and_says_what_binds_next():
    answer = said("0630-sunde-halloran")
    assert answer.mark == "NOTHING FOUND"
    assert answer.sentence == "No reason found against; climb binds next, 14 ft/min to spare."
    assert answer.more == ""


def test_conditions_are_the_sentence_of_an_only_if():
    files = demo("0630-sunde-halloran")

    def planned(data):
        data["fuel"] = {"planned": {"value": "40 L", "by": "sunde"}}

    answer = asked(files, planned)
    assert answer.mark == "ONLY IF"
    assert answer.sentence == "Only if: 40 L of fuel is aboard, shown by the stick, before 06:30."


def test_an_unknown_names_what_is_missing():
    answer = asked(demo("0630-sunde-halloran"), lambda data: data.pop("runway_state"))
    assert answer.mark == "UNKNOWN"
    assert "whether the runway is dry, wet or soft" in answer.sentence


def test_what_cannot_stand_alone_is_led_by_its_question():
    answer = said("0820-okafor-lind-castellane")
    assert answer.mark == "JUDGE"
    assert answer.sentence.startswith("Was the walk-round made at its walker's own pace, with readings of its own? ")


def test_the_question_says_who_what_where_when_and_how_long():
    assert said("1900-halloran-alone").question == (
        "May Wren Halloran alone fly circuits (student alone) in the Sanderling N0-303S from runway 25, "
        "Saturday 12 June 2027 at 19:00 for 1.0 h?"
    )


def test_what_is_not_known_is_left_out_of_the_question():
    def unsaid(data):
        del data["time"]["block"], data["runway"], data["seats"], data["purpose"], data["lesson"]

    question = asked(demo(), unsaid).question
    assert question == "May somebody who is not named yet fly in the Dunlin N0-101D, Saturday 12 June 2027 at 06:30?"


def test_a_flight_with_its_end_left_open_is_asked_as_such():
    answer = asked(demo(), lambda data: data["time"].update(block="open"))
    assert "open_end" in {each.finding.id.partition(".")[2] for each in answer.findings}
    opened = told(answer, "time.open_end")
    assert opened.sentence.startswith("Engine stop by ")


# --- numbers in sentences ---------------------------------------------------------------------------------------------


def test_a_factored_distance_is_shown_factored():
    assert told(said("table-0630-dunlin-dual-16"), "performance.take_off_distance").sentence == (
        "The take-off would need 427 m, times 1.33 is 568 m; runway 16 has 480 m: 88 m short."
    )


def test_equal_to_a_limit_reads_as_nothing_left_and_holds():
    wind = told(said("table-1330-sanderling-dual-25"), "wind.spread")
    assert wind.finding.verdict is Verdict.GO
    assert wind.sentence == "Gusts up to 8 kt above the mean wind; the manual allows 8: nothing left."


def test_a_hair_too_heavy_is_never_rounded_away():
    files = demo("0630-sunde-halloran", "dunlin")
    heavy = files.changed("people.toml", lambda data: weigh(data, "halloran", "97.24 kg"))
    mass = told(tell(heavy.answer()), "loading.take_off_mass")
    assert mass.finding.verdict is Verdict.STOP
    assert mass.sentence == "It would weigh 500.04 kg at take-off; the manual allows 500 kg: 0.04 kg too heavy."


def weigh(people, id, mass):
    (person,) = [each for each in people["person"] if each["id"] == id]
    person["mass"]["value"] = mass


def test_a_house_that_reads_pounds_is_told_in_pounds():
    files = demo("0630-sunde-halloran", "dunlin")
    pounds = files.changed("operation.toml", lambda data: data["units"].update(mass="lb"))
    mass = told(tell(pounds.answer()), "loading.take_off_mass")
    assert mass.sentence == "It weighs 1051 lb at take-off; the manual allows 1102 lb: 51 lb left."
    (layer,) = layers_of(mass)
    assert layer.allows == "at most 1102 lb (500 kg)"


def test_without_a_preference_a_number_is_told_in_the_unit_it_was_typed_in():
    files = demo("0630-sunde-halloran", "dunlin")

    def none(data):
        data["units"] = {}

    mass = told(tell(files.changed("operation.toml", none).answer()), "loading.take_off_mass")
    assert mass.sentence.startswith("It weighs 476.8 kg")


def test_a_limit_reached_later_says_when_and_by_whom():
    late = asked(demo("0630-sunde-halloran"), lambda data: data["time"].update(block="5.0 h"))
    crosswind = told(late, "wind.crosswind")
    assert crosswind.finding.verdict is Verdict.STOP
    assert crosswind.sentence.endswith("5.1 kt too much, first at 11:00 (forecast).")


# --- behind the sentence ----------------------------------------------------------------------------------------------


def test_layers_stand_side_by_side_and_say_who_may_relax_them():
    maker, house = layers_of(told(said("1330-sunde-halloran"), "wind.crosswind"))
    assert (maker.whose, maker.allows) == ("manual", "at most 20 kt")
    assert maker.stands == "beyond by 0.1 kt, demonstrated only, no limit"
    assert (house.allows, house.stands, house.layer.binds) == ("at most 15 kt", "broken by 5.1 kt", True)
    assert house.relaxed.startswith("Relaxed only in writing, ahead of time, by the accountable manager")
    assert "Nobody relaxes the manual." in maker.relaxed


def test_inputs_say_what_was_typed_by_whom_and_how_old_it_was():
    found = {each.name: each for each in dated_inputs(told(said("1330-sunde-halloran"), "performance.climb"))}
    stick = found["fuel_stick_l"]
    assert (stick.typed, stick.by, stick.age) == ("40 L", "Tobiah Sunde", "15 min old")


def test_a_contradiction_shows_both_values():
    files = demo("0630-sunde-halloran", "dunlin")

    def two(data):
        (person,) = [each for each in data["person"] if each["id"] == "sunde"]
        person["mass"] = ["88 kg", "98 kg"]

    mass = told(tell(files.changed("people.toml", two).answer()), "loading.take_off_mass")
    assert mass.finding.verdict is Verdict.UNKNOWN
    assert "the mass on the front seat (contradictory: 88 kg and 98 kg)" in mass.sentence


def test_cures_say_by_how_much_and_who_may():
    (cure,) = cures_of(told(said("table-0630-dunlin-dual-16"), "performance.take_off_distance"))
    assert cure.words.startswith("A longer runway, more head wind, cooler air, or less mass")
    assert cure.who == "Tobiah Sunde"


def test_the_list_of_cures_is_short_a_fact_that_many_reasons_lack_is_fetched_once():
    answer = asked(demo("0630-sunde-halloran"), lambda data: data["fuel"].pop("stick"))
    lacking = [each for each in answer.findings if "fuel_stick_l" in each.finding.lacking]
    assert len(lacking) > 3
    assert sum("the stick reading of the fuel" in each.words for each in all_cures(answer)) == 1


def test_what_binds_next_is_ordered_by_share_and_clocks_apart_by_time():
    answer = said("0630-sunde-halloran")
    shares = [each.finding.binds_next.share for each in next_up(answer.findings)]
    assert shares == sorted(shares)
    assert all(each.finding.id.partition(".")[0] != "light" for each in next_up(answer.findings))
    times = [at for at, _ in clocks(answer)]
    assert times == sorted(times)
    assert (datetime(2027, 6, 13, 3, 44, tzinfo=UTC), "the latest engine stop, for daylight") in clocks(answer)


def test_every_sentence_of_a_good_day_is_whole():
    for each in tell(good_day().answer()).findings:
        assert each.sentence
        assert "?" not in each.sentence.replace("? ", "")
        assert each.sentence[0] == each.sentence[0].upper()


# --- another language -------------------------------------------------------------------------------------------------


def test_british_words_tell_the_same_answer():
    answer = demo("1330-sunde-halloran").answer()
    british = tell(answer, language="en-GB")
    assert british.sentence == tell(answer).sentence
    assert told(british, "loading.cg").question == (
        "Does the centre of gravity stay within its limits until the fuel is gone?"
    )


@pytest.mark.parametrize("word", ["center of", "liter", "vapor ", "tires", "airplane", "driver's license"])
def test_british_words_keep_no_american_spelling(word):
    kept = [
        f"[{table}] {key}"
        for table, words in catalogue("en-GB").tables.items()
        for key, each in words.items()
        if word in each.text
    ]
    assert kept == []
