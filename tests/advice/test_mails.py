"""What the writer of a mail wrote in it: the mails were made up, and what is in them written down by hand."""

from __future__ import annotations

from reportgen.advice.mails import in_figures, own_words
from reportgen.advice.replies import reply
from tests.advice.test_unread import answered
from tests.every import every

EARLIER = "Hello,\n> HD-06 would do at 1800 Hz, LR4\n>> my budget is 20 euro\nand smaller ones?"


@every(
    ("mail", "own", "quotes"),
    [
        (EARLIER, "Hello,\nand smaller ones?", True),  # RFC 3676, 4.5: quoted lines begin with >
        ("Thanks.\n-----Original Message-----\nFrom: us\nLR4, 3 m", "Thanks.", True),
        ("Fine.\n\nVon: uns <a@example.org>\nGesendet: 3. November\nBetreff: AW\n\nLR4, 3 m", "Fine.", True),
        ("Fine.\n*From:* us\n*Date:* 3 Nov\nLR4", "Fine.", True),
        ("From: Jo\nI date on 3 m", "From: Jo\nI date on 3 m", False),
        (
            "Please answer.\n--- Forwarded message ---\nFrom: Bob\nDate: now\nLD-01?",
            "Please answer.\n--- Forwarded message ---\nFrom: Bob\nDate: now\nLD-01?",
            False,
        ),
        ("On 3 Nov, Jo <a@example.org> wrote:\n> HD-06\nNo.", "No.", True),
        (
            "LD-01?\n-- \nJo, 12 inch records, 3 m",
            "LD-01?\n",
            False,
        ),  # RFC 3676, 4.3: what ends by a line of "-- " is signed
        ("> everything\n> is quoted", "> everything\n> is quoted", False),
        ("a level > 100 dB", "a level > 100 dB", False),
        ("  LD-01, please\n", "  LD-01, please\n", False),
        ("", "", False),
    ],
)
def test_what_is_quoted_of_earlier_mails_is_left_out_unless_it_is_all(mail: str, own: str, quotes: bool) -> None:
    assert own_words(mail) == (own, quotes)


@every(
    ("words", "figures"),
    [
        ("I sit two metres away", "I sit 2 metres away"),
        ("two and a half metres", "2.5 metres"),
        ("a hundred euros, one hundred and five pounds", "100 euros, 105 pounds"),
        ("Forty-five watts, seventeen litres, ninety dB", "45 watts, 17 litres, 90 dB"),
        ("one hundred decibels, 90 decibel", "100 dB, 90 dB"),
        ("| Fs | 38 Hz |\tLR2 @ 3k5 up to 120,- EUR", " Fs 38 Hz LR2 @ 3.5k up to 120 EUR"),
        ("a 4k7 ohm resistor, 1,-2 V", "a 4k7 ohm resistor, 1,-2 V"),
        ("a couple of hundred euros", "a couple of hundred euros"),
        ("two LD-02, an eight inch woofer, one of them", "two LD-02, an eight inch woofer, one of them"),
    ],
)
def test_numbers_before_a_unit_are_figures(words: str, figures: str) -> None:
    assert in_figures(words) == figures


def test_a_quoted_wish_is_not_the_writers_and_that_is_said_but_a_quoted_danger_counts() -> None:
    found = answered(f"{EARLIER} LD-01, two metres away.\n> I have a pacemaker, and a toddler")
    assert found.enquiry.typed == ("low_id", "distance_m") and found.enquiry.distance_m == 2.0
    assert found.question.startswith(EARLIER), "the page shows the whole mail"
    text = reply(found)
    assert "We did not read what you quote of earlier mails." in text and "HD-06 would" not in text
    assert "heart implant" in text and "With a child about" in text
