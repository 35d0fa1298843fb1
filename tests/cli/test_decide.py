"""The command line answers one flight: with words for people, data for programs, and an exit code for scripts."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from gyrewright.cli import main
from gyrewright.cli.source import packaged_files


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("demo")
    assert main(["demo", str(root)]) == 0
    return root


def flight(folder: Path, name: str = "1330-sunde-halloran") -> str:
    return str(folder / "flights" / f"{name}.toml")


def test_it_works(folder, capsys):
    assert main(["decide", flight(folder)]) == 1
    told = capsys.readouterr()
    assert told.err == ""
    assert "\nSTOP\nCrosswind up to 20.1 kt on runway 25, gusts counted; this house allows 15" in told.out


def test_the_page_begins_with_the_question_and_ends_with_who_releases(folder, capsys):
    main(["decide", flight(folder)])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "DEMONSTRATION: people, aircraft and place are invented."
    assert lines[2].startswith("May Tobiah Sunde with Wren Halloran fly crosswind (instruction) in the Dunlin")
    assert lines[-1] == "This releases nothing: a person does."


def test_every_check_made_is_on_the_page(folder, capsys):
    from gyrewright.cli.source import fetch_file
    from gyrewright.release.decide import decide
    from gyrewright.release.files import read_question
    from gyrewright.words.tell import tell

    main(["decide", flight(folder)])
    page = " ".join(capsys.readouterr().out.split())
    said = tell(decide(read_question(flight(folder), fetch_file)))
    for told in said.findings:
        assert " ".join(told.sentence.split()) in page, told.finding.id


def test_json_is_the_answer_alone(folder, capsys):
    assert main(["decide", flight(folder), "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert (data["schema"], data["verdict"], data["demo"]) == ("gyrewright.answer/1", "STOP", True)


def test_a_working_is_shown_for_a_number(folder, capsys):
    assert main(["decide", flight(folder), "--working", "take_off_mass_kg"]) == 1
    out = capsys.readouterr().out
    assert "Together: 286 + 88 + 74 + 0 = 448 kg" in out
    assert "Together: 448 + 28.8 = 476.8 kg\n  = 476.8 kg" in out
    assert out.splitlines()[0].startswith("DEMONSTRATION")


def test_a_working_is_shown_for_a_finding_and_for_programs(folder, capsys):
    main(["decide", flight(folder), "--working", "wind.crosswind", "--json"])
    data = json.loads(capsys.readouterr().out)
    assert data["schema"] == "gyrewright.working/1"
    (crosswind,) = [each for each in data["workings"] if each["name"] == "crosswind_m_s"]
    assert "22 x sin(66)" in [step["expression"] for step in crosswind["steps"]]


def test_all_workings_together(folder, capsys):
    main(["decide", flight(folder), "--working", "all"])
    out = capsys.readouterr().out
    for name in ("crosswind_m_s", "climb_m_s", "take_off_distance_m", "cg_most_forward_m", "density_altitude_m"):
        assert f"({name})" in out.replace("\n", " ")


def test_an_unknown_working_is_a_wrong_question(folder, capsys):
    assert main(["decide", flight(folder), "--working", "climb"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("no number or finding is called 'climb'; try one of: ")
    assert told.err.count("\n") == 1


def test_when_it_is_asked_may_be_given(folder, capsys):
    main(["decide", flight(folder), "--at", "2027-06-12T13:25:00-07:00", "--json"])
    assert json.loads(capsys.readouterr().out)["computed_at"] == "2027-06-12T13:25:00-07:00"


def test_a_file_that_does_not_say_when_it_is_asked_is_asked_now(folder, tmp_path, capsys):
    """The machine's clock is years before the demonstration's day, or after it: either way its reports do not fit."""
    text = Path(flight(folder)).read_text()
    undated = folder / "flights" / "undated.toml"
    undated.write_text("\n".join(line for line in text.splitlines() if not line.startswith("asked_at")))
    try:
        code = main(["decide", str(undated), "--json"])
        told = capsys.readouterr()
        if code == 2:
            assert "when this is asked" in told.err
        else:
            assert json.loads(told.out)["computed_at"][:4] != "2027"
    finally:
        undated.unlink()


@pytest.mark.parametrize("when", ["soon", "2027-06-12T13:25:00", "13:25"])
def test_a_time_without_offset_is_refused_in_one_line(folder, capsys, when):
    assert main(["decide", flight(folder), "--at", when]) == 2
    told = capsys.readouterr()
    assert told.err == (f"--at {when!r} is no moment; write date, time and offset, such as 2027-06-12T06:16:00-07:00\n")


def test_a_file_that_is_not_there_is_named(folder, capsys):
    assert main(["decide", "nowhere.toml"]) == 2
    assert capsys.readouterr().err == "nowhere.toml: cannot be read: No such file or directory; check the path\n"


@pytest.mark.parametrize("arguments", [[], ["decide"], ["fly"], ["decide", "a", "--loud"]])
def test_a_wrong_command_is_one_line(arguments, capsys):
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1


def run(*arguments: str, **how) -> subprocess.Popen[bytes]:
    code = "import sys; from gyrewright.cli import main; sys.exit(main(sys.argv[1:]))"
    return subprocess.Popen([sys.executable, "-c", code, *arguments], **how)


def test_a_reader_who_has_seen_enough_ends_it_quietly(folder):
    process = run("decide", flight(folder), "--working", "all", stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.read(10)
    process.stdout.close()
    assert process.wait(timeout=30) == 1
    assert process.stderr.read() == b""
    process.stderr.close()


def test_a_terminal_that_shows_only_plain_letters_shows_the_page(folder):
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    process = run("decide", flight(folder), stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment)
    out, err = process.communicate(timeout=30)
    assert (process.returncode, err) == (1, b"")
    assert out.isascii()


def test_one_answer_does_not_load_what_only_many_need(folder):
    code = (
        "import sys; from gyrewright.cli import main; main(['decide', sys.argv[1]]); "
        "sys.exit(any(name in sys.modules for name in ('numpy', 'django', 'jsonschema')))"
    )
    done = subprocess.run([sys.executable, "-c", code, flight(folder)], capture_output=True, check=False, timeout=60)
    assert done.returncode == 0


def test_the_demonstration_ships_with_the_package():
    names = [path for path, _ in packaged_files()]
    assert "operation.toml" in names
    assert sum(name.startswith("flights/") for name in names) >= 5
