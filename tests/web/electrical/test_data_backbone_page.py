"""The page of the data backbone: drawing, figures, findings and the layout form."""

from io import BytesIO

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from electrical.devices import refresh_devices
from electrical.models import DataBackbone, DataTee, Device
from fitout.jobs.models import Job
from fitout.kit.models import User
from tests.factories.electrical import (
    make_backbone_feed,
    make_data_device,
    make_small_vessel,
    put,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(estimator: User) -> Job:
    job = make_small_vessel(estimator)
    Job.objects.filter(pk=job.pk).update(stage="in_build")
    for part, zone in (
        (make_backbone_feed(), "HM"),
        (make_data_device("Heading sensor", load_units=4), "HM"),
        (make_data_device("Position aerial", load_units=3), "RF"),
    ):
        put(job, part, zone, by=estimator)
    refresh_devices(job, estimator)
    return job


def url(job: Job, name: str = "data_backbone") -> str:
    return reverse(f"electrical:{name}", args=[job.number])


def shown(client: Client, job: Job) -> BeautifulSoup:
    response = client.get(url(job))
    assert response.status_code == 200
    return BeautifulSoup(response.content, "html.parser")


def filled(soup: BeautifulSoup) -> dict[str, str]:
    """What the layout form would send as it stands."""
    form = soup.select_one('form[action$="backbone/save/"]')
    assert form is not None
    values = {}
    for field in form.select("input[name]"):
        if field.get("type") != "checkbox" or field.has_attr("checked"):
            is_tick = field.get("type") == "checkbox"
            values[str(field["name"])] = str(field.get("value", "on" if is_tick else ""))
    return values


def test_it_draws_lists_and_judges(job: Job, estimator_client: Client) -> None:
    soup = shown(estimator_client, job)
    assert soup.select_one("svg.data-line") is not None
    assert "By the published formula" in soup.text
    assert "Fit one terminator at each end" in soup.text
    assert "second-hand" in soup.text
    tees = [str(row.th.text) for row in soup.select("table.fold")[0].select("tbody tr") if row.th]
    assert tees == ["T1", "T2", "T3"]


def test_the_limits_of_its_figures_have_a_source(job: Job, estimator_client: Client) -> None:
    words = shown(estimator_client, job).get_text()
    assert "Limits: IEC 61162-3: length by grade of cable; " in words
    assert "78 m for all drops together; " in words
    assert "12 V battery supply (second-hand)." in words


def test_its_findings_stand_among_the_others(job: Job, estimator_client: Client) -> None:
    wiring = BeautifulSoup(
        estimator_client.get(reverse("electrical:wiring", args=[job.number])).content, "html.parser"
    )
    found = [item for item in wiring.select(".finding.stop") if "erminator" in item.text]
    assert found
    assert found[0].select_one(f'a[href="{url(job)}"]') is not None


def test_a_saved_layout_is_what_is_drawn(job: Job, estimator_client: Client) -> None:
    values = filled(shown(estimator_client, job))
    last = Device.objects.get(job=job, name__startswith="Position")
    values |= {f"order_{last.pk}": "0", f"drop_{last.pk}": "2,5", "shield_grounds": "1"}
    assert estimator_client.post(url(job, "data_backbone_save"), values).status_code == 303
    soup = shown(estimator_client, job)
    first = soup.select("table.fold")[0].select_one("tbody tr")
    assert first is not None
    assert "Position aerial" in first.text
    assert "2.50" in first.text
    assert "Where the shield is grounded is not known" not in soup.text


def test_a_told_terminator_is_shown_as_told(job: Job, estimator_client: Client) -> None:
    values = filled(shown(estimator_client, job)) | {"terminator_first": "True"}
    assert estimator_client.post(url(job, "data_backbone_save"), values).status_code == 303
    chosen = shown(estimator_client, job).select_one("[name=terminator_first] option[selected]")
    assert chosen is not None
    assert chosen.text == "Yes"
    response = estimator_client.post(
        url(job, "data_backbone_save"), values | {"terminator_last": "maybe"}
    )
    assert response.status_code == 422


def test_what_cannot_be_is_named_at_its_field_and_nothing_is_lost(
    job: Job, estimator_client: Client
) -> None:
    values = filled(shown(estimator_client, job))
    last = Device.objects.get(job=job, name__startswith="Position")
    values |= {f"drop_{last.pk}": "51", "shield_grounds": "1"}
    response = estimator_client.post(url(job, "data_backbone_save"), values)
    assert response.status_code == 422
    soup = BeautifulSoup(response.content, "html.parser")
    assert f"Drop to {last.label}: 50\N{NO-BREAK SPACE}m at most" in soup.text
    assert filled(soup)["shield_grounds"] == "1"
    assert not DataBackbone.objects.exists()


def test_a_layout_overtaken_by_another_keeps_what_was_typed(
    job: Job, estimator_client: Client, owner_client: Client
) -> None:
    values = filled(shown(estimator_client, job))
    owner_client.post(url(job, "data_backbone_save"), values | {"shield_grounds": "2"})
    save = url(job, "data_backbone_save")
    response = estimator_client.post(save, values | {"shield_grounds": "1"})
    assert response.status_code == 409
    again = filled(BeautifulSoup(response.content, "html.parser"))
    assert again["shield_grounds"] == "1"
    assert estimator_client.post(save, again).status_code == 303
    assert DataBackbone.objects.get(job=job).shield_grounds == 1


def test_it_can_be_proposed_anew(job: Job, estimator_client: Client) -> None:
    estimator_client.post(url(job, "data_backbone_save"), filled(shown(estimator_client, job)))
    assert DataTee.objects.count() == 3
    response = estimator_client.post(url(job, "data_backbone_propose"), follow=True)
    assert "follow the hull plan again" in response.content.decode()
    assert not DataTee.objects.exists()


def test_a_technician_reads_it_and_changes_nothing(
    job: Job, technician: User, technician_client: Client
) -> None:
    Job.objects.filter(pk=job.pk).update(lead=technician)
    assert shown(technician_client, job).select_one("main form, .page form") is None
    assert technician_client.post(url(job, "data_backbone_save"), {}).status_code == 403
    assert technician_client.post(url(job, "data_backbone_propose")).status_code == 403


def test_with_every_device_left_off_the_page_still_stands(
    job: Job, estimator_client: Client
) -> None:
    values = filled(shown(estimator_client, job))
    none = {name: text for name, text in values.items() if not name.startswith("joined_")}
    assert estimator_client.post(url(job, "data_backbone_save"), none).status_code == 303
    soup = shown(estimator_client, job)
    assert len(soup.select(".layout-table tbody tr")) == 3


def test_a_job_without_one_says_so(estimator: User, estimator_client: Client) -> None:
    job = make_small_vessel(estimator)
    assert "No backbone" in shown(estimator_client, job).text
    assert estimator_client.post(url(job, "data_backbone_save"), {}).status_code == 404


def test_its_sheet_comes_with_the_circuit_list(job: Job, estimator_client: Client) -> None:
    response = estimator_client.get(reverse("electrical:circuit_list", args=[job.number]))
    text = "".join(page.extract_text() for page in PdfReader(BytesIO(response.content)).pages)
    assert "Data backbone" in text
    assert "Position aerial" in text
    assert "no terminator" in text
