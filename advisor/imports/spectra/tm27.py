"""Spectra in ANSI/IES TM-27-14, the open XML format for spectral data.

Parsed as a stream: nothing is kept but the header and the samples, however deep or long the document.
A document type declaration, which the format has no use for, is refused before any entity is read.
"""

import io
import re
from dataclasses import dataclass, field
from xml.sax import SAXParseException
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import AttributesImpl, InputSource, Locator

from defusedxml import DefusedXmlException, sax

from ...model import Problem, Refused
from ..text.cells import Cell
from .cells import plain_number
from .sample import Sample, refuse_all
from .samples import MOST

#: The most spectra in one document.
MOST_SPECTRA = 50
_WHERE = "file"
_ROOT = "IESTM2714"
_ALLOWED = f"an ANSI/IES TM-27-14 file, whose root element is {_ROOT}, or a table as text"
_KEPT = frozenset({"Description", "CatalogNumber", "UniqueIdentifier", "SpectralQuantity"})
_LONGEST = 500
#: Words for nothing, which the format's own examples have in fields that must be there.
_NOTHING = frozenset({"", "unknown", "n/a", "na", "none", "-"})
# Which version of XML a document says that it is in changes nothing here, and its encoding was settled when
# it became text. Parsers differ in the versions that they take: all of them are shown the same one.
_DECLARATION = re.compile(
    r"""\A<\?xml\s+version\s*=\s*(?:"[\w.:-]+"|'[\w.:-]+')"""
    r"""(?:\s+encoding\s*=\s*(?:"[\w.-]+"|'[\w.-]+'))?"""
    r"""(?:\s+standalone\s*=\s*(?:"(?:yes|no)"|'(?:yes|no)'))?\s*\?>""",
    re.ASCII,
)
_NO_LIGHT = frozenset({"transmittance", "reflectance", "absorptance", "t-values", "r-values"})


@dataclass
class Document:
    """What a TM-27-14 document says: of each spectrum its samples, its quantity and where it stands."""

    name: str = ""
    distributions: list["Distribution"] = field(default_factory=list)


@dataclass
class Distribution:
    """One spectral distribution."""

    where: str
    quantity: str = ""
    samples: list[Sample] = field(default_factory=list)

    @property
    def notes(self) -> list[str]:
        """What is to be said of it."""
        notes = ["read as ANSI/IES TM-27-14"]
        if self.quantity:
            notes[0] += f", and the quantity is {self.quantity}"
        if self.quantity.casefold() in _NO_LIGHT:
            notes.append(f"{self.quantity} belongs to a filter or a surface: this is no light")
        return notes


def read_tm27(text: str) -> Document:
    """Read a document. Namespaces and the header's fields are taken as they come; bandwidth is not used.

    Raises Refused: not well-formed, a document type declaration or entities, another root element, no
    samples, a wavelength or value that is no number. Each problem has its line.
    """
    handler = _Handler()
    parser = sax.make_parser()
    parser.forbid_dtd = parser.forbid_entities = parser.forbid_external = True
    parser.setContentHandler(handler)
    source = InputSource()
    document = text.lstrip()
    rest = _DECLARATION.sub("", document, count=1)
    declared = '<?xml version="1.0"?>' if len(rest) < len(document) else ""
    source.setCharacterStream(io.StringIO(declared + rest))
    handler.lines_before = text[: len(text) - len(rest)].count("\n")
    try:
        parser.parse(source)
    except DefusedXmlException:
        raise Refused.one(
            _WHERE,
            "the XML declares a document type or entities, which could make it grow without end or fetch "
            "other files",
            "a TM-27-14 file without <!DOCTYPE ...>",
        ) from None
    except SAXParseException as error:
        where = f"line {(error.getLineNumber() or 1) + handler.lines_before}"
        raise Refused.one(where, f"the XML is not well-formed: {error.getMessage()}", _ALLOWED) from None
    refuse_all(handler.problems)
    if not any(d.samples for d in handler.document.distributions):
        raise Refused.one(_WHERE, "the file has no SpectralData", _ALLOWED)
    return handler.document


class _Handler(ContentHandler):
    """Collects the header, the samples and what is wrong with them."""

    lines_before = 0

    def __init__(self) -> None:
        super().__init__()
        self.document = Document()
        self.problems: list[Problem] = []
        self._header: dict[str, str] = {}
        self._text: list[str] | None = None
        self._length = 0
        self._wavelength = ""
        self._line = 0
        self._begun = False

    def setDocumentLocator(self, locator: Locator) -> None:  # noqa: N802 - SAX names these
        self._place = locator

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        name = _local(name)
        where = self._where()
        if not self._begun:
            self._begun = True
            if name.casefold() != _ROOT.casefold():
                raise Refused.one(where, f"the root element is <{name[:40]}>, not <{_ROOT}>", _ALLOWED)
        elif name == "SpectralDistribution":
            if len(self.document.distributions) >= MOST_SPECTRA:
                raise Refused.one(
                    where, f"there are more than {MOST_SPECTRA} spectra", f"up to {MOST_SPECTRA}"
                )
            self.document.distributions.append(Distribution(where))
        elif name == "SpectralData":
            values = [attrs.getValue(a) for a in attrs.getNames() if _local(a).casefold() == "wavelength"]
            self._wavelength = values[0] if values else ""
        if name == "SpectralData" or name in _KEPT:
            self._text, self._length = [], 0

    def characters(self, content: str) -> None:
        if self._text is not None and self._length <= _LONGEST:
            self._text.append(content)
            self._length += len(content)

    def endElement(self, name: str) -> None:  # noqa: N802
        if self._text is None:
            return
        name, text = _local(name), "".join(self._text).strip()[:_LONGEST]
        if name == "SpectralData":
            self._sample(text)
        elif name == "SpectralQuantity":
            self._distribution().quantity = re.sub(r"\s+", " ", text)[:40]
        elif name in _KEPT and text.casefold() not in _NOTHING:
            self._header.setdefault(name, text)
        else:
            return  # an element within the one whose text is wanted
        self._text = None

    def endDocument(self) -> None:  # noqa: N802
        named = (self._header.get(n) for n in ("Description", "CatalogNumber", "UniqueIdentifier"))
        self.document.name = next((n for n in named if n), "")

    def _sample(self, text: str) -> None:
        where = self._where()
        samples = self._distribution().samples
        if len(samples) >= MOST:
            raise Refused.one(where, f"the spectrum has more than {MOST} samples", f"at most {MOST}")
        if not self._wavelength.strip():
            allowed = 'as in <SpectralData wavelength="560">1.0</SpectralData>'
            self.problems.append(
                Problem(where=where, says="SpectralData has no attribute wavelength", allowed=allowed)
            )
            return
        try:
            wavelength = plain_number(Cell(self._wavelength, f"{where}, wavelength"), ".")
            samples.append(Sample(wavelength, plain_number(Cell(text, where), "."), where))
        except Refused as no:
            self.problems += no.problems

    def _distribution(self) -> Distribution:
        """Return the one at hand; some documents leave out the element around their only one."""
        if not self.document.distributions:
            self.document.distributions.append(Distribution(self._where()))
        return self.document.distributions[-1]

    def _where(self) -> str:
        return f"line {(self._place.getLineNumber() or 1) + self.lines_before}"


def _local(name: str) -> str:
    return name.rpartition(":")[2]
