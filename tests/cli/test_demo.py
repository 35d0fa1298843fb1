"""The demonstration is written as files to start from, all of it or nothing."""

import tomllib

import pytest

from gyrewright.cli import main
from gyrewright.cli.source import packaged_files


def test_it_works(tmp_path, capsys):
    assert main(["demo", str(tmp_path / "mine")]) == 0
    assert "people, aircraft and place are invented" in capsys.readouterr().out
    written = {path.relative_to(tmp_path / "mine").as_posix() for path in (tmp_path / "mine").rglob("*.toml")}
    assert written == {path for path, _ in packaged_files()}
    assert tomllib.loads((tmp_path / "mine" / "operation.toml").read_text())["demo"] is True


def test_nothing_is_overwritten_and_nothing_is_half_written(tmp_path, capsys):
    (tmp_path / "people.toml").write_text("mine")
    assert main(["demo", str(tmp_path)]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert (
        told.err
        == f"{tmp_path / 'people.toml'}: is there already; nothing was written, choose a folder without such files\n"
    )
    assert [path.name for path in tmp_path.rglob("*.toml")] == ["people.toml"]
    assert (tmp_path / "people.toml").read_text() == "mine"


def test_a_folder_that_cannot_be_made_is_named(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    assert main(["demo", str(tmp_path / "file")]) == 2
    assert "cannot be written" in capsys.readouterr().err


def test_what_it_writes_is_right(tmp_path, capsys):
    main(["demo", str(tmp_path)])
    capsys.readouterr()
    assert main(["check", str(tmp_path)]) == 0


@pytest.mark.parametrize("name", ["0630-sunde-halloran", "1900-halloran-alone"])
def test_its_flights_can_be_asked(tmp_path, capsys, name):
    main(["demo", str(tmp_path)])
    assert main(["decide", str(tmp_path / "flights" / f"{name}.toml")]) in (0, 1)
