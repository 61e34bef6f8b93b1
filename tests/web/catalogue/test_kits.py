from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalogue.models import Kit, Part
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.jobs import make_kit, make_operation, make_part
from tests.web.catalogue.messages import errors_of

pytestmark = pytest.mark.django_db


def add(client: Client, kit: Kit, what: str, quantity: str = "1") -> tuple[int, str]:
    url = reverse("catalogue:add_kit_item", args=[kit.pk])
    answer = client.post(url, {"what": what, "quantity": quantity})
    return answer.status_code, errors_of(answer.content)


def test_parts_kits_and_labour_are_added_by_their_code(owner_client: Client) -> None:
    kit = make_kit()
    make_part(code="PU-1")
    make_operation(code="PL-1")
    make_kit(code="KIT-S")
    for code in ("pu-1", "PL-1", "KIT-S Set of things"):
        assert add(owner_client, kit, code, "1,5") == (303, "")
    items = kit.items.all()
    assert [item.subject.code for item in items if item.subject] == ["PU-1", "PL-1", "KIT-S"]
    assert {item.quantity for item in items} == {Decimal("1.50")}
    assert Kit.objects.get(pk=kit.pk).version == 4


@pytest.mark.parametrize(
    ("what", "quantity", "message"),
    [
        ("NOPE-1", "1", "there is no part, kit or operation with the code “NOPE-1”."),
        ("", "1", "Part, kit or labour operation: fill this in."),
        ("PU-1", "0", "Quantity: 0.01 at least."),
        ("PU-1", "100001", "Quantity: 100\u202f000 at most."),
        ("PU-1", "a few", "Quantity: write a number"),
        ("PU-OLD", "1", "PU-OLD is no longer used."),
        ("KIT-A", "1", "KIT-A would hold itself: KIT-A holds KIT-A."),
        ("KIT-C", "1", "KIT-A would hold itself: KIT-A holds KIT-C holds KIT-B holds KIT-A."),
    ],
)
def test_what_cannot_go_into_a_kit_is_refused_at_its_field(
    owner_client: Client, what: str, quantity: str, message: str
) -> None:
    make_part(code="PU-1")
    Part.objects.filter(pk=make_part(code="PU-OLD").pk).update(active=False)
    kit = make_kit(code="KIT-A")
    make_kit((make_kit((kit, "1"), code="KIT-B"), "1"), code="KIT-C")
    status, said = add(owner_client, kit, what, quantity)
    assert status == 422
    assert message in said
    assert not kit.items.exists()


def test_a_quantity_is_changed_and_the_change_undone(owner_client: Client, owner: User) -> None:
    kit = make_kit((make_part(), "2"))
    item = kit.items.get()
    url = reverse("catalogue:kit_item", args=[kit.pk, item.pk])
    assert owner_client.post(url, {"quantity": "3", "version": "1"}).status_code == 303
    assert kit.items.get().quantity == 3
    undo(AuditEntry.objects.latest("pk"), by=owner)
    assert kit.items.get().quantity == 2


def codes_in(kit: Kit) -> list[str]:
    return [item.subject.code for item in kit.items.all() if item.subject]


def test_items_are_moved_up_and_down_and_the_move_undone(owner_client: Client, owner: User) -> None:
    kit = make_kit(*((make_part(code=code), "1") for code in ("A", "B", "C")))
    last = kit.items.last()
    assert last is not None
    url = reverse("catalogue:kit_item", args=[kit.pk, last.pk])
    answer = owner_client.post(url, {"move": "up", "version": "1"})
    assert answer.headers["Location"].endswith(f"#item-{last.pk}")
    assert codes_in(kit) == ["A", "C", "B"]
    owner_client.post(url, {"move": "down", "version": "2"})
    assert codes_in(kit) == ["A", "B", "C"]
    owner_client.post(url, {"move": "down", "version": "3"})  # it is the last already
    assert codes_in(kit) == ["A", "B", "C"]
    undo(AuditEntry.objects.latest("pk"), by=owner)
    assert codes_in(kit) == ["A", "C", "B"]


def test_a_move_nowhere_or_of_a_kit_changed_since_is_refused(owner_client: Client) -> None:
    kit = make_kit((make_part(code="A"), "1"), (make_part(code="B"), "1250"))
    first = kit.items.first()
    assert first is not None
    url = reverse("catalogue:kit_item", args=[kit.pk, first.pk])
    assert owner_client.post(url, {"move": "aside", "version": "1"}).status_code == 422
    assert owner_client.post(url, {"move": "down", "version": "7"}).status_code == 409
    assert codes_in(kit) == ["A", "B"]


