"""How wide a text is drawn, and how to make it fit."""

from unicodedata import normalize

#: Advance widths of the condensed face in thousandths of its size, read from the font file.
ADVANCES: dict[int, str] = {
    137: " ",
    146: "`",
    164: "'",
    178: ",.:;",
    200: "|",
    220: "{}",
    230: "ij",
    232: "[]",
    240: "()",
    250: "-",
    255: "I",
    258: "!",
    265: "l",
    276: "f°",
    280: "²",
    288: "t",
    295: "r",
    298: "*",
    320: "J",
    326: '"',
    338: "/\\",
    353: "s",
    360: "?^z",
    370: "c",
    387: "L",
    400: "–",
    403: "F",
    404: "x",
    412: "vy",
    420: "$S",
    426: "E",
    428: "_",
    430: "g",
    439: "T",
    440: "#k",
    445: "Y",
    448: "<>",
    450: "CXZ~",
    454: "e",
    465: "a",
    470: "0123456789o",
    474: "Bbdpq",
    483: "uµ",
    485: "hn",
    490: "AKPV",
    500: "R",
    520: "&+=×",
    530: "G",
    560: "D…",
    581: "H",
    584: "OQ",
    590: "NU",
    597: "w",
    620: "%",
    670: "M",
    720: "m",
    725: "W",
    780: "@",
}
WIDTHS = {character: width for width, characters in ADVANCES.items() for character in characters}
NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
WIDEST_LATIN, FULL_WIDTH = 780, 1050
LATIN_END = 0x250
#: Heavier weights and hinting; texts are never drawn wider than this.
MARGIN = 1.03


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Widest the face sets this text; scripts it does not hold count as full width."""
    thousandths = sum(_advance(character) for character in text)
    return thousandths / 1000.0 * size * MARGIN * (1.02 if bold else 1.0)


def _advance(character: str) -> int:
    if character == NO_BREAK_SPACE:
        return WIDTHS[" "]
    known = WIDTHS.get(character) or WIDTHS.get(normalize("NFD", character)[0])
    if known is not None:
        return known
    return WIDEST_LATIN if ord(character) < LATIN_END else FULL_WIDTH


def fitted(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it would run out of its room."""
    text = drawable(text)
    if width_of(text, size, bold=bold) <= room:
        return text
    kept = text
    while kept and width_of(kept.rstrip() + "…", size, bold=bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept else ""


def wrapped(text: str, room: float, size: float, *, bold: bool = False, most: int) -> list[str]:
    """Lines broken between words, each as full as `room` allows; what `most` lines do not hold
    stands on the last."""
    lines: list[str] = []
    for word in drawable(text).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and (len(lines) == most or width_of(longer, size, bold=bold) <= room):
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def drawable(text: str) -> str:
    """Without control characters and direction marks, which have no place in a drawing."""
    kept = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(kept.split())
