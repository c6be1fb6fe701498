"""The book of rigs on the page: everybody's rigs, each looked at by as many as like."""

from steelyard.web.book.shelf import Shelf

__all__ = ["Shelf"]
