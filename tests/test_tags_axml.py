"""The ISRC in axml (EBU Tech 3352): that document was not seen, the form is from memory of other writers."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from arsis.io.axml import isrc_axml, isrc_of_axml

CODE = "AA6Q72000047"  # ISRC Agency Bulletin 2015/01: never assigned
EBU = "{urn:ebu:metadata-schema:ebuCore_2012}"
DC = "{http://purl.org/dc/elements/1.1/}"
OTHER = """<?xml version="1.0"?>
<ebuCoreMain xmlns{dc}="{space}http://purl.org/dc/elements/1.1/" xmlns="urn:ebu:metadata-schema:ebucore">
<coreMetadata><identifier typeLabel="GUID" formatLabel="ISRC">
<dc:identifier>{code}</dc:identifier></identifier></coreMetadata></ebuCoreMain>"""


def test_every_field_is_there() -> None:
    root = ElementTree.fromstring(isrc_axml(CODE))
    assert root.tag == f"{EBU}ebuCoreMain"
    (identifier,) = root.findall(f"{EBU}coreMetadata/{EBU}identifier")
    assert identifier.attrib == {
        "typeLabel": "GUID",
        "typeDefinition": "Globally Unique Identifier",
        "formatLabel": "ISRC",
        "formatDefinition": "International Standard Recording Code",
        "formatLink": "http://www.ebu.ch/metadata/cs/ebu_IdentifierTypeCodeCS.xml#3.7",
    }
    assert [(child.tag, child.text) for child in identifier] == [(f"{DC}identifier", f"ISRC:{CODE}")]
    assert b'" http' not in isrc_axml(CODE)  # a much-copied writer puts a space there


@pytest.mark.parametrize("space", ["", " "])
@pytest.mark.parametrize(
    "code", [CODE, f"ISRC:{CODE}", f" ISRC {CODE} ", "ISRC:AA-6Q7-20-00047", CODE.lower()]
)
def test_other_writers_are_read(space: str, code: str) -> None:
    """The other namespace, the namespace with a space, the code with or without its prefix."""
    text = OTHER.format(dc=":dc", space=space, code=code)
    assert isrc_of_axml(text.encode()) == CODE
    assert isrc_of_axml(text.encode() + b"\0") == CODE
    assert isrc_of_axml(text.replace('"1.0"', '"1.0" encoding="utf-16"').encode("utf-16")) == CODE


def test_what_we_write_we_read() -> None:
    # JMK401400212 is the second dummy of the same bulletin; ISRC12000001 is of Iceland, registrant RC1.
    for code in (CODE, "JMK401400212", "ISRC12000001"):
        assert isrc_of_axml(isrc_axml(code)) == code


@pytest.mark.parametrize(
    "document",
    [
        b"",
        b"no xml",
        isrc_axml(CODE)[:-5],
        isrc_axml(CODE).replace(b'formatLabel="ISRC"', b'formatLabel="other"'),
        isrc_axml(CODE).replace(CODE.encode(), b""),
        b'<!DOCTYPE a [<!ENTITY b "c">]>' + isrc_axml(CODE).split(b"\n", 1)[1],
        ('<!DOCTYPE a [<!ENTITY b "c">]>' + isrc_axml(CODE).decode().split("\n", 1)[1]).encode("utf-16"),
        b"\xff\xfe\x00",
        b'<?xml version="1.0" encoding="no-such"?><a/>',
    ],
)
def test_what_holds_no_code_is_none(document: bytes) -> None:
    assert isrc_of_axml(document) is None


@settings(derandomize=True, deadline=None, max_examples=100)
@given(st.binary(max_size=60), st.integers(0, 400))
def test_no_bytes_break_it(data: bytes, at: int) -> None:
    whole = isrc_axml(CODE)
    found = isrc_of_axml(whole[:at] + data + whole[at + len(data) :])
    assert found is None or isinstance(found, str)
