"""Icons as path data on a 16 by 16 field; one source for screen and print."""

from functools import cache

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

# Filled shapes; holes come from the even-odd rule.
ICONS: dict[str, str] = {
    # Verdicts: each its own outline, so the shape alone tells them apart.
    "pass": "M8 .8a7.2 7.2 0 1 0 0 14.4A7.2 7.2 0 0 0 8 .8zm-1 10.5L3.6 7.9l1.3-1.3L7 8.7l4.1-4.2 1.3 1.3z",
    "attention": "M8 .6 15.8 15H.2zM7.1 5.6v4.8h1.8V5.6zm0 6v1.8h1.8v-1.8z",
    "stop": "M5 .8h6L15.2 5v6L11 15.2H5L.8 11V5zM3.8 7v2h8.4V7z",
    "note": "M1.4 1.4h13.2v13.2H1.4zM7.1 3.6v1.9h1.8V3.6zm0 3.2v5.6h1.8V6.8z",
    "cannot-tell": "M8 .1 15.9 8 8 15.9.1 8zM5.7 6.4h1.6c0-.5.3-.8.8-.8s.8.3.8.7c0 .4-.2.6-.7 1"
    "-.7.5-1 1-1 1.8v.3h1.6c0-.4.1-.6.6-1 .7-.5 1.1-1.1 1.1-2.1C10.5 4.9 9.5 4.1 8.1 4.1"
    "S5.7 5 5.7 6.4zm1.5 4v1.6h1.6v-1.6z",
    # A crate fills up as a part comes nearer to its place.
    "needed": "M2 2h12v12H2zm1.6 1.6v8.8h8.8V3.6z",
    "ordered": "M2 2h12v12H2zm1.6 1.6V8h8.8V3.6z",
    "part-received": "M2 2h12v12H2zm1.6 1.6v1.6h8.8V3.6zm0 3.1v1.5h8.8V6.7z",
    "received": "M2 2h12v12H2z",
    "picked": "M2 2h12v12H2zm5.2 10h1.6V7.3l1.7 1.7 1.1-1.1L8 4.3 4.4 7.9 5.5 9l1.7-1.7z",
    "fitted": "M2 2h12v12H2zm4.9 9.6 5.3-5.5-1.2-1.2-4.1 4.2L5 7.2 3.8 8.4z",
    "left-over": "M2 2h12v12H2zm1.6 1.6v8.8h8.8V3.6zM5 7.2h6v1.6H5z",
    "late": "M2 2h12v12H2zm1.6 1.6V8h8.8V3.6zm3.5 5.6v2.4h1.8V9.2zM0 0h6L0 6z",
    # Work.
    "camera": "M1 4h3.4L5.8 2h4.4l1.4 2H15v10H1zm7 1.6a3.2 3.2 0 1 0 0 6.4 3.2 3.2 0 0 0 0-6.4z",
    "snag": "M3 1h1.8v1H14l-2.6 3.2L14 8.5H4.8V15H3z",
    "offline": "M1.6 2.7 2.8 1.5l11.7 11.7-1.2 1.2-4-4A2 2 0 1 1 6.6 8L5.4 6.8A6.6 6.6 0 0 0 3.2 8.4L1.9 7"
    "a8.4 8.4 0 0 1 2.2-1.6zM8 3.6A8.5 8.5 0 0 1 14.1 7l-1.3 1.3A6.6 6.6 0 0 0 8.6 5.6L6.8 3.8z",
    "clock": "M8 .8a7.2 7.2 0 1 0 0 14.4A7.2 7.2 0 0 0 8 .8zm0 1.7a5.5 5.5 0 1 1 0 11 5.5 5.5 0 0 1 0-11z"
    "M7.2 4.3v4.3l3.3 2 .8-1.4-2.5-1.5V4.3z",
    "play": "M3.5 1.5v13l11-6.5z",
    "halt": "M2.5 2.5h11v11h-11z",
    # Moving about.
    "up": "M7.1 14V5.3L3.7 8.7 2.4 7.4 8 1.8l5.6 5.6-1.3 1.3-3.4-3.4V14z",
    "down": "M8.9 2v8.7l3.4-3.4 1.3 1.3L8 14.2 2.4 8.6l1.3-1.3 3.4 3.4V2z",
    "right": "M2 7.1h8.7L7.3 3.7l1.3-1.3L14.2 8l-5.6 5.6-1.3-1.3 3.4-3.4H2z",
    "left": "M14 8.9H5.3l3.4 3.4-1.3 1.3L1.8 8l5.6-5.6 1.3 1.3-3.4 3.4H14z",
    "find": "M6.8 1.2a5.6 5.6 0 1 0 3.3 10.1l3.5 3.5 1.2-1.2-3.5-3.5A5.6 5.6 0 0 0 6.8 1.2zm0 1.7a3.9 3.9 0 1 1 0 7.8 3.9 3.9 0 0 1 0-7.8z",
    "menu": "M1.5 3h13v1.7h-13zm0 4.2h13v1.7h-13zm0 4.2h13v1.7h-13z",
    "close": "M3.2 2 8 6.8 12.8 2 14 3.2 9.2 8l4.8 4.8-1.2 1.2L8 9.2 3.2 14 2 12.8 6.8 8 2 3.2z",
    "add": "M7.1 2h1.8v5.1H14v1.8H8.9V14H7.1V8.9H2V7.1h5.1z",
    # Things.
    "document": "M3 1h7l3.5 3.5V15H3zm1.6 1.6v10.8h7.3V5.4H9.1V2.6z",
    "print": "M4 1h8v3.5h2.5v7.5H12v3H4v-3H1.5V4.5H4zm1.5 1.5v2h5v-2zm0 7.5v3.5h5V10z",
    "lock": "M4.2 6.5V4.7a3.8 3.8 0 0 1 7.6 0v1.8H13.5V15h-11V6.5zm1.7 0h4.2V4.7a2.1 2.1 0 0 0-4.2 0z",
    "bolt": "M9.5.5 2.5 9h4.3L5.5 15.5 13.5 6.5H8.7z",
    "person": "M8 1a3.3 3.3 0 1 1 0 6.6A3.3 3.3 0 0 1 8 1zM1.5 15c0-3.9 2.9-6.2 6.5-6.2s6.5 2.3 6.5 6.2z",
}


