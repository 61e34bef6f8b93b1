"""How wide a text is drawn, on the safe side, and how to make it fit."""

NARROW_CHARACTERS = frozenset("iIjl.,:;'|!()[] tfr-")
WIDE_CHARACTERS = frozenset("mwMW@%&—…")
EM_NARROW, EM_USUAL, EM_CAPITAL, EM_WIDE, EM_FOREIGN = 0.32, 0.50, 0.58, 0.84, 1.05
LATIN_END = 0x250


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Widest the condensed face sets this text; scripts it does not hold count as full width."""
    ems = sum(_ems(character) for character in text)
    return ems * size * (1.06 if bold else 1.0)


def _ems(character: str) -> float:
    if ord(character) >= LATIN_END and character not in WIDE_CHARACTERS:
        return EM_FOREIGN
    if character in NARROW_CHARACTERS:
        return EM_NARROW
    if character in WIDE_CHARACTERS:
        return EM_WIDE
    return EM_CAPITAL if character.isupper() else EM_USUAL


def fitted(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it would run out of its room."""
    text = drawable(text)
    if width_of(text, size, bold=bold) <= room:
        return text
    kept = text
    while kept and width_of(kept.rstrip() + "…", size, bold=bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept else ""


def drawable(text: str) -> str:
    """Without control characters and direction marks, which have no place in a drawing."""
    kept = "".join(character if character.isprintable() else " " for character in text)
    return " ".join(kept.split())
