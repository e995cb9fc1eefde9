"""A weather file is recognised by its content, and what is none is named."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from energymodel.errors import EnergyModelError, WeatherError
from energymodel.weather.files import read_weather
from energymodel.weather.library import shipped_year

DATA = Path(find_spec("pvlib").submodule_search_locations[0]) / "data"


@pytest.mark.parametrize(
    ("file", "key"), [("723170TYA.CSV", "greensboro-nc"), ("12839.tm2", "miami-fl")]
)
def test_the_format_is_recognised_whatever_the_file_is_called(tmp_path, file, key):
    path = tmp_path / "weather.dat"
    path.write_bytes((DATA / file).read_bytes())
    year = read_weather(path, zone="America/New_York")
    assert year.outdoor_c.tolist() == shipped_year(key).outdoor_c.tolist()
    assert year.site.zone == "America/New_York"
    assert "weather.dat" in year.source


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "the file is empty"),
        (b"\n \n\n", "the file is empty"),
        (b"\xef\xbb\xbf", "the file is empty"),
        (b"<!DOCTYPE html><html><body>Not found</body></html>", "a web page"),
        (b"\n  <HTML>\n", "a web page"),
        (b"PK\x03\x04rest", "a packed archive"),
        (b"\x1f\x8b\x08rest", "a packed archive"),
        (b"\x89PNG\x00\x00", "not a plain text file"),
        (b"hour,temp\n1,2\n", "the format of this file is not known"),
        (b"caf\xe9,1\n", "the format of this file is not known"),
    ],
)
def test_what_is_no_weather_file_is_named(tmp_path, content, message):
    path = tmp_path / "download.epw"
    path.write_bytes(content)
    with pytest.raises(WeatherError, match=message) as fault:
        read_weather(path)
    assert "download.epw" in fault.value.where
    assert fault.value.remedy


def test_a_missing_file_and_a_folder_are_named(tmp_path):
    with pytest.raises(WeatherError, match="there is no such weather file"):
        read_weather(tmp_path / "none.epw")
    with pytest.raises(WeatherError, match="cannot be read"):
        read_weather(tmp_path)


def test_a_plain_table_is_answered_with_the_reader_that_names_columns(tmp_path):
    path = tmp_path / "table.csv"
    path.write_text("time,temp\n2013-01-01 00:00,1.0\n")
    with pytest.raises(WeatherError) as fault:
        read_weather(path)
    assert "read_csv_columns" in fault.value.remedy


def test_the_key_of_a_shipped_year_is_read_as_commands_read_it() -> None:
    found, kept = read_weather("greensboro-nc"), shipped_year("greensboro-nc")
    assert np.array_equal(found.outdoor_c, kept.outdoor_c)
    assert found.site == kept.site
    with pytest.raises(WeatherError, match="the key alone"):
        read_weather("greensboro-nc", zone="America/New_York")
    with pytest.raises(EnergyModelError, match="greensborough"):
        read_weather("greensborough")
