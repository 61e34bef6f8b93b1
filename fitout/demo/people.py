"""Who works at Lantern Bay Fit-outs."""

from __future__ import annotations

from dataclasses import dataclass

from fitout.kit.models import Role, User, Workshop

PASSWORD = "lantern-demo"  # noqa: S105 - public on purpose, for the demo's people only
PEOPLE = (
    ("maren", "Maren Oake", Role.OWNER),
    ("tiago", "Tiago Vell", Role.ESTIMATOR),
    ("ines", "Inês Marrow", Role.TECHNICIAN),
    ("bram", "Bram Lothe", Role.TECHNICIAN),
    ("suri", "Suri Dane", Role.TECHNICIAN),
)


@dataclass(frozen=True)
class People:
    owner: User
    estimator: User
    technicians: tuple[User, ...]


def load_people() -> People:
    """Add who is missing, and answer everybody."""
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
    loaded = {username: User.objects.get(username=username) for username, _, _ in PEOPLE}
    owner, estimator, *technicians = loaded.values()
    return People(owner, estimator, tuple(technicians))


def load_workshop() -> None:
    if not Workshop.objects.exists():
        Workshop.objects.create(
            name="Lantern Bay Fit-outs",
            address="The Old Net Loft\nQuay Lane\nLantern Bay",
            email="office@lanternbay.example",
            phone="+000 555 0100",
            tax_number="XX 0000000 A",
        )
