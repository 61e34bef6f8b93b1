"""The board and the search box as each role meets them."""

from collections.abc import Callable

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.purchasing.ordering import propose, send
from tests.factories.jobs import make_customer, make_job, make_part, make_supplier, make_vessel
from tests.factories.orders import NOW, TODAY, buying_job

Queries = Callable[[Callable[[], object]], int]
BOARD, SEARCH = reverse("home:board"), reverse("home:search")


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def found(client: Client, text: str) -> dict[str, list[str]]:
    """What was found: the links by the heading they stand under."""
    page = BeautifulSoup(client.get(SEARCH, {"q": text}).content, "html.parser")
    return {
        section.h2.get_text(): [plain(link.get_text()) for link in section.select("tbody a")]
        for section in page.select("#found section")
        if section.h2
    }


class TestBoard:
    def test_every_open_job_stands_under_its_stage(self, owner_client: Client, owner: User) -> None:
        make_job(owner, vessel=make_vessel(name="Dulse"))
        make_job(owner, vessel=make_vessel(name="Terrapin"), stage="in_build")
        make_job(owner, vessel=make_vessel(name="Kelpie"), stage="closed")
        page = BeautifulSoup(owner_client.get(BOARD).content, "html.parser")
        stages = {
            body.select("tr.stage .name")[0].get_text(): [
                name.get_text() for name in body.select("tr.job-row .name")
            ]
            for body in page.select(".board tbody")
        }
        assert stages == {"Enquiry": ["Dulse"], "In build": ["Terrapin"]}

    def test_late_only_leaves_out_what_is_on_time(self, owner_client: Client, owner: User) -> None:
        late = make_job(owner, vessel=make_vessel(name="Dulse"), stage="in_build")
        Job.objects.filter(pk=late.pk).update(promised_for="2026-01-05")
        make_job(owner, vessel=make_vessel(name="Terrapin"), stage="enquiry")
        page = owner_client.get(BOARD, {"show": "late"}).content.decode()
        assert "Dulse" in page
        assert "Terrapin" not in page

    def test_technician_is_taken_to_own_work(self, technician_client: Client) -> None:
        answer = technician_client.get(BOARD)
        assert (answer.status_code, answer.headers["Location"]) == (303, reverse("workshop:work"))

    def test_stranger_is_asked_to_sign_in(self, anonymous_client: Client, db: None) -> None:
        assert "/sign-in/" in anonymous_client.get(BOARD).headers["Location"]

    def test_asks_the_same_for_one_job_and_ten(
        self, owner_client: Client, owner: User, queries_of: Queries
    ) -> None:
        make_job(owner, vessel=make_vessel(name="Dulse"), stage="in_build")
        owner_client.get(BOARD)  # what is read once per process
        few = queries_of(lambda: owner_client.get(BOARD))
        for number in range(9):
            make_job(owner, vessel=make_vessel(name=f"Hull {number}"), stage="in_build")
        assert queries_of(lambda: owner_client.get(BOARD)) == few


class TestSearch:
    @pytest.fixture
    def job(self, owner: User) -> Job:
        part = make_part(code="PU-63", cost="317.61", description="Bilge pump, 63 l/min")
        job = buying_job(owner, (part, "1"))
        (draft,) = propose(job, by=owner, today=TODAY)
        send(draft, by=owner, at=NOW, today=TODAY)
        return job

    def test_job_is_found_by_number_vessel_and_customer(
        self, owner_client: Client, job: Job
    ) -> None:
        for text in (job.code, str(job.number), "dulse", "grey heron"):
            assert found(owner_client, text)["Jobs"] == ["Dulse"]

    def test_groups_are_named_in_the_plural(self, owner_client: Client, job: Job) -> None:
        assert found(owner_client, "bilge pump")["Parts"] == ["Bilge pump, 63 l/min"]

    def test_a_full_group_says_that_there_may_be_more(self, owner_client: Client) -> None:
        for number in range(13):
            make_customer(name=f"Sandbar Ferries {number}")
        page = owner_client.get(SEARCH, {"q": "sandbar"}).content.decode()
        assert "12, and there may be more: add a word" in page
        assert "more: add" not in owner_client.get(SEARCH, {"q": "ferries 12"}).content.decode()

    def test_order_is_found_by_its_number_but_not_by_a_technician(
        self, owner_client: Client, technician_client: Client, job: Job
    ) -> None:
        assert len(found(owner_client, "PO-00001")["Purchase orders"]) == 1
        assert "Purchase orders" not in found(technician_client, "PO-00001")

    def test_technician_finds_parts_without_any_price(
        self, technician_client: Client, job: Job
    ) -> None:
        content = technician_client.get(SEARCH, {"q": "pump"}).content
        assert b"Bilge pump" in content
        assert b"317.61" not in content
        assert b"\xe2\x82\xac" not in content  # no euro sign

    def test_technician_finds_no_customer_and_no_person(
        self, technician_client: Client, job: Job, owner: User
    ) -> None:
        assert "Customers" not in found(technician_client, "grey heron")
        assert "People" not in found(technician_client, owner.username)

    @pytest.mark.parametrize(
        "text", ["<script>alert(1)</script>", "%", "x" * 5000, "\u202edrib", "'; --"]
    )
    def test_anything_typed_is_answered_and_escaped(
        self, owner_client: Client, job: Job, text: str
    ) -> None:
        answer = owner_client.get(SEARCH, {"q": text})
        assert answer.status_code == 200
        assert b"<script>alert" not in answer.content

    def test_control_characters_are_refused(self, owner_client: Client, job: Job) -> None:
        assert owner_client.get(SEARCH, {"q": "a\0b"}).status_code == 400

    def test_nothing_found_says_what_to_try(self, owner_client: Client, job: Job) -> None:
        page = owner_client.get(SEARCH, {"q": "zeppelin"}).content.decode()
        assert "Nothing found" in page
        assert "J-0142" in page

    def test_asks_the_same_for_one_hit_and_ten(
        self, owner_client: Client, owner: User, queries_of: Queries
    ) -> None:
        def search() -> object:
            return owner_client.get(SEARCH, {"q": "widget"})

        make_part(description="Widget")
        make_supplier(name="Widget works")
        search()
        few = queries_of(search)
        for number in range(9):
            make_part(description=f"Widget {number}")
            make_supplier(name=f"Widget works {number}")
            make_job(owner, vessel=make_vessel(name=f"Widget {number}"))
        assert queries_of(search) == few
