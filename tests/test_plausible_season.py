"""The drawn seasons are lawful workbooks whose drivers agree with themselves."""

from __future__ import annotations

from reportgen.catalogue.records import Catalogue
from reportgen.pairing.as_used import Setting
from reportgen.suitability.agreement import disagreements
from tests.plausible_season import catalogue


def test_a_drawn_season_reads_without_a_problem() -> None:
    found = catalogue(3, 20)
    assert not [str(problem) for problem in found.problems if not problem.notice]
    assert len(found.pairings) == 20


def test_the_same_seed_draws_the_same_season() -> None:
    def rows(found: Catalogue) -> list[str]:
        return [repr(one) for one in (*found.low_drivers.values(), *found.pairings.values())]

    assert rows(catalogue(4, 10)) == rows(catalogue(4, 10)) != rows(catalogue(5, 10))


def test_drawn_low_drivers_agree_with_themselves() -> None:
    found = catalogue(3, 20)
    told = [disagreements(Setting(found.case(pairing))) for pairing in found.pairings.values()]
    assert not [text for texts, _ in told for text in texts]


def test_drawn_boxes_hold_their_volume_and_what_is_screwed_to_them() -> None:
    found = catalogue(6, 60)
    for pairing in found.pairings.values():
        case = found.case(pairing)
        box, front = case.cabinet, case.guide or case.high
        assert box.baffle_width_m > max(front.faceplate_width_m or 0.0, case.low.frame_width_m or 0.0), pairing.id
        if box.net_volume_m3 is not None:
            assert box.baffle_width_m * box.baffle_height_m * box.depth_m > 1.1 * box.net_volume_m3, pairing.id
