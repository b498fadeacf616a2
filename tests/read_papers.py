"""Reads the papers of a folder with four readers of PDF that share no code, for tests/papers/readers.rs.

Prints one JSON object: for each file, for each reader, the words of each page, the title, and the language where the
reader gives it out.

    pypdf       its own parser, in Python
    pdfminer    its own parser, in Python, and its own guess of what stands beside what
    pdfium      PDFium, in C++, by pypdfium2
    mupdf       MuPDF, in C, by PyMuPDF
"""
import json
import pathlib
import sys

import pymupdf
import pypdf
import pypdfium2
from pdfminer.high_level import extract_pages
from pdfminer.layout import LAParams, LTTextContainer
from pdfminer.pdfdocument import PDFDocument
from pdfminer.pdfparser import PDFParser
from pdfminer.utils import decode_text


def told(texts, title, language):
    return {"pages": [text.split() for text in texts], "title": title, "language": language}


def by_pypdf(path):
    file = pypdf.PdfReader(path)
    return told([page.extract_text() for page in file.pages], file.metadata.title, file.trailer["/Root"].get("/Lang"))


def by_pdfminer(path):
    # Without the order of the columns, which is most of its work: words are compared.
    pages = extract_pages(path, laparams=LAParams(boxes_flow=None))
    texts = ["\n".join(one.get_text() for one in page if isinstance(one, LTTextContainer)) for page in pages]
    with open(path, "rb") as opened:
        file = PDFDocument(PDFParser(opened))
        return told(texts, decode_text(file.info[0]["Title"]), decode_text(file.catalog["Lang"]))


def by_pdfium(path):
    with pypdfium2.PdfDocument(path) as file:
        # It writes a hyphen at the end of a line as a sign of its own.
        texts = [page.get_textpage().get_text_range().replace("\ufffe", "-") for page in file]
        return told(texts, file.get_metadata_value("Title"), None)


def by_mupdf(path):
    with pymupdf.open(path) as file:
        texts = [page.get_text() for page in file]
        return told(texts, file.metadata["title"], file.xref_get_key(file.pdf_catalog(), "Lang")[1])


READERS = {"pypdf": by_pypdf, "pdfminer": by_pdfminer, "pdfium": by_pdfium, "mupdf": by_mupdf}

papers = sorted(pathlib.Path(sys.argv[1]).glob("*.pdf"))
print(json.dumps({paper.name: {name: read(str(paper)) for name, read in READERS.items()} for paper in papers}))
