"""The rig file in printed codes, drawn, and back: compressed, split, numbered, checked.

The form is in docs/card.md: `SYC1:k/n:crc32:` and then base 45 (RFC 9285) of one part of the
raw-deflate stream of the canonical text. Every letter is in the QR code's alphanumeric set, so any
reader of codes gives back text.
"""

import hashlib
import re
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from steelyard.cards.canonical import canonical
from steelyard.cards.result import Code
from steelyard.fault import FaultError
from steelyard.rig import Rig

FORM: Final = "SYC1"
LARGEST: Final = 1500
"""Bytes of compressed text in one code; what is longer is split evenly."""
MOST: Final = 3
"""Codes that fit in a row on the sheet; a rig that needs more gets a fingerprint instead."""
LONGEST: Final = 1_000_000
"""Bytes of text that a code may unfold to: as large as a rig file may be."""
_DIGITS: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_CODE: Final = re.compile(r"SYC(\d+):(\d+)/(\d+):([0-9A-F]{8}):([0-9A-Z $%*+\-./:]*)")


class CodeError(FaultError):
    """Codes that give no rig back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """A rig's text as codes, none where it takes too many; its fingerprint always (SHA-256)."""

    codes: tuple[str, ...]
    fingerprint: str
    needed: int


def packed(rig: Rig) -> Packed:
    """The codes of a rig, by its canonical text."""
    text = canonical(rig).encode()
    squeezed = deflated(text)
    count = max(-(-len(squeezed) // LARGEST), 1)
    return Packed(
        codes=tuple(_coded(squeezed, count)) if count <= MOST else (),
        fingerprint=hashlib.sha256(text).hexdigest(),
        needed=count,
    )


def deflated(text: bytes) -> bytes:
    """A raw deflate stream (RFC 1951), no header."""
    squeezer = zlib.compressobj(9, zlib.DEFLATED, -15, 9)
    return squeezer.compress(text) + squeezer.flush()


def _coded(squeezed: bytes, count: int) -> Iterable[str]:
    size = -(-len(squeezed) // count)
    check = f"{zlib.crc32(squeezed):08X}"
    for k in range(count):
        part = squeezed[k * size : (k + 1) * size]
        yield f"{FORM}:{k + 1}/{count}:{check}:{base45(part)}"


def base45(data: bytes) -> str:
    """Base 45 of RFC 9285: two bytes in three letters, a last one in two.

    >>> base45(b"AB")
    'BB8'
    """
    out = []
    for at in range(0, len(data), 2):
        pair = data[at : at + 2]
        n = int.from_bytes(pair, "big")
        for _ in range(len(pair) + 1):
            n, digit = divmod(n, 45)
            out.append(_DIGITS[digit])
    return "".join(out)


def from_base45(text: str) -> bytes:
    """What `base45` wrote; CodeError where nothing it writes looks like this.

    >>> from_base45("BB8")
    b'AB'
    """
    out = bytearray()
    for at in range(0, len(text), 3):
        group = text[at : at + 3]
        n = sum(_DIGITS.index(letter) * 45**i for i, letter in enumerate(group))
        size = len(group) - 1
        if size < 1 or n >= 256**size:
            raise CodeError(due="base 45", found=f"{group!r} at letter {at + 1}")
        out += n.to_bytes(size, "big")
    return bytes(out)


def unpacked(texts: Iterable[str]) -> str:
    """The text of the rig file in some codes, in any order, other text among them left aside.

    Raises CodeError in one sentence: no code, a part missing, parts of two cards, a newer form, or
    a check that fails.
    """
    found = [match for text in texts for match in _CODE.finditer(text)]
    if not found:
        raise CodeError(due=f"codes that begin with {FORM}:", found="none")
    for match in found:
        if match[1] != FORM[3:]:
            due, other = f"codes of form {FORM[3:]}", f"form {match[1][:20]}"
            raise CodeError(due=due, found=other, hint="a newer steelyard reads it")
    sets = {(match[3], match[4]) for match in found}
    if len(sets) > 1:
        raise CodeError(due="the codes of one card", found="codes of several")
    count, check = sets.pop()
    return _inflated(_whole(found, int(count)), check)


def _whole(found: list[re.Match[str]], count: int) -> bytes:
    parts = {int(match[2]): match[5] for match in found}
    missing = [str(k) for k in range(1, min(count, 99) + 1) if k not in parts]
    if missing or not 1 <= count <= 99:
        raise CodeError(due=f"{count} codes", found=f"no number {', '.join(missing[:6])}")
    return b"".join(from_base45(parts[k]) for k in range(1, count + 1))


def _inflated(squeezed: bytes, check: str) -> str:
    if f"{zlib.crc32(squeezed):08X}" != check:
        raise CodeError(due="codes that agree with their check", found="a letter misread")
    unfolding = zlib.decompressobj(-15)
    try:
        text = unfolding.decompress(squeezed, LONGEST)
        if unfolding.unconsumed_tail or not unfolding.eof:
            raise CodeError(due=f"at most {LONGEST:,} bytes of text", found="more or a cut end")
        return text.decode()
    except (zlib.error, UnicodeDecodeError):
        raise CodeError(due="a compressed rig file", found="something else") from None


if TYPE_CHECKING:
    from segno import QRCode

MODULE: Final = (0.40, 0.60)
"""mm: smallest and largest module printed."""
SIDE: Final = 60.0
"""mm: most one code takes, quiet zone included."""
QUIET: Final = 4
"""Modules left white on every side (ISO/IEC 18004)."""

MASK: Final = 3
"""Compressed data look random, so one mask is as good as another; trying all takes 0.1 s a code."""


def drawn(packed: Packed) -> tuple[Code, ...]:
    """One picture a code: mending level M where it stays readable in its room, else L."""
    return tuple(_drawn(text, len(packed.codes)) for text in packed.codes)


def _drawn(text: str, count: int) -> Code:
    most = SIDE / MODULE[0] * (1.0 if count == 1 else 0.9)
    made = _made(text, "M")
    if _modules(made) > most:
        made = _made(text, "L")
    modules = _modules(made)
    svg = str(made.svg_inline(border=QUIET, omitsize=True, light="#fff"))
    return Code(
        text=text,
        svg=svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1),
        modules=modules,
        side=min(SIDE, MODULE[1] * modules),
    )


def _made(text: str, level: str) -> "QRCode":
    import segno

    return segno.make(
        text, mode="alphanumeric", error=level, boost_error=False, micro=False, mask=MASK
    )


def _modules(made: "QRCode") -> int:
    """Modules a side, quiet zone included."""
    return int(made.symbol_size(border=QUIET)[0])
