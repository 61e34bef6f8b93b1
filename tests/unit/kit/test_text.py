import pytest

from fitout.kit.text import printed

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
