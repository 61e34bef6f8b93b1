"""The page of energy in the handover pack tells what the energy page shows, on one page."""

from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader

from catalogue.models import BatteryData
from electrical.check import check
from electrical.energy_sheet import MOST_DEVICES, EnergySheet, energy_sheet
from electrical.models import HomePort
from electrical.wiring.wire_up import wire_up
from fitout.handover.models import Pack
from fitout.handover.packing import SHEETS, pack_context
from fitout.jobs.models import Job
from fitout.kit.models import User
from fitout.kit.pdf import render_pdf
from tests.factories.electrical import make_battery, make_load, make_small_vessel, put, set_day
from tests.factories.orders import NOW

pytestmark = pytest.mark.django_db
NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def job(estimator: User) -> Job:
    loads = [(make_load(f"Light {n}", current_a=f"{n + 1}"), "HM") for n in range(MOST_DEVICES + 3)]
    job = make_small_vessel(estimator, loads=loads)
    wire_up(job, estimator)
    return job


def amount(text: str) -> float:
    return float(text.removesuffix(f"{NBSP}Ah"))


def sheet_of(job: Job) -> EnergySheet:
    return energy_sheet(check(job))


def test_devices_and_states_each_add_up_to_the_day(job: Job) -> None:
    sheet = sheet_of(job)
    assert len(sheet.devices) == MOST_DEVICES + 1
    assert sheet.devices[-1].label == "3 more"
    for rows in (sheet.devices, sheet.states):
        tolerance = 0.05 * (len(rows) + 1)
        assert sum(amount(row.used) for row in rows) == pytest.approx(
            amount(sheet.total), abs=tolerance
        )
    assert dict(sheet.facts)["Used in a day"] == sheet.total
    used = [amount(row.used) for row in sheet.devices[:-1]]
    assert used == sorted(used, reverse=True)


def test_an_assumed_use_and_an_entered_one_are_told_apart(job: Job, estimator: User) -> None:
    assert "is assumed" in sheet_of(job).assumptions[0]
    set_day(job, {"at_anchor": Decimal(24)}, estimator)
    assert sheet_of(job).assumptions[0] == "How the vessel is used is as entered for this job."


def test_sun_and_cold_are_told_with_their_source(job: Job, estimator: User) -> None:
    HomePort.objects.create(
        job=job, irradiation_kwh_m2_day=Decimal("2.60"), lowest_c=-6, source="looked up"
    )
    told = sheet_of(job).assumptions
    assert f"Sun at the home port: 2.6{NBSP}kWh/m² in a day (looked up)." in told
    assert f"Lowest temperature there: -6{NBSP}°C." in told


def test_what_nobody_knows_is_said(job: Job, estimator: User) -> None:
    odd = make_battery("Odd battery")
    BatteryData.objects.filter(part=odd).update(chemistry="agm", use="house")
    BatteryData.objects.exclude(part=odd).update(chemistry="lfp")
    put(job, odd, "BL", by=estimator)
    sheet = sheet_of(job)
    assert sheet.kind == "cannot_tell"
    assert sheet.sentence.startswith("Days cannot be told. Missing: ")
    assert sheet.missing
    assert dict(sheet.facts)["Usable part"] == "not known"


def test_one_day_is_asked_for_in_the_singular(job: Job) -> None:
    for days, words in (("1.0", "1 day"), ("1.5", "1.5 days")):
        Job.objects.filter(pk=job.pk).update(autonomy_asked_days=Decimal(days))
        sheet = sheet_of(Job.objects.get(pk=job.pk))
        assert dict(sheet.facts)["Asked for"] == words
        assert sheet.sentence.endswith(f"the {words} asked for.")


def test_it_is_one_page_of_the_pack(job: Job, estimator: User) -> None:
    pack = Pack(job=job, sequence=0, asked_at=NOW, asked_by=estimator)
    context = pack_context(pack, check(job), [], now=NOW)
    content = render_pdf("handover/print/pack.html", context, sheets=SHEETS)
    pages = [page.extract_text() for page in PdfReader(BytesIO(content)).pages]
    (number,) = [n for n, text in enumerate(pages) if "What the vessel uses in a day" in text]
    assert "instructions and limits prevail" in " ".join(pages[number].split())
    assert "Single-line diagram" in pages[number + 1]
    contents = next(text for text in pages if "What is in this pack" in text)
    assert "What it uses in a day, how long it lasts" in " ".join(contents.split())
