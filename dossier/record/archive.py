"""What makes the PDF a record: attached sources, metadata, output intent, identifiers (ISO 19005-3).

Everything in here follows from the build alone, so that the same build gives the same bytes. The dates are those
of the build file; the clock is never asked.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Final
from xml.sax.saxutils import escape

from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

from dossier.frozen import dataclass
from dossier.record.colour_profile import IDENTIFIER, srgb_profile

_PRODUCER: Final = "reportlab, matplotlib, pikepdf"
# PDF/A takes no property it does not know without its description (ISO 19005-3, 6.6.2.3.3); this is the mark of
# ISO 14289-1, clause 5.
_UA_SCHEMA: Final = """<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA Universal Accessibility Schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name><pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 the document conforms to</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>"""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file inside the PDF."""

    name: str  # file name, no folder
    data: bytes  # its bytes
    media_type: str  # for example ``application/yaml``
    relationship: str  # Source, Data or Supplement (ISO 19005-3, Annex E)
    description: str  # what it is, in words


@dataclass(frozen=True, slots=True)
class About:
    """Document information, already cleaned and bounded."""

    title: str
    author: str
    subject: str
    keywords: str
    creator: str
    date: str  # ISO 8601 day; anything else leaves the dates out


def digest(attachments: Sequence[Attachment]) -> str:
    """SHA-256 over the attachments in their order, as twenty base-32 signs in groups of four.

    Each part enters as its name, its length and its bytes, so that nothing can move from one part to the next. It
    shows that the parts belong together, not who wrote them.
    """
    total = hashlib.sha256()
    for one in attachments:
        name = one.name.encode()
        total.update(len(name).to_bytes(8, "big") + name + len(one.data).to_bytes(8, "big") + one.data)
    signs = base64.b32encode(total.digest()).decode()[:20]
    return " ".join(signs[start : start + 4] for start in range(0, 20, 4))


def archive(pdf: Pdf, about: About, attachments: Sequence[Attachment], identity: bytes) -> None:
    """Turn ``pdf`` into the record: information, metadata, output intent, attachments, identifiers.

    Args:
        pdf: the open document.
        about: what the document information says.
        attachments: in the order of the digest.
        identity: everything the document was made from; its hash becomes the file identifier.
    """
    day = _day(about.date)
    _information(pdf, about, day)
    _metadata(pdf, about, day)
    _output_intent(pdf)
    _attach(pdf, attachments, day)
    for page in pdf.pages:
        if "/Trans" in page.obj:
            del page.obj["/Trans"]
        for note in page.obj.get("/Annots", Array()):
            note.F = 4  # printed; ISO 19005-3, 6.3.2
    pdf.Root["/PageLabels"] = Dictionary(Nums=Array([0, Dictionary(S=Name.D)]))
    mark = hashlib.sha256(identity).digest()[:16]
    pdf.trailer["/ID"] = Array([String(mark), String(mark)])


def _day(words: str) -> date | None:
    try:
        return date.fromisoformat(words)
    except ValueError:
        return None


def _information(pdf: Pdf, about: About, day: date | None) -> None:
    values = {
        "/Title": about.title,
        "/Author": about.author,
        "/Subject": about.subject,
        "/Keywords": about.keywords,
        "/Creator": about.creator,
        "/Producer": _PRODUCER,
    }
    if day is not None:
        values["/CreationDate"] = values["/ModDate"] = f"D:{day:%Y%m%d}000000Z"
    information = Dictionary({key: String(value) for key, value in values.items() if value})
    pdf.trailer["/Info"] = pdf.make_indirect(information)


def _metadata(pdf: Pdf, about: About, day: date | None) -> None:
    def say(words: str) -> str:
        return escape(words)

    stamp = f"{day:%Y-%m-%d}T00:00:00Z" if day else ""
    dates = (
        f"<xmp:CreateDate>{stamp}</xmp:CreateDate><xmp:ModifyDate>{stamp}</xmp:ModifyDate>"
        f"<xmp:MetadataDate>{stamp}</xmp:MetadataDate>"
        if day
        else ""
    )
    author = (
        f"<dc:creator><rdf:Seq><rdf:li>{say(about.author)}</rdf:li></rdf:Seq></dc:creator>" if about.author else ""
    )
    packet = f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
<pdfaid:part>3</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{say(about.title)}</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{say(about.subject)}</rdf:li></rdf:Alt></dc:description>
{author}
<xmp:CreatorTool>{say(about.creator)}</xmp:CreatorTool>{dates}
<pdf:Producer>{say(_PRODUCER)}</pdf:Producer><pdf:Keywords>{say(about.keywords)}</pdf:Keywords>
</rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"><pdfuaid:part>1</pdfuaid:part></rdf:Description>
{_UA_SCHEMA}
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>"""
    pdf.Root["/Metadata"] = pdf.make_indirect(Stream(pdf, packet.encode(), Type=Name.Metadata, Subtype=Name.XML))


def _output_intent(pdf: Pdf) -> None:
    profile = pdf.make_indirect(Stream(pdf, srgb_profile(), N=3))
    intent = Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFA1,
        OutputConditionIdentifier=String(IDENTIFIER),
        Info=String(IDENTIFIER),
        DestOutputProfile=profile,
    )
    pdf.Root["/OutputIntents"] = Array([intent])


def _attach(pdf: Pdf, attachments: Sequence[Attachment], day: date | None) -> None:
    specs = {}
    for one in attachments:
        parameters = Dictionary(
            Size=len(one.data), CheckSum=String(hashlib.md5(one.data, usedforsecurity=False).digest())
        )
        if day is not None:
            parameters.ModDate = String(f"D:{day:%Y%m%d}000000Z")
        stream = pdf.make_indirect(
            Stream(pdf, one.data, Type=Name.EmbeddedFile, Subtype=Name(f"/{one.media_type}"), Params=parameters)
        )
        specs[one.name] = pdf.make_indirect(
            Dictionary(
                Type=Name.Filespec,
                F=String(one.name),
                UF=String(one.name),
                Desc=String(one.description),
                AFRelationship=Name(f"/{one.relationship}"),
                EF=Dictionary(F=stream, UF=stream),
            )
        )
    pdf.Root["/AF"] = Array([specs[one.name] for one in attachments])
    names: list[String | Dictionary] = []
    for name in sorted(specs):
        names += [String(name), specs[name]]
    pdf.Root["/Names"] = Dictionary(EmbeddedFiles=Dictionary(Names=Array(names)))