def test_the_first_item_has_no_up_and_the_last_no_down(owner_client: Client) -> None:
    kit = make_kit((make_part(code="A"), "1"), (make_part(code="B"), "1250"))
    page = owner_client.get(kit.get_absolute_url()).content.decode()
    assert page.count('value="up"') == page.count('value="down"') == 1
    assert page.index('value="down"') < page.index('value="up"')
    assert 'value="1250"' in page  # a comma would be read as the decimal sign


def test_an_item_is_taken_out(owner_client: Client) -> None:
    kit = make_kit((make_part(), "2"))
    url = reverse("catalogue:kit_item", args=[kit.pk, kit.items.get().pk])
    assert owner_client.post(url, {"remove": "1", "version": "1"}).status_code == 303
    assert not kit.items.exists()


def test_a_stale_change_is_refused_and_the_kit_shown_as_stored(
    owner_client: Client, estimator: User
) -> None:
    kit = make_kit((make_part(), "2"))
    item = kit.items.get()
    kit.save_if_version(1, by=estimator)
    url = reverse("catalogue:kit_item", args=[kit.pk, item.pk])
    answer = owner_client.post(url, {"quantity": "9", "version": "1"})
    assert answer.status_code == 409
    assert "changed" in answer.content.decode()
    assert kit.items.get().quantity == 2


def test_a_bad_quantity_of_an_item_keeps_what_was_typed(owner_client: Client) -> None:
    kit = make_kit((make_part(), "2"))
    url = reverse("catalogue:kit_item", args=[kit.pk, kit.items.get().pk])
    answer = owner_client.post(url, {"quantity": "none", "version": "1"})
    assert answer.status_code == 422
    assert "Quantity: write a number" in errors_of(answer.content)
    assert 'value="none"' in answer.content.decode()


def test_a_kit_page_shows_what_it_comes_to(owner_client: Client) -> None:
    kit = make_kit((make_part(cost="12.25", mass_kg="1.5"), "4"), (make_operation(), "1"))
    page = owner_client.get(kit.get_absolute_url()).content.decode()
    assert "€49.00" in page
    assert "6\xa0kg" in page.replace("&nbsp;", "\xa0")


def test_technicians_have_no_kit_pages(technician_client: Client) -> None:
    kit = make_kit()
    for url in ("/kits/", kit.get_absolute_url(), "/kits/new/", "/kits/suggest/?what=pu"):
        assert technician_client.get(url).status_code == 403


@pytest.mark.parametrize("path", ["list", "page"])
def test_queries_do_not_grow_with_rows(
    path: str, owner_client: Client, queries_of: Callable[[Callable[[], object]], int]
) -> None:
    small = make_kit((make_part(), "1"), (make_operation(), "1"))
    things = [(make_part(), "1") for _ in range(9)]
    large = make_kit(*things, (make_operation(), "1"))
    if path == "page":
        urls = [small.get_absolute_url(), large.get_absolute_url()]
        owner_client.get(urls[0])
        one = queries_of(lambda: owner_client.get(urls[0]))
        ten = queries_of(lambda: owner_client.get(urls[1]))
    else:
        owner_client.get("/kits/")
        one = queries_of(lambda: owner_client.get("/kits/"))
        for _ in range(9):
            make_kit((make_part(), "1"))
        ten = queries_of(lambda: owner_client.get("/kits/"))
    assert one == ten


def test_suggestions_are_codes_with_descriptions(owner_client: Client) -> None:
    make_part(code="PU-1", description="Bilge pump")
    answer = owner_client.get("/kits/suggest/?what=bilge").content.decode()
    assert answer.strip() == '<option value="PU-1">Bilge pump</option>'
    assert owner_client.get("/kits/suggest/?what=b").content.decode().strip() == ""


def test_a_kit_like_another_starts_with_the_same_items(owner_client: Client) -> None:
    source = make_kit((make_part(code="PU-1"), "2"), (make_operation(code="PL-1"), "3"))
    url = f"/kits/new/?like={source.pk}"
    page = owner_client.get(url).content.decode()
    assert f"New kit like {source.code}" in page
    data = {"code": "KIT-COPY", "description": "A copy", "category": "pumps", "active": "on"}
    assert owner_client.post(url, data).status_code == 303
    copy = Kit.objects.get(code="KIT-COPY")
    assert [(item.subject.code, item.quantity) for item in copy.items.all() if item.subject] == [
        ("PU-1", Decimal(2)),
        ("PL-1", Decimal(3)),
    ]
    assert source.items.count() == 2


@pytest.mark.parametrize("like", ["", "abc", "-1", "9" * 40, "²", "999999"])
def test_a_kit_like_nothing_known_starts_empty(owner_client: Client, like: str) -> None:
    assert "New kit<" in owner_client.get("/kits/new/", {"like": like}).content.decode()
