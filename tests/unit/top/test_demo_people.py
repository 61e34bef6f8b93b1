from fitout.bootstrap import demo as set_up
from fitout.demo.people import PASSWORD, PEOPLE, load_people
from fitout.kit.models import Role, User


def test_the_set_up_command_tells_the_truth_about_who_may_sign_in() -> None:
    roles = {username: role.value for username, _, role in PEOPLE}
    assert set_up.PASSWORD == PASSWORD
    assert {username: role for role, username, _ in set_up.PEOPLE}.items() <= roles.items()
    assert {role for role, _, _ in set_up.PEOPLE} == {role.value for role in Role}


def test_everybody_may_sign_in_with_the_password_that_is_printed(db: None) -> None:
    owner = load_people().owner
    assert owner.role == Role.OWNER
    assert User.objects.count() == len(PEOPLE)
    assert all(person.check_password(PASSWORD) for person in User.objects.all())


def test_loading_again_adds_nobody_and_keeps_a_changed_password(db: None) -> None:
    owner = load_people().owner
    owner.set_password("changed by the owner")
    owner.save()
    load_people()
    assert User.objects.count() == len(PEOPLE)
    assert User.objects.get(pk=owner.pk).check_password("changed by the owner")
