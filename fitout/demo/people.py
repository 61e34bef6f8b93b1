"""Who works at Lantern Bay Fit-outs."""

from __future__ import annotations

from fitout.kit.models import Role, User

PASSWORD = "lantern-demo"  # noqa: S105 - public on purpose, for the demo's people only
PEOPLE = (
    ("maren", "Maren Oake", Role.OWNER),
    ("tiago", "Tiago Vell", Role.ESTIMATOR),
    ("ines", "Inês Marrow", Role.TECHNICIAN),
    ("bram", "Bram Lothe", Role.TECHNICIAN),
    ("suri", "Suri Dane", Role.TECHNICIAN),
)


def load_people() -> User:
    """Add who is missing; answer the owner, in whose name the rest is loaded."""
    present = set(User.objects.values_list("username", flat=True))
    for username, display_name, role in PEOPLE:
        if username not in present:
            User.objects.create_user(
                username,
                PASSWORD,
                display_name=display_name,
                role=role,
                email=f"{username}@lanternbay.example",
            )
    return User.objects.get(username=PEOPLE[0][0])
