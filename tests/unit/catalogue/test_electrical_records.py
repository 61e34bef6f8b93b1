"""The typed electrical record of a part: one per kind, refused when it contradicts itself."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from catalogue.models import (
    DATA_BY_KIND,
    CableData,
    ChargingSourceData,
    ConverterData,
    DataDeviceData,
    ElectricalData,
    LoadData,
    Part,
    PartKind,
    SolarPanelData,
    TerminalData,
)
from catalogue.models.parts import record_name, record_name_of
from tests.factories.jobs import make_part

LAMP = {"nominal_v": "12", "current_a": "0.5", "nature": "constant_power", "function": "light"}


def refused(record: ElectricalData) -> dict[str, list[str]]:
    record.clean_fields(exclude=["part"])
    with pytest.raises(ValidationError) as error:
        record.clean()
    return (
        error.value.message_dict
        if hasattr(error.value, "error_dict")
        else {"": error.value.messages}
    )


def part_of(kind: str) -> Part:
    return Part(code="P-1", description="Part", kind=kind)


def test_every_kind_but_general_has_its_record_under_its_name() -> None:
    assert set(DATA_BY_KIND) == set(PartKind) - {PartKind.GENERAL}
    for kind, model in DATA_BY_KIND.items():
        assert record_name(model()) == record_name_of(kind)


@pytest.mark.django_db
def test_a_part_gives_the_record_of_its_kind() -> None:
    part = make_part(kind="load")
    assert part.electrical is None
    record = LoadData.objects.create(part=part, **LAMP)
    assert Part.objects.get(pk=part.pk).electrical == record
    assert make_part().electrical is None


@pytest.mark.django_db
def test_parts_with_a_missing_or_foreign_record_are_found() -> None:
    right, missing, foreign = make_part(kind="load"), make_part(kind="cable"), make_part()
    LoadData.objects.create(part=right, **LAMP)
    LoadData.objects.create(part=foreign, **LAMP)
    assert set(Part.objects.with_wrong_records()) == {missing, foreign}


@pytest.mark.django_db
def test_a_data_device_may_have_a_supply_of_its_own() -> None:
    part = make_part(kind="data_device")
    device = DataDeviceData.objects.create(part=part, load_units=2, bus_powered=False)
    assert device.supply_a is None
    LoadData.objects.create(part=part, **LAMP | {"duty_at_anchor": "0.5"})
    device = DataDeviceData.objects.get(pk=device.pk)
    assert (device.supply_a, device.nominal_v) == (Decimal("0.5"), Decimal(12))
    assert device.duty_at_anchor == Decimal("0.5")
    assert not Part.objects.with_wrong_records().exists()


def test_a_record_of_another_kind_is_refused() -> None:
    assert refused(LoadData(part=part_of("cable"), **LAMP)) == {
        "": ["A part of kind Cable carries no load data."]
    }


def test_a_running_current_above_the_peak_is_refused() -> None:
    record = LoadData(part=part_of("load"), **LAMP | {"current_a": "5", "peak_a": "3"})
    assert refused(record)["current_a"] == [
        "Running current: 5 A is above starting or peak current (3 A)."
    ]


def test_a_largest_fuse_below_the_running_current_is_refused() -> None:
    record = LoadData(part=part_of("load"), **LAMP | {"current_a": "5", "fuse_max_a": "3"})
    assert refused(record)["fuse_max_a"] == [
        "Largest fuse: 3 A is below the running current of 5 A."
    ]


def test_a_solar_panel_whose_power_is_not_volts_times_amps_is_refused() -> None:
    panel = SolarPanelData(
        part=part_of("solar_panel"), power_w="280", voc_v="24", isc_a="9.6", vmp_v="20", imp_a="9"
    )
    assert refused(panel)["power_w"] == [
        "Rated power: 280 W does not agree with 20 V × 9 A = 180.0 W."
    ]


def test_a_solar_panel_within_five_percent_is_accepted() -> None:
    panel = SolarPanelData(
        part=part_of("solar_panel"),
        power_w="180",
        voc_v="24",
        isc_a="9.6",
        vmp_v="19.8",
        imp_a="9.1",
    )
    panel.clean_fields(exclude=["part"])
    panel.clean()


@pytest.mark.parametrize("sizes", [{}, {"size_mm2": "2.5", "size_awg": "14"}])
def test_a_cable_has_one_size_either_metric_or_gauge(sizes: dict[str, str]) -> None:
    assert "size_mm2" in refused(CableData(part=part_of("cable"), **sizes))


def test_a_lug_needs_the_size_of_its_stud() -> None:
    lug = TerminalData(part=part_of("terminal"), form="lug", min_mm2="16", max_mm2="16")
    assert refused(lug) == {"stud_mm": ["For stud: a ring or lug needs its stud size."]}


def test_idle_output_above_full_output_is_refused() -> None:
    source = ChargingSourceData(
        part=part_of("charging_source"), source="alternator", nominal_v="12", output_a="40",
        output_engine_idle_a="60",
    )  # fmt: skip
    assert "output_engine_idle_a" in refused(source)


def test_lowest_input_above_the_nominal_input_is_refused() -> None:
    converter = ConverterData(
        part=part_of("converter"), input_v="24", input_min_v="28", output_v="12", output_a="10"
    )
    assert "input_min_v" in refused(converter)


def test_a_reading_has_the_label_the_value_and_the_unit() -> None:
    record = LoadData(part=part_of("load"), **LAMP)
    record.clean_fields(exclude=["part"])
    shown = {reading.label: (reading.text, reading.unit) for reading in record.rows()}
    assert shown["running current"] == ("0.5", "A")
    assert shown["continuous"] == ("no", "")
    assert "starting or peak current" not in shown


@pytest.mark.parametrize("percent", ["0.9", "100.1"])
def test_a_share_lies_between_one_and_a_hundred_per_cent(percent: str) -> None:
    field = ChargingSourceData._meta.get_field("efficiency_pct")
    with pytest.raises(ValidationError, match=r"greater than or equal to 1|less than or equal to"):
        field.run_validators(Decimal(percent))


@pytest.mark.parametrize("field", ["input_min_v", "output_engine_idle_a"])
def test_what_only_another_charging_source_has_is_refused(field: str) -> None:
    charger = ChargingSourceData(
        part=part_of("charging_source"), source="mains", input_v="230", nominal_v="12",
        output_a="30", **{field: "10"},
    )  # fmt: skip
    assert field in refused(charger)


def test_a_dcdc_charger_has_its_lowest_input_below_its_input() -> None:
    charger = ChargingSourceData(
        part=part_of("charging_source"), source="dcdc", input_v="12", input_min_v="13",
        nominal_v="12", output_a="30",
    )  # fmt: skip
    assert refused(charger)["input_min_v"] == [
        "Lowest input voltage: 13 V is above input voltage (12 V)."
    ]


def test_a_panel_has_its_power_or_what_to_find_it_from() -> None:
    untold = SolarPanelData(part=part_of("solar_panel"), voc_v="22", isc_a="7", area_m2="0.6")
    assert refused(untold)["power_w"] == [
        "Rated power: give it, or both area and efficiency to find it from."
    ]
    found = SolarPanelData(
        part=part_of("solar_panel"), voc_v="22", isc_a="7", area_m2="0.6", efficiency_pct="20"
    )
    found.clean_fields(exclude=["part"])
    found.clean()
    assert found.rated_w == 120
    shown = {row.label: f"{row.text} {row.unit}" for row in found.rows()}
    assert shown["power found from area and efficiency, at 1000 W/m²"] == "120 W"
    assert shown["rated power of one square metre"] == "200 W/m²"


def test_a_power_that_is_not_area_times_efficiency_is_refused() -> None:
    panel = SolarPanelData(
        part=part_of("solar_panel"),
        power_w="180",
        voc_v="22",
        isc_a="11",
        area_m2="0.6",
        efficiency_pct="20",
    )
    assert refused(panel)["power_w"] == [
        "Rated power: 180 W does not agree with 0.6 m² × 20 % × 1000 W/m² = 120.0 W."
    ]


@pytest.mark.parametrize(
    ("nature", "pct", "message"),
    [
        ("mix", None, "Part of a mix that is resistance: a mix needs it, 1 to 100 %."),
        ("motor", "50", "Part of a mix that is resistance: only for a load that is a mix."),
    ],
)
def test_only_a_mix_tells_its_part_of_resistance(
    nature: str, pct: str | None, message: str
) -> None:
    load = LoadData(part=part_of("load"), **LAMP | {"nature": nature, "resistive_pct": pct})
    assert refused(load)["resistive_pct"] == [message]
