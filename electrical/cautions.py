"""Wording that stands on every electrical page and document."""

AID = (
    "This is a design aid: a check helps a competent person, it does not replace one. "
    "Local codes and a licensed person decide."
)
MAINS = "Mains (AC) work is for licensed electricians only."
LITHIUM = "For lithium batteries the maker's instructions prevail."
INSULATION = "Disconnect electronics before testing insulation."
ALL = (AID, MAINS, LITHIUM, INSULATION)
TEXT = " ".join(ALL)
