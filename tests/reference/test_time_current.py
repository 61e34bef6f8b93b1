"""Operating times of fuse-links (ISO 8820-3, ISO 8820-5) and what follows from them."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from electrical.core.curves import operating_time
from electrical.core.parts import DeviceType, Protection
from electrical.core.protection import let_through, selectivity
from electrical.core.tables.time_current import BANDS, curve_of

CASES = tomllib.loads((Path(__file__).parent / "cases" / "time_current.toml").read_text())


@pytest.mark.parametrize("case", CASES["case"], ids=lambda c: f"{c['device']} {c['multiple']}")
def test_times_are_as_printed(case: dict[str, Any]) -> None:
    found = operating_time(
        BANDS[DeviceType(case["device"])], rating_a=10.0, current_a=10.0 * case["multiple"]
    )
    assert found is not None
    assert found.t_min_s == pytest.approx(case["t_min_s"])
    assert found.t_max_s == pytest.approx(case["t_max_s"])


def test_at_its_rating_a_fuse_need_not_open() -> None:
    found = operating_time(BANDS[DeviceType.BLADE], rating_a=10.0, current_a=10.0)
    assert found is not None
    assert found.t_max_s is None


@pytest.mark.parametrize("device", list(BANDS))
def test_more_current_never_opens_later(device: DeviceType) -> None:
    bands = [
        operating_time(BANDS[device], rating_a=1.0, current_a=1.0 + step / 50)
        for step in range(400)
    ]
    longest = [band.t_max_s for band in bands if band is not None and band.t_max_s is not None]
    assert longest == sorted(longest, reverse=True)
    shortest = [band.t_min_s for band in bands if band is not None]
    assert shortest == sorted(shortest, reverse=True)


def test_a_kind_without_a_printed_band_is_not_guessed() -> None:
    device = Protection(rating_a=100.0, device=DeviceType.CLASS_T)
    assert curve_of(device) is None
    assert let_through(device, fault_a=900.0) is None


def test_energy_stops_growing_above_the_last_row() -> None:
    fuse = Protection(rating_a=10.0, device=DeviceType.BLADE)
    at_last, beyond = let_through(fuse, fault_a=60.0), let_through(fuse, fault_a=2000.0)
    assert at_last is not None
    assert beyond is not None
    assert at_last.i2t_a2s == beyond.i2t_a2s == pytest.approx(360.0)


def test_equal_fuses_in_series_are_not_selective() -> None:
    near = Protection(rating_a=10.0, device=DeviceType.BLADE)
    found = selectivity(near, near, fault_a=1000.0)
    assert found is not None
    assert not found.is_selective


def test_a_much_larger_fuse_ahead_is_selective() -> None:
    near = Protection(rating_a=5.0, device=DeviceType.BLADE)
    far = Protection(rating_a=100.0, device=DeviceType.STRIP_M8)
    found = selectivity(near, far, fault_a=2000.0)
    assert found is not None
    assert found.is_selective
