"""The printable card: what a person keeps in the glove box, two sides of one sheet."""

from steelyard.cards.codes import CodeError, unpacked
from steelyard.cards.content import card, file_name
from steelyard.cards.html import as_html
from steelyard.cards.pdf import as_pdf
from steelyard.cards.result import Content, Paper

__all__ = ["CodeError", "Content", "Paper", "as_html", "as_pdf", "card", "file_name", "unpacked"]
