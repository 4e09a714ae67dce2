"""
The letters of wire colours and what they say: base colour first, then the tracer.

Source: BS AU 7, colour code for vehicle wiring; the letters from memory.
"""

from collections.abc import Mapping

#: The name of each colour by its letters.
COLOUR_NAMES: Mapping[str, str] = {
    "B": "black",
    "G": "green",
    "K": "pink",
    "LG": "light green",
    "N": "brown",
    "O": "orange",
    "P": "purple",
    "R": "red",
    "S": "slate",
    "U": "blue",
    "W": "white",
    "Y": "yellow",
}
NOT_TOLD = "colour not told"


def split_colour(letters: str) -> tuple[str, ...]:
    """
    The letters of each colour of a wire, base first.

    Examples
    --------
    >>> split_colour("NU"), split_colour("LGN"), split_colour("")
    (('N', 'U'), ('LG', 'N'), ())
    """
    found: list[str] = []
    rest = letters.upper()
    while rest:
        width = 2 if rest.startswith("LG") else 1
        found.append(rest[:width])
        rest = rest[width:]
    return tuple(found)


def colour_name(letters: str) -> str:
    """
    A wire's colour in words, base before tracer.

    Examples
    --------
    >>> colour_name("NU"), colour_name("W")
    ('brown/blue', 'white')
    """
    return "/".join(COLOUR_NAMES.get(part, part) for part in split_colour(letters)) or NOT_TOLD
