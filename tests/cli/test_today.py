"""The command line answers a whole day: one flight in full, the others in brief, and how to see more."""

import json
from contextlib import redirect_stdout
from io import StringIO

import pytest

from gyrewright.cli import main
from gyrewright.cli.source import packaged_files


@pytest.fixture(scope="module")
def out() -> str:
    """Return what the command prints on the demonstration day."""
    printed = StringIO()
    with redirect_stdout(printed):
        assert main(["today"]) == 0
    return printed.getvalue()


def test_it_works(out):
    assert out.startswith("DEMONSTRATION")
    assert out.endswith("This releases nothing: a person does.\n")


def test_every_flight_is_in_the_list_with_mark_and_sentence(out):
    brief = out.partition("=" * 80)[2].splitlines()
    flights = [path for path, _ in packaged_files() if path.startswith("flights/")]
    for name in (path.removeprefix("flights/").removesuffix(".toml") for path in flights):
        (at,) = [index for index, line in enumerate(brief) if line.endswith(f": {name}")]
        assert brief[at].partition(":")[0] in ("STOP", "UNKNOWN", "JUDGE", "ONLY IF", "NOTHING FOUND")
        assert brief[at + 1].startswith("  ")


def test_it_says_how_to_see_more(out):
    for hint in ("today --full", "gyrewright demo DIR", "gyrewright decide DIR/flights/", "--working climb_m_s"):
        assert hint in " ".join(out.split())


def test_a_folder_of_ones_own(tmp_path, capsys):
    few(tmp_path)
    capsys.readouterr()
    assert main(["today", str(tmp_path)]) == 0
    assert "2 flights asked for:" in capsys.readouterr().out


def few(folder):
    """Write the demonstration and keep the afternoon flights of its story alone."""
    main(["demo", str(folder)])
    for path in (folder / "flights").glob("*.toml"):
        if not path.stem.startswith(("1330-", "1900-")):
            path.unlink()


def test_json_holds_every_answer_with_its_file(tmp_path, capsys):
    few(tmp_path)
    capsys.readouterr()
    main(["today", str(tmp_path), "--json"])
    several = json.loads(capsys.readouterr().out)
    assert len(several) == 2
    assert {"file", "answer"} == set(several[0])
    assert several[0]["answer"]["schema"] == "gyrewright.answer/1"


def test_a_folder_without_flights_says_so(tmp_path, capsys):
    assert main(["today", str(tmp_path)]) == 2
    assert "no flights there" in capsys.readouterr().err


def test_one_wrong_flight_stops_the_day_and_is_named(tmp_path, capsys):
    few(tmp_path)
    wrong = tmp_path / "flights" / "1900-halloran-alone.toml"
    wrong.write_text(wrong.read_text().replace('runway = "25"', "runway = 25"))
    capsys.readouterr()
    assert main(["today", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert f"{wrong.as_posix()}: runway: 25 is not a text in quotes" in told.err


def test_another_may_be_shown_in_full(tmp_path, capsys):
    few(tmp_path)
    capsys.readouterr()
    main(["today", str(tmp_path), "--full", "1900-halloran-alone"])
    assert "\nMay Wren Halloran alone fly circuits (student alone) in the Sanderling" in capsys.readouterr().out


def test_a_flight_that_is_not_there_is_a_wrong_question(tmp_path, capsys):
    few(tmp_path)
    capsys.readouterr()
    assert main(["today", str(tmp_path), "--full", "0000-nobody"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == "no flight is called '0000-nobody'; use one of: 1330-sunde-halloran, 1900-halloran-alone\n"
