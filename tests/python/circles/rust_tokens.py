"""Tokens of Rust text: identifiers, strings and punctuation, without comments."""

from __future__ import annotations

import re
from dataclasses import dataclass

_PIECES = re.compile(
    r"""
    (?P<skip> \s+ | //[^\n]* )
    | (?P<block> /\* )
    | (?P<raw> (?:b|c)?r(?P<hashes>\#*)" )
    | (?P<string> (?:b|c)?"(?:[^"\\]|\\.)*" )
    | (?P<char> b?'(?:[^'\\]|\\(?:x[0-9a-fA-F]{2}|u\{[^}]*\}|.))' )
    | (?P<lifetime> '[^\W\d]\w* )
    | (?P<ident> (?:r\#)?[^\W\d]\w* )
    | (?P<number> \d(?:\w|\.(?=\d))* )
    | (?P<path> :: )
    | (?P<punct> . )
    """,
    re.VERBOSE | re.DOTALL,
)
_BLOCK_EDGE = re.compile(r"/\*|\*/")


@dataclass(frozen=True)
class Token:
    """A token: its kind, ``"ident"``, ``"string"`` or ``"punct"``, and its text."""

    kind: str
    text: str


def tokens(text: str) -> list[Token]:
    """The tokens of a text. Of a string the text is its content."""
    found: list[Token] = []
    at = 0
    while at < len(text):
        piece = _PIECES.match(text, at)
        assert piece is not None, text[at : at + 20]
        at = piece.end()
        kind = piece.lastgroup if piece["hashes"] is None else "raw"
        if kind == "block":
            at = _after_block(text, at)
        elif kind == "raw":
            end = text.index('"' + piece["hashes"], at)
            found.append(Token("string", text[at:end]))
            at = end + 1 + len(piece["hashes"])
        elif kind == "string":
            found.append(Token("string", piece.group().lstrip("bc")[1:-1]))
        elif kind == "ident":
            found.append(Token("ident", piece.group().removeprefix("r#")))
        elif kind in ("path", "punct"):
            found.append(Token("punct", piece.group()))
        elif kind in ("number", "char"):
            found.append(Token("literal", ""))
    return found


def _after_block(text: str, at: int) -> int:
    """The end of a block comment, which may hold others."""
    depth = 1
    while depth:
        edge = _BLOCK_EDGE.search(text, at)
        assert edge is not None, "block comment without an end"
        depth += 1 if edge.group() == "/*" else -1
        at = edge.end()
    return at
