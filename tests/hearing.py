"""What the usual phrases make of a sentence, cut down to what a test compares."""

from typing import Any

from ampwright.identify.words import hear, propose
from ampwright.stock.phrases import usual_phrases

PHRASES = usual_phrases()


def told(sentence: str) -> set[tuple[str, Any]]:
    """Kind and answer of everything proposed."""
    return {(proposal.what, proposal.answer) for proposal in propose(sentence, PHRASES)}


def asked(sentence: str) -> str:
    """All questions left open, as one text."""
    return " / ".join(hear(sentence, PHRASES).questions)


def cautioned(sentence: str) -> str:
    """All that is said at once, as one text."""
    return " / ".join(hear(sentence, PHRASES).cautions)
