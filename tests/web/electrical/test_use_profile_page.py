"""Use profiles: told by spans of hours, refused where a day or a week does not add up."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

from electrical.day_plans import ASSUMED_AFLOAT, HOURS, add_profile, states_of
from electrical.models import UseProfile
from electrical.wiring.wire_up import wire_up
from fitout.jobs.models import Job
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.electrical import make_load, make_small_vessel

pytestmark = pytest.mark.django_db
NBSP = "\N{NO-BREAK SPACE}"
WORKING = {1: ("22", "6", "idle"), 2: ("6", "18", "working"), 3: ("18", "22", "at_anchor")}
Typed = dict[int, tuple[str, str, str]]
QueriesOf = Callable[[Callable[[], object]], int]


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator, loads=[(make_load("Fridge", current_a="4"), "HM")])
    wire_up(job, estimator)
    return job


def url(job: Job, name: str = "use_profile_new", *keys: int) -> str:
    return reverse(f"electrical:{name}", args=[job.number, *keys])


def sent(spans: Typed, **changes: str) -> dict[str, str]:
    values = {"name": "Working day", "days_per_week": "5", "first_month": "", "last_month": ""}
    for number, typed in spans.items():
        values |= dict(
            zip((f"from_{number}", f"to_{number}", f"state_{number}"), typed, strict=True)
        )
    return values | changes


def errors_of(soup: BeautifulSoup, name: str) -> str:
    found = soup.select_one(f"#id_{name}_error")
    return found.get_text(" ", strip=True) if found else ""


def refused(client: Client, job: Job, spans: Typed, **changes: str) -> BeautifulSoup:
    values = sent(spans, **changes)
    response = client.post(url(job), values)
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    for name, typed in values.items():
        field = soup.select_one(f"#id_{name}")
        assert field is not None
        chosen = field.select_one("option[selected]") if field.name == "select" else field
        if typed not in ("", "sailing"):
            assert chosen is not None
            assert chosen["value"] == typed
    assert not UseProfile.objects.filter(name=values["name"]).exists()
    return soup


def test_a_first_profile_starts_from_the_assumed_day(job: Job, estimator_client: Client) -> None:
    soup = BeautifulSoup(estimator_client.get(url(job)).content, "html.parser")
    assert "are assumed" in soup.get_text()
    first = [soup.select_one(f"#id_{name}_1") for name in ("from", "to")]
    assert [field["value"] for field in first if field is not None] == ["6", "8"]
    week = soup.select_one("#id_days_per_week")
    assert week is not None
    assert week["value"] == "7"
    assert not UseProfile.objects.exists()


def test_a_profile_over_midnight_is_kept_and_undone(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    assert estimator_client.post(url(job), sent(WORKING)).status_code == 303
    profile = UseProfile.objects.get(job=job)
    assert states_of(profile.spans.all()) == (
        *("idle",) * 6,
        *("working",) * 12,
        *("at_anchor",) * 4,
        *("idle",) * 2,
    )
    assert (profile.days_per_week, profile.is_clock_assumed) == (Decimal(5), False)
    entry = AuditEntry.objects.in_scope(job.scope).first()
    assert entry is not None
    undo(entry, by=estimator)
    assert not UseProfile.objects.exists()


def test_a_change_of_hours_is_one_entry_and_is_undone(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    profile = add_profile(job, by=estimator, name="Day", states=ASSUMED_AFLOAT)
    UseProfile.objects.update(is_clock_assumed=True)
    whole = sent({1: ("0", "24", "shore")}, version="1", first_month="11", last_month="2")
    assert estimator_client.post(url(job, "use_profile", profile.pk), whole).status_code == 303
    profile.refresh_from_db()
    assert states_of(profile.spans.all()) == ("shore",) * HOURS
    assert profile.months == {11, 12, 1, 2}
    assert not profile.is_clock_assumed
    entry = AuditEntry.objects.in_scope(job.scope).first()
    assert entry is not None
    undo(entry, by=estimator)
    profile.refresh_from_db()
    assert (profile.name, profile.is_clock_assumed) == ("Day", True)
    assert states_of(profile.spans.all()) == ASSUMED_AFLOAT


def test_an_hour_told_by_no_span_is_named_at_the_span_before_it(
    job: Job, estimator_client: Client
) -> None:
    soup = refused(estimator_client, job, {1: ("8", "22", "working"), 2: ("22", "6", "idle")})
    words = f"6 to 8{NBSP}h is told by no span; together they must cover 24 hours."
    assert words in errors_of(soup, "to_2")


def test_an_hour_told_twice_is_named_at_the_later_span(job: Job, estimator_client: Client) -> None:
    soup = refused(estimator_client, job, {1: ("0", "24", "idle"), 2: ("22", "2", "shore")})
    assert f"22 to 2{NBSP}h is told by span 1 too; an hour has one state." in errors_of(
        soup, "from_2"
    )


@pytest.mark.parametrize(
    ("spans", "field", "words"),
    [
        ({}, "from_1", "must cover all 24 hours of a day"),
        ({1: ("", "24", "idle")}, "from_1", "a span has a from, a to and a state"),
        ({1: ("0", "24", "")}, "state_1", "a span has a from, a to and a state"),
        ({1: ("0", "24", "sailing")}, "state_1", "State of span 1"),
        ({1: ("5", "5", "idle")}, "to_1", "a whole day goes from 0 to 24"),
        ({1: ("24", "8", "idle")}, "from_1", "From of span 1: 23"),
        ({1: ("0", "25", "idle")}, "to_1", "To of span 1: 24"),
        ({1: ("0", "7.5", "idle")}, "to_1", "whole numbers only"),
    ],
)
def test_a_span_that_cannot_be_is_refused_at_its_field(
    job: Job, estimator_client: Client, spans: Typed, field: str, words: str
) -> None:
    assert words in errors_of(refused(estimator_client, job, spans), field)


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"days_per_week": "7,5"}, "days_per_week", "Days a week: 7"),
        ({"days_per_week": "0"}, "days_per_week", "Days a week: 0.1"),
        ({"first_month": "5"}, "last_month", "choose both or none"),
        ({"name": ""}, "name", "Kind of day"),
    ],
)
def test_a_week_or_a_season_that_cannot_be_is_refused_at_its_field(
    job: Job, estimator_client: Client, changes: dict[str, str], field: str, words: str
) -> None:
    soup = refused(estimator_client, job, WORKING, **({"name": "Other"} | changes))
    assert words in errors_of(soup, field)


def test_no_month_has_more_than_seven_days_a_week(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    add_profile(
        job,
        by=estimator,
        name="Summer day",
        states=ASSUMED_AFLOAT,
        days_per_week=Decimal(5),
        season=(4, 9),
    )
    words = "3 here and 5 of “Summer day” make 8 in April; a week has 7 days at most."
    soup = refused(estimator_client, job, WORKING, days_per_week="3")
    assert words in errors_of(soup, "days_per_week")
    winter = sent(WORKING, days_per_week="7", first_month="10", last_month="3")
    assert estimator_client.post(url(job), winter).status_code == 303


def test_a_name_stands_once(job: Job, estimator: User, estimator_client: Client) -> None:
    add_profile(
        job, by=estimator, name="Working day", states=ASSUMED_AFLOAT, days_per_week=Decimal(1)
    )
    response = estimator_client.post(url(job), sent(WORKING))
    assert response.status_code == 422
    assert "a name stands once" in response.content.decode()


def test_what_somebody_else_saved_is_told_with_its_hours(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    profile = add_profile(job, by=estimator, name="Day", states=("shore",) * HOURS)
    UseProfile.objects.update(version=2)
    address = url(job, "use_profile", profile.pk)
    response = estimator_client.post(address, sent(WORKING, version="1"))
    assert response.status_code == 409
    soup = BeautifulSoup(response.content, "html.parser")
    assert f"0 to 24{NBSP}h Charging from shore" in errors_of(soup, "from_1")
    assert estimator_client.post(address, sent(WORKING, version="2")).status_code == 303


def test_the_last_profile_stays(job: Job, estimator: User, estimator_client: Client) -> None:
    first, second = (
        add_profile(job, by=estimator, name=name, states=ASSUMED_AFLOAT, days_per_week=Decimal(3))
        for name in ("Day", "Night")
    )
    estimator_client.post(url(job, "use_profile_remove", first.pk))
    answer = estimator_client.post(url(job, "use_profile_remove", second.pk), follow=True)
    assert list(UseProfile.objects.all()) == [second]
    assert "a job keeps 1 at least" in answer.content.decode()
    entry = AuditEntry.objects.in_scope(job.scope).first()
    assert entry is not None
    undo(entry, by=estimator)
    assert states_of(UseProfile.objects.get(name="Day").spans.all()) == ASSUMED_AFLOAT


def test_a_profile_of_another_job_is_not_found(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    profile = add_profile(job, by=estimator, name="Day", states=ASSUMED_AFLOAT)
    other = make_small_vessel(estimator)
    assert estimator_client.get(url(other, "use_profile", profile.pk)).status_code == 404
    assert estimator_client.post(url(other, "use_profile_remove", profile.pk)).status_code == 404


# On the energy page.


def test_the_worst_profile_decides_and_each_can_be_shown(
    job: Job, estimator: User, estimator_client: Client
) -> None:
    idle = add_profile(
        job, by=estimator, name="<b>Laid up</b>", states=("idle",) * 24, days_per_week=Decimal(5)
    )
    add_profile(
        job,
        by=estimator,
        name="Night at anchor",
        states=("at_anchor",) * 24,
        days_per_week=Decimal(1),
    )
    soup = BeautifulSoup(estimator_client.get(url(job, "energy")).content, "html.parser")
    rows = {row.select_one("th").get_text(): row for row in soup.select("#use tbody tr")}  # type: ignore[union-attr]
    (deciding,) = [name for name in rows if "decides" in name]
    assert deciding == "Night at anchordecides, 1 day a week"
    assert any(name.startswith("<b>Laid up</b>5 days a week") for name in rows)
    why = soup.select_one(".page-head .why")
    assert why is not None
    assert "without any charging on “Night at anchor”" in why.get_text()
    assert "1 day a week has no use profile" in soup.get_text()
    other = estimator_client.get(f"{url(job, 'energy')}?profile={idle.pk}").content.decode()
    assert "on “Night at anchor”" in other
    chart = BeautifulSoup(other, "html.parser").select_one(".day-chart svg title")
    assert chart is not None
    assert "<b>Laid up</b>" in chart.get_text()


@pytest.mark.parametrize("asked", ["x", "0", "99999999999", "²"])
def test_any_profile_asked_for_is_answered(job: Job, estimator_client: Client, asked: str) -> None:
    assert estimator_client.get(f"{url(job, 'energy')}?profile={asked}").status_code == 200


def test_more_profiles_take_no_more_queries(
    job: Job, estimator: User, estimator_client: Client, queries_of: QueriesOf
) -> None:
    def profiles(first: int, last: int) -> None:
        for n in range(first, last):
            add_profile(
                job,
                by=estimator,
                name=f"Day {n}",
                states=ASSUMED_AFLOAT,
                days_per_week=Decimal("0.5"),
            )

    profiles(0, 1)
    one = queries_of(lambda: estimator_client.get(url(job, "energy")))
    profiles(1, 10)
    assert queries_of(lambda: estimator_client.get(url(job, "energy"))) == one
