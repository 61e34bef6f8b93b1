from itertools import count

from fitout.kit.models import Role, User

PASSWORD = "a long enough password"
_numbers = count(1)


def make_user(
    *,
    role: Role = Role.TECHNICIAN,
    username: str | None = None,
    display_name: str | None = None,
    password: str = PASSWORD,
    is_active: bool = True,
) -> User:
    number = next(_numbers)
    user = User(
        username=username or f"{role.value}{number}",
        display_name=display_name or f"{role.label} {number}",
        role=role,
        is_active=is_active,
    )
    user.set_password(password)
    user.save()
    return user
