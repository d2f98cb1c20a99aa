"""The ISRC of a recording in the `axml` chunk of a broadcast WAV file, as EBU Tech 3352 has it.

The document was not seen: the form is the one that five independent writers agree on, field by field.
"""

from __future__ import annotations

import re
from xml.etree import ElementTree

_AXML = """<?xml version="1.0" encoding="UTF-8"?>
<ebucore:ebuCoreMain xmlns:dc="http://purl.org/dc/elements/1.1/" \
xmlns:ebucore="urn:ebu:metadata-schema:ebuCore_2012">
  <ebucore:coreMetadata>
    <ebucore:identifier typeLabel="GUID" typeDefinition="Globally Unique Identifier" formatLabel="ISRC" \
formatDefinition="International Standard Recording Code" \
formatLink="http://www.ebu.ch/metadata/cs/ebu_IdentifierTypeCodeCS.xml#3.7">
      <dc:identifier>ISRC:{isrc}</dc:identifier>
    </ebucore:identifier>
  </ebucore:coreMetadata>
</ebucore:ebuCoreMain>
"""
# ISO 3901:2019, as it may be shown; a code may itself begin with ISRC (Iceland, registrant RC…).
_CODE = re.compile(
    r"\s*(?:ISRC[:\s]*)?([A-Z]{2}-?[A-Z0-9]{3}-?[0-9]{2}-?[0-9]{5})\s*", re.IGNORECASE | re.ASCII
)
_MOST_BYTES = 1 << 20  # an axml chunk may hold any document; one with an ISRC alone is a kilobyte


def isrc_axml(isrc: str) -> bytes:
    """The body of the chunk. isrc: twelve characters, without hyphens."""
    return _AXML.format(isrc=isrc).encode()


def isrc_of_axml(body: bytes) -> str | None:
    """The first ISRC in a document, in twelve characters; None where there is none to be read.

    Elements count by their local names, since writers differ in the namespace, and some write it with a
    space before it. A document with a type declaration is not read: it could hold entities without end.
    """
    root = _root(body)
    if root is None:
        return None
    for element in root.iter():
        if _local(element) == "identifier" and element.get("formatLabel", "").upper() == "ISRC":
            for child in (element, *element):
                found = _CODE.fullmatch(child.text or "")
                if found and _local(child) == "identifier":
                    return found[1].replace("-", "").upper()
    return None


def _root(body: bytes) -> ElementTree.Element | None:
    plain = body.replace(b"\0", b"")  # so that UTF-16 is seen through, and what pads the chunk is gone
    if len(body) > _MOST_BYTES or b"<!DOCTYPE" in plain or b"<!ENTITY" in plain:
        return None
    for document in (body, plain):
        try:
            return ElementTree.fromstring(document)
        except (ElementTree.ParseError, ValueError, LookupError):
            continue
    return None


def _local(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2].rpartition(":")[2]
