"""Files that are written: refused before the work, and never there half written."""

from __future__ import annotations

from pathlib import Path

import pytest

from energymodel.errors import InputError
from energymodel.new_file import PICTURES, check_new_file, new_file, write_new


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("a.pdf", "ends in .png or .svg"),
        ("none/a.png", "there is no folder"),
        ("there.png", "this file exists"),
        (".", "this is a folder"),
        ("x" * 300 + ".png", "cannot be written"),
    ],
)
def test_a_path_that_cannot_be_written_is_refused_with_its_place(
    tmp_path: Path, name: str, words: str
) -> None:
    (tmp_path / "there.png").write_text("mine")
    with pytest.raises(InputError) as caught:
        check_new_file(tmp_path / name, endings=PICTURES, replace=False)
    assert words in str(caught.value)
    assert caught.value.where == str(tmp_path / name)
    assert (tmp_path / "there.png").read_text() == "mine"


def test_endings_may_be_written_in_capitals_and_files_replaced_when_told(tmp_path: Path) -> None:
    (tmp_path / "A.PNG").write_text("mine")
    check_new_file(tmp_path / "A.PNG", endings=PICTURES, replace=True)


def test_a_file_is_there_whole_or_as_it_was(tmp_path: Path) -> None:
    file = write_new(tmp_path / "a.txt", "one\r\n")
    assert file.read_bytes() == b"one\r\n"

    def stopped() -> None:
        with new_file(file) as part:
            part.write_text("half")
            raise ValueError("on the way")

    with pytest.raises(ValueError, match="on the way"):
        stopped()
    assert file.read_bytes() == b"one\r\n"
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


def test_what_the_system_refuses_is_told_with_the_place(tmp_path: Path) -> None:
    (tmp_path / "a.txt").mkdir()
    with pytest.raises(InputError, match="cannot be written") as caught:
        write_new(tmp_path / "a.txt", b"")
    assert caught.value.where == str(tmp_path / "a.txt")
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]
