"""Pictures as SVG text, from the library's own numbers, for the page, the card and files."""
