import pytest

from fitout.kit import icons
from fitout.kit.templatetags.look import FOLLOW_UP_WORDS, VERDICT_WORDS, follow_up, gauge, verdict


def test_each_verdict_has_its_own_shape_and_word() -> None:
    shapes = [icons.ICONS[kind] for kind in VERDICT_WORDS]
    assert len(set(shapes)) == len(VERDICT_WORDS) == 5


def test_each_follow_up_state_has_its_own_crate() -> None:
    assert len({icons.ICONS[state] for state in FOLLOW_UP_WORDS}) == len(FOLLOW_UP_WORDS) == 7


def test_verdict_tells_shape_and_word() -> None:
    text = verdict("cannot_tell")
    assert 'href="#i-cannot-tell"' in text
    assert "Cannot tell" in text


def test_verdict_escapes_the_words_it_is_given() -> None:
    assert "<b>" not in verdict("stop", "<b>2</b> stop")


def test_verdict_for_print_carries_its_drawing() -> None:
    assert icons.ICONS["stop"] in verdict("stop", drawn=True)
    assert "#i-stop" not in verdict("stop", drawn=True)


def test_late_part_says_so_by_crate_and_class() -> None:
    text = follow_up("part_received", "5 days late", late=True)
    assert 'class="follow late"' in text
    assert "#i-late" in text


def test_unknown_icon_is_refused_by_name() -> None:
    with pytest.raises(KeyError, match="no-such"):
        icons.icon("no-such")


def test_sprite_holds_every_icon_once() -> None:
    sprite = icons.sprite()
    assert all(sprite.count(f'id="i-{name}"') == 1 for name in icons.ICONS)


def test_gauge_puts_the_limit_at_five_sevenths() -> None:
    assert gauge(3, 5) == {"fill_pct": "42.9%", "limit_pct": "71.4%", "kind": ""}


@pytest.mark.parametrize(("value", "fill"), [(-1, "0.0%"), (900, "100.0%"), (None, "0.0%")])
def test_gauge_stays_inside_its_frame(value: float | None, fill: str) -> None:
    assert gauge(value, full=10)["fill_pct"] == fill
