"""No file tells of the machine it was written on, or sends a reader anywhere but to a standard."""

import re
from collections.abc import Iterator, Mapping

import pytest

# A class of one character, as in wor[k], keeps this file from holding what it forbids.
FORBIDDEN = {
    "a package index": re.compile(r"pypi[.]org|python[h]osted[.]org|registry[.]npm|deb[.]debian"),
    "an option that names an index": re.compile(
        r"-{2}(?:extra-)?index-url|-{2}trusted-host|-{2}find-links"
    ),
    "a path of one machine": re.compile(
        r"(?<![\w.~/-])/(?:wor[k]|roo[t]|hom[e]/\w+|User[s]/\w+)(?=[/\s\"'`:,)]|$)"
        r"|\b[A-Z]:\\{1,2}User[s]\b",
        re.MULTILINE,
    ),
}
URL = re.compile(r"\b(?:https?|ftp|wss?):/{2}(\[[\d:a-f]+\]|[^\s/:\"'`<>)\]}|,;]+)")
LOOPBACK = {"localhost", "127.0.0.1", "[::1]"}
# A name filled in at run time, and names that RFC 2606 keeps free for examples.
NOWHERE = ("{own", "evil.example")
# Standards bodies, lawgivers, resolvers of references, and names that identify a format.
ALLOWED = (
    "astm.org",
    "bipm.org",
    "doi.org",
    "ecfr.gov",
    "europa.eu",
    "gov.au",
    "gov.uk",
    "govinfo.gov",
    "govt.nz",
    "iso.org",
    "json-schema.org",
    "nhtsa.gov",
    "nist.gov",
    "sae.org",
    "transportation.gov",
    "unece.org",
    "w3.org",
)


def _allowed(host: str) -> bool:
    if host in LOOPBACK or host.endswith(NOWHERE):
        return True
    return any(host == name or host.endswith("." + name) for name in ALLOWED)


def _lines(
    texts: Mapping[str, str], pattern: re.Pattern[str]
) -> Iterator[tuple[str, re.Match[str]]]:
    for path, text in texts.items():
        for found in pattern.finditer(text):
            yield f"{path}:{text.count(chr(10), 0, found.start()) + 1}: {found[0]}", found


@pytest.mark.parametrize("kind", FORBIDDEN)
def test_no_file_names_the_machine_or_its_index(texts: Mapping[str, str], kind: str) -> None:
    """Where packages come from, and where a folder lies, is each machine's own business."""
    assert [line for line, _ in _lines(texts, FORBIDDEN[kind])] == []


def test_addresses_are_of_standards_bodies(texts: Mapping[str, str]) -> None:
    """An address is of this machine, a standards body, a lawgiver or a resolver of references."""
    assert [line for line, found in _lines(texts, URL) if not _allowed(found[1])] == []


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("a package index", "see pypi~org"),
        ("an option that names an index", "-~extra-index-url x"),
        ("an option that names an index", "-~find-links=x"),
        ("a path of one machine", "cd ~work/main"),
        ("a path of one machine", '"~home/anna/x"'),
        ("a path of one machine", "C:~Users~anna"),
    ],
)
def test_the_patterns_find_what_they_forbid(kind: str, text: str) -> None:
    """A pattern that finds nothing holds nothing (~: a character this file may not hold)."""
    forms = [text.replace("~", sign) for sign in (".", "-", "/", "\\")]
    assert any(FORBIDDEN[kind].search(form) for form in forms)


@pytest.mark.parametrize("text", ["--no-emit-index-url", "rate/work", "a /worked"])
def test_the_patterns_leave_other_words_alone(text: str) -> None:
    """An option that leaves addresses out, a ratio and a longer word are none of the forbidden."""
    assert not any(pattern.search(text) for pattern in FORBIDDEN.values())


def test_a_host_is_known_by_its_end() -> None:
    """`www.iso.org` is ISO's; a name that only begins or ends in those letters is not."""
    assert _allowed("www.iso.org")
    assert not _allowed("iso.org.invalid")
    assert not _allowed("notiso.org")
