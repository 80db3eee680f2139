"""Every sentence of the demo and of drawn seasons is true of its pairing: read against the figures it speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from reportgen.advice.remedies import find_remedies
from reportgen.assessment import Assessment, assess
from reportgen.catalogue.records import Catalogue
from reportgen.crossover.topologies import PAD
from reportgen.problems import CannotAssess
from tests.advice.demo_answers import demo_remedies
from tests.demo_catalogue import demo, demo_assessed
from tests.every import every
from tests.plausible_season import catalogue as drawn
from tests.shared import shared
from tests.suitability.workbench import SHOUT
from tests.trying import LONG, SEED

SEASONS = range(SEED + 1, SEED + (9 if LONG else 2))
PAIRINGS = 40 if LONG else 6


def season(seed: int) -> Catalogue:
    """The demo (0) or a drawn season."""
    return demo() if seed == 0 else drawn_season(seed)


@shared
def drawn_season(seed: int) -> Catalogue:
    return drawn(seed, PAIRINGS)


@shared
def assessed(seed: int) -> tuple[Assessment, ...]:
    return tuple(_assessed(season(seed)))


def _assessed(found: Catalogue) -> Iterator[Assessment]:
    for pairing in found.pairings.values():
        try:
            yield demo_assessed(pairing.id) if found is demo() else assess(found.case(pairing), drawn=False)
        except CannotAssess:
            continue


def sentences(found: Assessment) -> Iterator[str]:
    """All that the sheet says of a pairing."""
    verdict = found.verdict
    yield verdict.reason
    yield from verdict.conditions
    yield from (text for _, text in (*verdict.fails, *verdict.marginals))
    yield from (check.text for check in found.checks)
    yield from (check.condition for check in found.checks if check.condition)
    yield from (caution.text for caution in found.cautions)
    yield from found.assumptions
    yield from (limit.text for limit in found.limits)


SLIPS = re.compile(
    r"\bNone\b|\bnan\b|\binf\b|  |-0(\.0)? |\(\)|\bTrue\b|\bFalse\b|:\.|\.\.|: (home|studio|vehicle|outdoors|public)\."
)


@pytest.mark.parametrize("seed", [0, *SEASONS])
def test_sentences_are_sentences(seed: int) -> None:
    for found in assessed(seed):
        for text in sentences(found):
            assert text[:1].isupper() or text[:1].isdigit(), (found.id, text)
            assert text[-1] in ".!?" and not SLIPS.search(text) and not SHOUT.search(text), (found.id, text)
            assert text.count("(") == text.count(")"), (found.id, text)


@every("seed", [0, *SEASONS])
def test_a_pad_is_named_only_where_there_is_one(seed: int) -> None:
    for found in assessed(seed):
        padded = any(part.role == PAD and part.branch == "high" for part in found.parts)
        told = any("the pad takes" in text for text in sentences(found))
        assert not told or padded, found.id


@every("seed", [0, *SEASONS])
def test_nobody_stands_in_a_vehicle(seed: int) -> None:
    for found in assessed(seed):
        if found.case.pairing.surroundings == "vehicle":
            assert not any(re.search(r"(?<!free )standing|whoever stands", text) for text in sentences(found)), found.id


AT = re.compile(r"The crossover of (\d+) Hz|^At (\d+) Hz (?:the directivity|the lobe|it is loudest)")


@every("seed", [0, *SEASONS])
def test_one_crossover_has_one_frequency(seed: int) -> None:
    for found in assessed(seed):
        told = {int(one or other) for text in sentences(found) for one, other in AT.findall(text)}
        assert found.crossover_hz is not None
        assert told <= {round(found.crossover_hz)}, (found.id, told)
        assert found.crossover_fixed or found.crossover_hz == float(f"{found.crossover_hz:.3g}")


@every("seed", [0, *SEASONS])
def test_the_verdict_says_what_the_checks_say(seed: int) -> None:
    for found in assessed(seed):
        verdict = found.verdict
        by_outcome = {one: [check for check in found.checks if check.outcome == one] for one in ("fail", "marginal")}
        assert len(verdict.fails) == len(by_outcome["fail"])
        assert {title for title, _ in verdict.fails} == {check.title for check in by_outcome["fail"]}
        assert verdict.reason.startswith("Every check passes") is (verdict.word == "suitable"), found.id
        assert not verdict.reason.startswith("No usable range") or found.found_range.empty
        if verdict.word == "suitable":
            assert not verdict.fails and not verdict.marginals and not verdict.conditions
        for check in found.checks:
            kept = check.condition and check.outcome in ("pass", "marginal")
            assert not kept or check.condition in verdict.conditions, (found.id, check.id)


@pytest.mark.parametrize("seed", [0, *(SEASONS if LONG else ())])
def test_what_is_said_of_remedies_is_true(seed: int) -> None:
    for found in assessed(seed) if LONG else assessed(seed)[2::4]:
        remedies, note = demo_remedies(found.id) if seed == 0 else find_remedies(found, season(seed))
        if found.verdict.word != "not suitable":
            assert "makes it work" not in note, (found.id, note)
        assert not (remedies and note.startswith("Nothing")), (found.id, note)
        assert not re.search(r"\bbudget\b|\d+ of \d+", note), note
        for one in remedies:
            low, high = one.range_hz
            assert low is None or high is None or low <= high, one.text  # one frequency alone is a range as well
            assert one.crossover_hz is not None and f"crossover {one.crossover_hz:.0f} Hz" in one.text
            assert one.word != found.verdict.word


@every("seed", [0, *SEASONS])
def test_a_screen_is_told_as_it_is(seed: int) -> None:
    for found in assessed(seed):
        screen, texts = found.case.high.screen, list(sentences(found))
        assert screen is True or not any("behind a screen" in text or "behind its screen" in text for text in texts)
        assert screen is not True or not any("without a screen" in text for text in texts), found.id
