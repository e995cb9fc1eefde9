"""XML that is meant to harm, and files that are no Green Button files."""

from __future__ import annotations

import time

import pytest

from energymodel.meters import espi_entries
from energymodel.meters.green_button import read_green_button
from energymodel.meters.import_report import MeterError

UNSAFE = (
    "the XML is unsafe or too large and was not read: it declares a document type or entities, "
    "nests too deep, or holds more than a meter export can"
)
ATOM = 'xmlns="http://www.w3.org/2005/Atom"'
BOMB = (
    "<!DOCTYPE feed [<!ENTITY a0 'ha'>"
    + "".join(f"<!ENTITY a{i} '{f'&a{i - 1};' * 10}'>" for i in range(1, 12))
    + f"]><feed {ATOM}><title>&a11;</title></feed>"
)
HOSTILE = {
    "entities that multiply": BOMB,
    "one long entity many times": "<!DOCTYPE f [<!ENTITY x '" + "y" * 50_000 + f"'>]><feed {ATOM}>"
    + "&x;" * 50_000 + "</feed>",
    "a file of the computer": "<!DOCTYPE f [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>"
    f"<feed {ATOM}>&x;</feed>",
    "a file of the network": "<!DOCTYPE f [<!ENTITY x SYSTEM 'http://192.0.2.1/x'>]>"
    f"<feed {ATOM}>&x;</feed>",
    "parameter entities": "<!DOCTYPE f [<!ENTITY % p SYSTEM 'http://192.0.2.1/x'> %p;]><feed/>",
    "a document type alone": f"<!DOCTYPE feed SYSTEM 'http://192.0.2.1/x.dtd'><feed {ATOM}/>",
    "deep nesting": f"<feed {ATOM}>" + "<a>" * 300_000,
    "deep nesting, closed": f"<feed {ATOM}>" + "<a>" * 99_999 + "</a>" * 99_999 + "</feed>",
}  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_hostile_xml_is_refused_with_one_message_and_at_once(tmp_path, text, encoding):
    path = tmp_path / "use.xml"
    path.write_bytes(text.encode(encoding))
    begun = time.process_time()
    with pytest.raises(MeterError) as caught:
        read_green_button(path, zone="America/New_York")
    assert caught.value.what == UNSAFE
    assert caught.value.where == "use.xml"
    assert time.process_time() - begun < 5.0
    assert "192.0.2.1" not in str(caught.value)
    assert "passwd" not in str(caught.value)


def test_a_huge_file_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "use.xml"
    with path.open("wb") as file:
        file.truncate(espi_entries.LARGEST_XML_BYTES + 1)  # sparse: takes no room on the disk
    monkeypatch.setattr(espi_entries, "read_bytes", None)
    with pytest.raises(MeterError) as caught:
        read_green_button(path)
    assert caught.value.what == UNSAFE


def test_a_crowd_of_elements_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(espi_entries, "_MOST_ELEMENTS", 1000)
    path = tmp_path / "use.xml"
    path.write_text(f"<feed {ATOM}>{'<a/>' * 1000}</feed>")
    with pytest.raises(MeterError) as caught:
        read_green_button(path)
    assert caught.value.what == UNSAFE


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "the file is empty"),
        (b"Date,kWh\n2024-01-01,5\n", "no sound XML"),
        (b"<feed", "no sound XML"),
        (b"<feed></feed", "no sound XML"),
        (b"<?xml version='1.0' encoding='no-such-code'?><feed/>", "no sound XML"),
        (b"\xff\xfe\xff", "no sound XML"),
        (b"<feed xmlns='http://www.w3.org/2005/Atom'/>", "no usage point"),
        (b"<html><body>Sign in</body></html>", "no usage point"),
    ],
)
def test_what_is_no_green_button_file_is_rejected(tmp_path, content, what):
    path = tmp_path / "use.xml"
    path.write_bytes(content)
    with pytest.raises(MeterError, match=what):
        read_green_button(path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(MeterError, match="no such meter file"):
        read_green_button(tmp_path / "none.xml")


def test_a_usage_point_without_intervals_is_rejected(tmp_path):
    path = tmp_path / "use.xml"
    path.write_text(
        f"<feed {ATOM}><entry><link rel='self' href='/U/1'/><content><UsagePoint xmlns='"
        "http://naesb.org/espi'/></content></entry></feed>"
    )
    with pytest.raises(MeterError, match="no usage point has interval readings"):
        read_green_button(path)
