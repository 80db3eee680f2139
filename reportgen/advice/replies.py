"""The plain-text reply to an enquiry, short enough to paste into a mail.

Knows what is said first and what is left out when words run short. Refuses to choose drivers.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportgen.advice.enquiries import Answer, Proposal

MOST_WORDS = 150


def reply(answer: Answer) -> str:
    """The answer as a mail of at most 150 words; the least important goes first when words run short."""
    for proposals, details in ((3, 3), (3, 2), (3, 1), (2, 2), (2, 1), (2, 0), (1, 1), (1, 0)):
        text = _text(answer, proposals, details)
        if len(text.split()) <= MOST_WORDS:
            return text
    words = text.split()
    return " ".join([*words[: MOST_WORDS - 1], "..."])


def _text(answer: Answer, proposals: int, details: int) -> str:
    """The mail with so many proposals; details 3: everything, 2: no assumptions, 1: short wishes, 0: bare."""
    told = answer.proposals[:proposals]
    parts = [f"Thank you for your enquiry {answer.id}."]
    if answer.about_kinds and details:
        parts.append(answer.about_kinds if details > 1 else _first_sentence(answer.about_kinds))
    if told:
        lines = [_line(number, one, answer.currency, details) for number, one in enumerate(told, start=1)]
        parts.append("\n".join([f"For {_subject(answer)} we suggest:", *lines]))
        parts += _care(told, details)
    else:
        parts.append(f"We cannot name a high driver yet. {answer.cannot}" if not answer.nearest_yes else answer.cannot)
        if answer.nearest_yes and details:
            parts.append(f"Nearest yes: {answer.nearest_yes}" if details > 1 else _first_sentence(answer.nearest_yes))
    if theirs := _names(answer.missing):
        parts.append(f"To say more we need of you: {', '.join(theirs)}.")
    if answer.assumed and details > 2:
        parts.append(f"Assumed: {'; '.join(answer.assumed)}.")
    return "\n\n".join([*parts, f"Kind regards\n{answer.from_name}".rstrip()]) + "\n"


def _subject(answer: Answer) -> str:
    low = answer.low
    if low is None:
        return "your loudspeaker"
    if answer.enquiry.low_id:
        return f"your {low.id}"
    return f"your {low.diaphragm_area_m2 * 1e4:.0f} cm² driver"


def _line(number: int, one: Proposal, currency: str, details: int) -> str:
    parts = [f"{number}. {one.high_id}, {one.description}"]
    if one.guide_id:
        parts.append(f" in waveguide {one.guide_id}")
    if one.rear:
        parts.append(f", {one.rear}")
    parts.append(f": cross at {one.crossover_hz:.0f} Hz, {one.slope}; usable {_range(one)} ({one.binding}).")
    if one.word != "suitable":
        word = "Provisional" if one.word == "undecided" else "With conditions"
        parts.append(
            f" {word}: {_first_sentence(one.reason).partition(' (')[0].rstrip('.')}." if details > 2 else f" {word}."
        )
    if one.price is not None:
        parts.append(f" {one.price:.2f} {currency}.")
    return "".join(parts)


def _range(one: Proposal) -> str:
    low, high = (f"{hz:.0f}" if hz is not None else "open" for hz in (one.low_hz, one.high_hz))
    return f"{low} to {high} Hz"


def _care(told: Sequence[Proposal], details: int) -> list[str]:
    """The first sentence of each driver's caution, grave ones always, the same one once."""
    cautions: dict[str, list[str]] = {}
    for one in told:
        if one.caution is not None and (details or one.caution.grave):
            cautions.setdefault(_first_sentence(one.caution.text), []).append(one.high_id)
    return [f"Careful, {', '.join(ids)}: {text}" for text, ids in cautions.items()]


def _first_sentence(text: str) -> str:
    head, stop, _ = text.partition(". ")
    return head + "." if stop else text


def _names(missing: Sequence[str]) -> list[str]:
    """What the enquirer can tell, without cells: `Known cone break-up of E-02 (Enquiries!P3)` -> `cone break-up`."""
    theirs = [text.removeprefix("Known ").partition(" (")[0] for text in missing if text.startswith("Known ")]
    return list(dict.fromkeys(text.rpartition(" of ")[0] for text in theirs))
