"""A PDF as another program reads it: its words, its title, what is said of pictures, and what lies off its pages."""

import ctypes
from dataclasses import dataclass

import pypdfium2 as pdfium
from pypdfium2 import raw

HAIR = 1.0  # points: a line has half its thickness over its end


@dataclass(frozen=True)
class Read:
    """pages: words of each; sizes: of pages, in points; tagged: whether it has an order to be read in
    roles: of all tags, in that order; alts: the words for pictures; off: what reaches over the edge of its page
    """

    title: str
    language: str
    tagged: bool
    pages: tuple[str, ...]
    sizes: tuple[tuple[float, float], ...]
    roles: tuple[str, ...]
    alts: tuple[str, ...]
    off: tuple[str, ...]

    @property
    def words(self):
        """All words on one line."""
        return " ".join(" ".join(self.pages).split())


def read(made):
    """What stands in the bytes of a PDF."""
    document = pdfium.PdfDocument(made)
    pages, sizes, roles, alts, off = [], [], [], [], []
    for page in document:
        wide, high = page.get_size()
        sizes.append((wide, high))
        words = page.get_textpage()
        pages.append(words.get_text_bounded())
        for i in range(words.count_rects()):
            box = words.get_rect(i)
            if _over(box, wide, high):
                off.append(words.get_text_bounded(*box))
        off += [str(thing.type) for thing in page.get_objects() if _over(_box(thing), wide, high)]
        tree = raw.FPDF_StructTree_GetForPage(page)
        for i in range(raw.FPDF_StructTree_CountChildren(tree)):
            _walk(raw.FPDF_StructTree_GetChildAtIndex(tree, i), roles, alts)
        raw.FPDF_StructTree_Close(tree)
    language = _text(lambda buffer, size: raw.FPDFCatalog_GetLanguage(document, _shorts(buffer), size))
    tagged = bool(raw.FPDFCatalog_IsTagged(document))
    title = document.get_metadata_value("Title")
    document.close()
    return Read(title, language, tagged, *map(tuple, (pages, sizes, roles, alts, off)))


def looks(made, dots_per_inch=96):
    """Each page as grey levels."""
    document = pdfium.PdfDocument(made)
    pages = [
        page.render(scale=dots_per_inch / 72, grayscale=True).to_numpy().astype(float) for page in document
    ]
    document.close()
    return pages


def inks(made):
    """The colours of all letters, as red, green, blue and how solid, 0 to 255 each."""
    document = pdfium.PdfDocument(made)
    found = set()
    for page in document:
        words = page.get_textpage()
        for i in range(words.count_chars()):
            colour = [ctypes.c_uint() for _ in range(4)]
            if raw.FPDFText_GetFillColor(words, i, *colour):
                found.add(tuple(part.value for part in colour))
    document.close()
    return found


def _box(thing):
    """Where a thing lies; of a drawn line its points, for around sharp corners the library takes in much more."""
    if thing.type != raw.FPDF_PAGEOBJ_PATH:
        return thing.get_bounds()
    at = (ctypes.c_float(), ctypes.c_float())
    spots = [
        thing.get_matrix().on_point(*(one.value for one in at))
        for i in range(raw.FPDFPath_CountSegments(thing.raw))
        if raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(thing.raw, i), *at)
    ]
    across, up = zip(*spots, strict=True) if spots else ((0,), (0,))
    return min(across), min(up), max(across), max(up)


def _over(box, wide, high):
    """Whether a box reaches over the edge of the page."""
    left, bottom, right, top = box
    return left < -HAIR or bottom < -HAIR or right > wide + HAIR or top > high + HAIR


def _walk(tag, roles, alts):
    """The roles and the words for pictures of a tag and all below it."""
    roles.append(_text(lambda buffer, size: raw.FPDF_StructElement_GetType(tag, buffer, size)))
    if alt := _text(lambda buffer, size: raw.FPDF_StructElement_GetAltText(tag, buffer, size)):
        alts.append(alt)
    for i in range(raw.FPDF_StructElement_CountChildren(tag)):
        child = raw.FPDF_StructElement_GetChildAtIndex(tag, i)
        if child:
            _walk(child, roles, alts)


def _shorts(buffer):
    """The buffer as the one function that counts in letters wants it."""
    return None if buffer is None else ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort))


def _text(ask):
    """A text that is asked for twice: how long it is, then what."""
    size = ask(None, 0)
    if size <= 2:
        return ""
    buffer = ctypes.create_string_buffer(size)
    ask(buffer, size)
    return buffer.raw[: size - 2].decode("utf-16-le")
