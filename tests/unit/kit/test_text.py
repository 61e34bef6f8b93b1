import pytest

from fitout.kit.text import THIN_SPACE, large_figures, printed

pytestmark = pytest.mark.pure

NBSP = "\N{NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("House battery, 12.8 V 280 Ah", "House battery, 12.8_V 280_Ah"),
        ("Deck wash pump, 26 l/min, 4.1 bar", "Deck wash pump, 26_l/min, 4.1_bar"),
        ("Start battery, 1 of 2", "Start battery, 1 of 2"),
        ("Deck flood, 2 off, port", "Deck flood, 2 off, port"),
        ("Trunking, 60 × 40 mm", "Trunking, 60_×_40_mm"),
        ("at least 10 kΩ", "at least 10_kilohm"),
        ("54 to 66 Ω, 3.6 mΩ", "54 to 66_ohm, 3.6_milliohm"),
        ("5 Volunteers", "5 Volunteers"),
    ],
)
def test_in_print_a_number_keeps_its_unit_and_every_sign_has_a_face(typed: str, shown: str) -> None:
    assert printed(typed) == shown.replace("_", NBSP)


@pytest.mark.parametrize(
    ("told", "shown"),
    [
        (
            "lets 159630 A²s through, 33000 A²s at most",
            "lets 159~630 A²s through, 33~000 A²s at most",
        ),
        ("breaks 10000 A, 1000.5 A and 999 A", "breaks 10~000 A, 1~000.5 A and 999 A"),
        ("ISO 10133:2012, 4.7; IEC 60228, class 5", "ISO 10133:2012, 4.7; IEC 60228, class 5"),
        ("7 Nov 2026 in 3 s, 0.12345 V", "7 Nov 2026 in 3 s, 0.12345 V"),
        ("2000 AWG, part X2000 A", "2000 AWG, part X2000 A"),
    ],
)
def test_large_figures_of_a_sentence_stand_in_groups_of_three(told: str, shown: str) -> None:
    assert large_figures(told) == shown.replace("~", THIN_SPACE)
