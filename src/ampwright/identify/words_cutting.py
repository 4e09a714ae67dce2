"""
The caller's sentence cut into tokens.

A word that is in no list is taken for the nearest that is, if one letter is wrong
(two in a long word) and its first letter is right.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from rapidfuzz.distance import OSA
from rapidfuzz.process import extract

from ampwright.identify.words_lexicon import LEAST_LETTERS, Lexicon, canonical, stem
from ampwright.identify.words_numbers import Token, join_colours, join_counts, join_numbers, join_ones, join_units

_PIECES = re.compile(
    r"(?P<ordinal>\d+(?:st|nd|rd|th)\b)"
    r"|(?P<figure>(?:(?<!\S)[-−])?(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+(?:[.,]\d+)?|(?<![\w.])\.\d+))"
    r"|(?P<sign>\+(?:ve\b)?|(?<!\S)[-−](?:ve\b|(?=\s)))"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<joint>/|(?<=\d)[-−](?=\d))"
    r"|(?P<stop>[,;:!?()\n–—]|\.)"
)
_LONG_WORD = 8
# Before these a no at the start is an answer.
_NOES = ("no", "nope", "nah")
_STARTS_ANEW = frozenset(
    [
        "it", "its", "there", "theres", "they", "theyre", "that", "thats", "this", "i", "ive", "im", "he", "she",
        "shes", "we", "weve", "you", "the", "mine",
    ]
)  # fmt: skip
_SYMBOLS = {"ω": "ohm", "Ω": "ohm"}
# What "a new one" can be another of.
_THINGS = frozenset(
    ["battery", "box", "regulator", "rectifier", "zener", "stator", "rotor", "generator", "bulb", "loom", "magneto"]
)
_ANOTHER = ("new", "fresh", "different", "second")


def tokens_of(sentence: str, lexicon: Lexicon) -> tuple[Token, ...]:
    """Cut a sentence into words, numbers and colours, spelling mended, with the turns marked."""
    words = join_ones(_with_things(_cut(sentence, lexicon)), lexicon.colours)
    tokens = join_counts(join_colours(join_units(join_numbers(words)), lexicon.colours))
    return tuple(_with_turns(tokens, lexicon))


def _cut(sentence: str, lexicon: Lexicon) -> list[Token]:
    tokens: list[Token] = []
    clause = 0
    pieces = list(_PIECES.finditer(sentence))
    for at, piece in enumerate(pieces):
        kind, typed = piece.lastgroup, piece[0]
        token = Token(typed, typed, piece.start(), piece.end(), clause)
        if kind == "figure":
            tokens.append(replace(token, text="#", values=(_figure(typed),)))
        elif kind == "sign":
            tokens.append(replace(token, text=canonical("plus" if typed.startswith("+") else "minus", lexicon.same)))
        elif kind == "word":
            tokens.append(_word(token, tokens, lexicon))
        elif typed == "," and _between_figures(pieces, at):
            tokens.append(token)
        elif kind == "stop":
            clause += 1
            if typed == "?" and tokens:
                tokens.append(replace(token, text="?", clause=clause - 1, turn="hedged"))
        else:
            tokens.append(token)
    return tokens


def _with_things(tokens: Sequence[Token]) -> list[Token]:
    """Say what *a new one* is: the thing spoken of last."""
    named: list[Token] = []
    thing = ""
    for at, token in enumerate(tokens):
        if thing and token.text == "one" and at and tokens[at - 1].text in _ANOTHER:
            token = replace(token, text=thing)
        thing = token.text if token.text in _THINGS else thing
        named.append(token)
    return named


def _figure(typed: str) -> float:
    digits = typed.replace("−", "-")
    return float(re.sub(r",(?=\d{3}\b)", "", digits).replace(",", "."))


def _between_figures(pieces: Sequence[re.Match[str]], at: int) -> bool:
    """Whether a comma parts two readings: one has decimals, or a third stands beside them (8, 6 volt is two things)."""
    figures = {near: piece[0] for near, piece in enumerate(pieces) if piece.lastgroup == "figure"}
    after = at + 1
    if after < len(pieces) and pieces[after][0].lower() == "and":
        after += 1  # 13.1, 12.8, and 0.3
    if at - 1 not in figures or after not in figures:
        return False
    decimals = "." in figures[at - 1] + figures[after]
    return decimals or any(
        piece in figures and pieces[joint][0] in (",", "and") for joint, piece in ((at + 2, at + 3), (at - 2, at - 3))
    )


def _word(token: Token, before: Sequence[Token], lexicon: Lexicon) -> Token:
    plain = re.sub(r"['’]s$", "", token.typed.lower()).replace("'", "").replace("’", "")
    plain = _SYMBOLS.get(token.typed, plain)
    follows_figure = bool(before) and bool(before[-1].values)
    # 10A and 10 A are amps, "ten a day" is not.
    if plain == "a" and follows_figure and (before[-1].end == token.start or token.typed == "A"):
        return replace(token, text="amp")
    if plain in lexicon.known or stem(plain) in lexicon.known or f"{plain}s" in lexicon.known:
        return replace(token, text=canonical(plain, lexicon.same))
    nearest = _nearest(plain, lexicon.known)
    return replace(token, text=canonical(nearest or plain, lexicon.same), mended=bool(nearest))


def _nearest(word: str, known: frozenset[str]) -> str:
    """The one known word that it can be a slip of; empty where there is none."""
    if len(word) < LEAST_LETTERS:
        return ""
    slips = 2 if len(word) >= _LONG_WORD else 1
    candidates = [other for other in known if other[0] == word[0] and len(other) >= LEAST_LETTERS - 1]
    found = extract(word, candidates, scorer=OSA.distance, score_cutoff=slips, limit=None)
    return min(found, key=lambda one: (one[1], one[0]))[0] if found else ""


def _with_turns(tokens: Sequence[Token], lexicon: Lexicon) -> Iterator[Token]:
    texts = tuple(token.text for token in tokens)
    found = [
        (words, kind, at)
        for at, text in enumerate(texts)
        for words, kind in lexicon.turns.get(text, ())
        if texts[at : at + len(words)] == words
    ]
    turned: dict[int, str] = {}
    for words, kind, at in sorted(found, key=lambda one: -len(one[0])):
        span = range(at, at + len(words))
        if not turned.keys() & set(span):
            turned |= dict.fromkeys(span, kind)
    for at, token in enumerate(tokens):
        if _answers_no(tokens, at):
            # It answers what was asked, and denies nothing that follows.
            yield replace(token, text="no.", turn="ends")
        else:
            yield replace(token, turn=turned[at]) if at in turned else token


def _answers_no(tokens: Sequence[Token], at: int) -> bool:
    """Whether a part of the line starts as an answer: no it has three wires."""
    starts = at == 0 or tokens[at - 1].clause != tokens[at].clause
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if not starts or following is None or following.clause != tokens[at].clause:
        return False
    return tokens[at].typed.lower() in _NOES and re.split("['’]", following.typed.lower())[0] in _STARTS_ANEW
