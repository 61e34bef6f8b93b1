"""Pages of parts: what each role sees, saving with the electrical record, bad input, conflicts."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalogue.models import DataDeviceData, LoadData, Part
from fitout.kit.models import AuditEntry, User
from fitout.kit.undo import undo
from tests.factories.jobs import make_part, make_tax_group, make_trade
from tests.web.catalogue.messages import errors_of

pytestmark = pytest.mark.django_db
PARTS = "/parts/"


def part_data(**changes: str) -> dict[str, str]:
    return {
        "code": "LI-1",
        "description": "Deck light",
        "category": "lighting",
        "kind": "general",
        "unit": "pc",
        "active": "on",
        "trade": str(make_trade().pk),
        "tax_group": str(make_tax_group().pk),
        "mass_kg": "0,35",
        "ignition_protected": "unknown",
        "warranty_months": "24",
        **changes,
    }


LOAD = {
    "nominal_v": "12",
    "current_a": "1,5",
    "nature": "constant_power",
    "function": "light",
    "duty_under_way_day": "0",
    "duty_under_way_night": "0.5",
    "duty_at_anchor": "0",
    "duty_working": "0",
    "duty_engine_start": "0",
    "duty_shore": "0",
}


def record_data(prefix: str, **values: str) -> dict[str, str]:
    return {f"{prefix}-{name}": value for name, value in values.items()}


def new_part_data(**changes: str) -> dict[str, str]:
    return part_data(kind="load") | record_data("data", **LOAD) | changes


def test_list_shows_costs_to_the_office_only(
    estimator_client: Client, technician_client: Client
) -> None:
    make_part(code="PU-9", cost="41.37")
    assert "€41.37" in estimator_client.get(PARTS).content.decode()
    seen = technician_client.get(PARTS).content.decode()
    assert "PU-9" in seen
    assert "41.37" not in seen
    assert "€" not in seen


def test_part_page_hides_offers_and_history_from_technicians(
    estimator_client: Client, technician_client: Client
) -> None:
    part = make_part(cost="41.37")
    assert estimator_client.get(part.get_absolute_url()).content.decode().count("€41.37") == 2
    seen = technician_client.get(part.get_absolute_url()).content.decode()
    assert "41.37" not in seen
    assert "€" not in seen


@pytest.mark.parametrize("name", ["new_part", "change_part", "new_offer", "new_part_document"])
def test_technicians_may_not_change_parts(technician_client: Client, name: str) -> None:
    part = make_part()
    args = [] if name == "new_part" else [part.pk]
    url = reverse(f"catalogue:{name}", args=args)
    assert technician_client.get(url).status_code == 403
    assert technician_client.post(url, part_data()).status_code == 403


def test_unknown_parts_are_not_found(owner_client: Client) -> None:
    assert owner_client.get("/parts/999999/").status_code == 404
    assert owner_client.get("/parts/999999/change/").status_code == 404


def test_list_is_narrowed_by_words_system_kind_and_supplier(owner_client: Client) -> None:
    pump = make_part(code="PU-1", description="Bilge pump, 12 V", category="pumps")
    make_part(code="LI-1", description="Deck light, 12 V", category="lighting")
    supplier = pump.offers.get().supplier
    for query in ("q=12+bilge", "category=pumps", f"supplier={supplier.pk}", "q=s-pu-1"):
        page = owner_client.get(f"{PARTS}?{query}").content.decode()
        assert "PU-1" in page, query
        assert "LI-1" not in page, query


def test_parts_no_longer_used_are_shown_when_asked_for(owner_client: Client) -> None:
    part = make_part(code="OLD-1")
    Part.objects.filter(pk=part.pk).update(active=False)
    assert "OLD-1" not in owner_client.get(PARTS).content.decode()
    assert "OLD-1" in owner_client.get(f"{PARTS}?inactive=on").content.decode()


def test_htmx_gets_the_list_alone(owner_client: Client) -> None:
    make_part(code="PU-1")
    headers = {"HX-Request": "true", "HX-Target": "parts-list"}
    answer = owner_client.get(PARTS, headers=headers).content.decode()
    assert answer.strip().startswith('<div id="parts-list">')
    assert "<html" not in answer


@pytest.mark.parametrize("path", ["list", "page"])
def test_queries_do_not_grow_with_rows(
    path: str, owner_client: Client, queries_of: Callable[[Callable[[], object]], int]
) -> None:
    part = make_part(kind="general")
    url = PARTS if path == "list" else part.get_absolute_url()
    owner_client.get(url)
    one = queries_of(lambda: owner_client.get(url))
    from tests.factories.jobs import make_kit
    from tests.unit.catalogue.test_costs_and_prices import second_offer

    for _ in range(9):
        second_offer(part, cost="3.00")
        make_kit((part, "1"), (make_part(), "1"))
    assert queries_of(lambda: owner_client.get(url)) == one


def test_a_part_is_saved_with_its_electrical_record(owner_client: Client, owner: User) -> None:
    answer = owner_client.post(f"{PARTS}new/", new_part_data())
    part = Part.objects.get(code="LI-1")
    assert (answer.status_code, answer.headers["Location"]) == (303, part.get_absolute_url())
    assert part.mass_kg == Decimal("0.350")
    assert part.load is not None
    assert part.load.current_a == Decimal("1.500")
    assert part.changed_by == owner
    assert AuditEntry.objects.latest("pk").label == "Added LI-1"


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"code": ""}, "Our code: fill this in."),
        ({"code": "A B"}, "letters, digits, full stop, slash, plus and hyphen only"),
        ({"mass_kg": "-1"}, "Mass of one unit: 0 kg at least."),
        ({"mass_kg": "9999999"}, "Mass of one unit: 50\u202f000 kg at most."),
        ({"mass_kg": "heavy"}, "Mass of one unit: write a number"),
        ({"kind": "reactor"}, "Kind: choose one from the list."),
        ({"trade": "987654"}, "Trade: choose one from the list."),
        ({"warranty_months": "241"}, "Warranty: 240 months at most."),
        ({"description": "x" * 201}, "Description: 200 characters at most, not 201."),
        ({"description": "light\x07"}, "Description: holds a control character"),
        ({"data-current_a": "0"}, "Running current: 0.001 A at least."),
        ({"data-nominal_v": "230"}, "Nominal voltage: 60 V at most."),
        ({"data-nature": ""}, "Nature: fill this in."),
        ({"data-peak_a": "1"}, "Running current: 1.5"),
        ({"data-duty_at_anchor": "1.2"}, "Duty at anchor: 1 of the time at most."),
    ],
)
def test_bad_input_is_told_at_its_field_and_nothing_is_saved(
    owner_client: Client, changes: dict[str, str], message: str
) -> None:
    answer = owner_client.post(f"{PARTS}new/", new_part_data(**changes))
    assert answer.status_code == 422
    assert message in errors_of(answer.content)
    assert not Part.objects.exists()
    typed = next(iter(changes.values()))
    if typed and "\x07" not in typed and typed not in {"reactor", "987654"}:
        assert f'value="{typed}"' in answer.content.decode()


def test_a_code_already_taken_is_refused(owner_client: Client) -> None:
    make_part(code="LI-1")
    answer = owner_client.post(f"{PARTS}new/", new_part_data())
    assert "another part already has this code" in errors_of(answer.content)


def test_choosing_another_kind_shows_its_fields_and_keeps_what_was_typed(
    owner_client: Client,
) -> None:
    data = part_data(kind="battery", code="BT-1", fields_of_kind="1", mass_kg="lots")
    page = owner_client.post(f"{PARTS}new/", data).content.decode()
    assert "data-capacity_ah" in page
    assert 'value="BT-1"' in page
    assert 'value="lots"' in page
    assert "errorlist" not in page
    headers = {"HX-Request": "true", "HX-Target": "record"}
    fragment = owner_client.post(f"{PARTS}new/", data, headers=headers).content.decode()
    assert fragment.strip().startswith('<div id="record"')
    assert "data-capacity_ah" in fragment
    assert not Part.objects.exists()


def test_changing_the_kind_swaps_the_record_and_undo_brings_it_back(
    owner_client: Client, owner: User
) -> None:
    owner_client.post(f"{PARTS}new/", new_part_data())
    part = Part.objects.get()
    url = reverse("catalogue:change_part", args=[part.pk])
    device = {"data-load_units": "2", "data-bus_powered": "on"}
    answer = owner_client.post(
        url,
        part_data(kind="data_device", version="1") | device,
    )
    assert answer.status_code == 303, errors_of(answer.content)
    assert not LoadData.objects.exists()
    assert DataDeviceData.objects.get().part_id == part.pk
    undo(AuditEntry.objects.latest("pk"), by=owner)
    part = Part.objects.get()
    assert part.kind == "load"
    assert LoadData.objects.get().current_a == Decimal("1.5")
    assert not DataDeviceData.objects.exists()


def test_a_data_device_with_its_own_supply_keeps_both_records(owner_client: Client) -> None:
    data = part_data(kind="data_device") | {"data-load_units": "1"} | record_data("load", **LOAD)
    assert owner_client.post(f"{PARTS}new/", data).status_code == 303
    part = Part.objects.get()
    assert {type(record) for record in part.records} == {DataDeviceData, LoadData}


def test_load_units_that_nobody_told_stay_untold(owner_client: Client) -> None:
    data = part_data(kind="data_device") | {"data-load_units": "", "data-bus_powered": "on"}
    assert owner_client.post(f"{PARTS}new/", data).status_code == 303
    assert DataDeviceData.objects.get().load_units is None
    page = owner_client.get(Part.objects.get().get_absolute_url())
    assert page.status_code == 200


def test_a_supply_half_filled_in_is_refused_at_what_is_missing(owner_client: Client) -> None:
    data = part_data(kind="data_device") | {"data-load_units": "1", "load-current_a": "2"}
    answer = owner_client.post(f"{PARTS}new/", data)
    assert answer.status_code == 422
    assert "Nominal voltage: fill this in." in errors_of(answer.content)


@pytest.mark.parametrize("coefficient", ["0", "-0.003"])
def test_a_panels_voltage_coefficient_in_another_unit_is_refused_at_its_field(
    owner_client: Client, coefficient: str
) -> None:
    panel = record_data(
        "data", power_w="120", voc_v="22", isc_a="7", voc_coefficient_pct_per_c=coefficient
    )
    answer = owner_client.post(f"{PARTS}new/", part_data(kind="solar_panel") | panel)
    assert answer.status_code == 422
    message = errors_of(answer.content)
    assert message == "Change of open-circuit voltage: -0.05 %/°C at most."
    assert f'value="{coefficient}"' in answer.content.decode()


def test_a_stale_version_shows_both_values_and_saves_nothing(
    owner_client: Client, estimator: User
) -> None:
    part = make_part(code="LI-1", description="As I saw it")
    part.description = "Somebody was faster"
    part.save_if_version(1, by=estimator)
    data = part_data(description="My words", version="1")
    answer = owner_client.post(reverse("catalogue:change_part", args=[part.pk]), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "stored now is “Somebody was faster”" in page
    assert 'value="My words"' in page
    assert Part.objects.get().description == "Somebody was faster"


def test_the_same_form_sent_twice_makes_one_part(owner_client: Client) -> None:
    data = new_part_data(once="k" * 24)
    first = owner_client.post(f"{PARTS}new/", data)
    again = owner_client.post(f"{PARTS}new/", data)
    assert (again.status_code, again.headers["Location"]) == (303, first.headers["Location"])
    assert Part.objects.count() == 1


def test_markup_in_a_name_is_escaped(owner_client: Client) -> None:
    part = make_part(description="<script>alert(1)</script>")
    for url in (PARTS, part.get_absolute_url()):
        page = owner_client.get(url).content.decode()
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def test_a_part_like_another_starts_with_its_data_but_not_its_code(owner_client: Client) -> None:
    owner_client.post(f"{PARTS}new/", new_part_data())
    source = Part.objects.get()
    page = owner_client.get(f"{PARTS}new/?like={source.pk}").content.decode()
    assert 'value="Deck light"' in page
    assert 'name="data-current_a" value="1.5"' in page
    assert 'value="LI-1"' not in page
    answer = owner_client.post(f"{PARTS}new/?like={source.pk}", new_part_data(code="LI-2"))
    assert answer.status_code == 303
    assert set(Part.objects.values_list("code", flat=True)) == {"LI-1", "LI-2"}
    assert LoadData.objects.count() == 2