# On paper a drawing does not take the colour of the words around it.
INK = "#13212b"
PAPER_COLOURS = {
    "pass": "#1c6440",
    "attention": "#784700",
    "stop": "#a81c14",
    "note": "#24506e",
    "cannot-tell": "#5a4a72",
}


@cache
def sprite() -> SafeString:
    """All icons as symbols, once per page."""
    symbols = format_html_join(
        "",
        '<symbol id="i-{}" viewBox="0 0 16 16"><path fill-rule="evenodd" d="{}"/></symbol>',
        ICONS.items(),
    )
    return format_html('<svg class="vh" width="0" height="0" aria-hidden="true">{}</svg>', symbols)


def icon(name: str) -> SafeString:
    """A reference into the sprite; says nothing to a screen reader."""
    _check(name)
    return format_html(
        '<svg class="icon icon-{}" aria-hidden="true"><use href="#i-{}"/></svg>', name, name
    )


def drawn_icon(name: str) -> SafeString:
    """The whole drawing, for print, where one svg cannot point into another."""
    _check(name)
    return format_html(
        '<svg class="icon icon-{}" viewBox="0 0 16 16" fill="{}" aria-hidden="true">'
        '<path fill-rule="evenodd" d="{}"/></svg>',
        name,
        PAPER_COLOURS.get(name, INK),
        ICONS[name],
    )


def _check(name: str) -> None:
    if name not in ICONS:
        raise KeyError(f"No icon named {name!r}; there are: {', '.join(sorted(ICONS))}")
