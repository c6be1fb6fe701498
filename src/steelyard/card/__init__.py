"""The printable card: what a person keeps in the glove box, two sides of one sheet."""

from steelyard.card.codes import CodeError, unpacked
from steelyard.card.content import card, file_name
from steelyard.card.html import as_html
from steelyard.card.pdf import as_pdf
from steelyard.card.result import Content, Paper

__all__ = ["CodeError", "Content", "Paper", "as_html", "as_pdf", "card", "file_name", "unpacked"]
