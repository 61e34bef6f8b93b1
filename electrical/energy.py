"""Daily amp-hours of a job and how many days its house batteries last."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import mul

from catalogue.models import BatteryData, PartKind
from catalogue.models.electrical_data import BatteryUse, Chemistry
from electrical.adapters.loads import current_of, duties_of
from electrical.adapters.numbers import fraction, number, system_v
from electrical.adapters.points import CHEMISTRY, main_v
from electrical.charging import HouseCharger, house_charging
from electrical.core.energy.autonomy import Autonomy, AutonomyVerdict, autonomy
from electrical.core.energy.balance import DailyBalance, daily_balance
from electrical.core.energy.chemistry import convention
from electrical.core.energy.day import RATED_HOURS, Battery, DayPlan, Load
from electrical.core.energy.profiles import HourBalance, UseProfile, day_by_hour
from electrical.core.findings import Severity
from electrical.day_plans import assumed_day
from electrical.facts import Facts, record_of
from electrical.models import Device, OperatingState
from electrical.supply import batteries_of, conversion_efficiency
from electrical.wiring.grouping import load_v, needs_power

#: No engine start current is an energy matter; a start lasts seconds.
STARTER_A = 50.0


@dataclass(frozen=True)
class Energy:
    """A use profile's balance, the days it gives, and the days asked for."""

    profile: UseProfile
    profile_id: int | None
    """None while it is assumed."""
    is_clock_assumed: bool
    is_one_of_several: bool
    balance: DailyBalance
    hours: tuple[HourBalance, ...]
    autonomy: Autonomy
    battery: Battery
    charging: tuple[HouseCharger, ...]
    has_battery: bool
    asked_days: float

    @property
    def is_plan_assumed(self) -> bool:
        return self.profile_id is None

    @property
    def asked_words(self) -> str:
        return f"{self.asked_days:g} day{'' if self.asked_days == 1.0 else 's'}"

    @cached_property
    def badness(self) -> tuple[bool, float, float]:
        """Larger is worse: what cannot be told, then what lasts fewer days, then uses more."""
        days = self.autonomy.days
        is_unknown = self.autonomy.verdict is AutonomyVerdict.CANNOT_TELL
        return is_unknown, 1.0 / days if days else 0.0, self.balance.use_ah

    @cached_property
    def deepest(self) -> HourBalance:
        """The hour after which most is missing, full at midnight and without sun."""
        return max(self.hours, key=lambda hour: hour.below_full_ah)

    @property
    def on_profile(self) -> str:
        return f" on “{self.profile.name}”" if self.is_one_of_several else ""

    @cached_property
    def severity(self) -> Severity:
        if self.autonomy.verdict is AutonomyVerdict.CANNOT_TELL:
            return Severity.CANNOT_TELL
        days = self.autonomy.days
        return Severity.PASS if days is None or days >= self.asked_days else Severity.ATTENTION

    @cached_property
    def sentence(self) -> str:
        if not self.has_battery:
            return "There is no house battery on the build sheet, so days cannot be told."
        if self.severity is Severity.CANNOT_TELL:
            gaps = "; ".join(f"{gap.subject}: {gap.field}" for gap in self.autonomy.missing)
            return f"Days cannot be told. Missing: {gaps}."
        days = self.autonomy.days
        if days is None:
            return f"Nothing draws from the house batteries{self.on_profile}."
        verb = "meet" if days >= self.asked_days else "do not meet"
        return (
            f"{days:.1f} days without any charging{self.on_profile} {verb} the "
            f"{self.asked_words} asked for."
        )


def energies_of(facts: Facts) -> tuple[Energy, ...]:
    """Each use profile of a job, or the assumed day while it has none."""
    battery, charging, loads = house_battery(facts), house_charging(facts), loads_of(facts)
    chargers = [one.charger for one in charging]
    has_battery = bool(house_batteries(facts))
    found = []
    for key, profile, is_clock_assumed in _profiles(facts):
        balance = daily_balance(
            plan=_whole_plan(profile), loads=loads, battery=battery, chargers=chargers
        )
        found.append(
            Energy(
                profile=profile,
                profile_id=key,
                is_clock_assumed=is_clock_assumed,
                is_one_of_several=len(facts.profiles) > 1,
                balance=balance,
                hours=day_by_hour(profile, loads=loads, battery=battery, chargers=chargers),
                autonomy=autonomy(balance=balance, battery=battery),
                battery=battery,
                charging=charging,
                has_battery=has_battery,
                asked_days=float(facts.job.autonomy_asked_days),
            )
        )
    return tuple(found)


def worst_of(energies: Sequence[Energy]) -> Energy:
    """The profile that decides; of equal ones the first."""
    return max(energies, key=lambda energy: energy.badness)


def energy_of(facts: Facts) -> Energy:
    return worst_of(energies_of(facts))


def _profiles(facts: Facts) -> list[tuple[int | None, UseProfile, bool]]:
    if not facts.profiles:
        return [(None, assumed_day(facts.job), True)]
    return [
        (row.pk, day, row.is_clock_assumed)
        for row, day in zip(facts.profiles, facts.days, strict=True)
    ]


def _whole_plan(profile: UseProfile) -> DayPlan:
    """Hours in every operating state there is, in its order; nought where it is not in it."""
    hours = profile.plan.hours_by_state
    return DayPlan(hours_by_state={s: hours.get(s, 0.0) for s in OperatingState.values})


def house_batteries(facts: Facts) -> list[BatteryData]:
    volts = main_v(facts)
    records = [record_of(device) for device in facts.of_kind(PartKind.BATTERY)]
    return [
        record
        for record in records
        if isinstance(record, BatteryData)
        and record.use == BatteryUse.HOUSE
        and system_v(record.nominal_v) == volts
    ]


def house_battery(facts: Facts) -> Battery:
    """All house batteries of the main voltage together; mixed chemistries cannot be told.

    Of limits that differ, the one that asks for more. Where only some makers say, the
    convention of the chemistry stands for the others, and for all unless that is better.
    """
    records = house_batteries(facts)
    kinds = {record.chemistry for record in records}
    chemistry = CHEMISTRY[Chemistry(records[0].chemistry)] if len(kinds) == 1 else None
    known = convention(chemistry)
    shares = [float(record.capacity_ah) for record in records]
    total_ah = sum(shares) or None
    return Battery(
        capacity_ah=total_ah,
        chemistry=chemistry,
        nominal_v=main_v(facts),
        acceptance_a=_strictest(
            [number(record.max_charge_a) for record in records],
            [known.acceptance_c20.value * ah for ah in shares] if known else None,
            sum,
        ),
        min_charge_c=_strictest(
            [number(record.min_charge_temp_c) for record in records],
            [known.min_charge_c.value] * len(records) if known else None,
            max,
        ),
        usable_depth=_strictest(
            [fraction(record.usable_pct) for record in records],
            [known.usable_depth.value] * len(records) if known else None,
            lambda depths: sum(map(mul, depths, shares)) / sum(shares),
        ),
        coulombic_efficiency=_strictest(
            [fraction(record.charge_efficiency_pct) for record in records],
            [known.coulombic_efficiency.value] * len(records) if known else None,
            min,
        ),
        rated_hours=max((float(record.rated_h) for record in records), default=RATED_HOURS),
    )


def _strictest(
    told: list[float | None], usual: list[float] | None, together: Callable[[list[float]], float]
) -> float | None:
    """Of all batteries together as told; None leaves it to the convention."""
    known = [value for value in told if value is not None]
    if not known:
        return None
    if len(known) == len(told):
        return together(known)
    if usual is None:
        return None
    mixed = together([u if t is None else t for t, u in zip(told, usual, strict=True)])
    usually = together(usual)
    asks_for_more = mixed > usually if together is max else mixed < usually
    return mixed if asks_for_more else None


def loads_of(facts: Facts) -> list[Load]:
    devices = [device for device in facts.devices if needs_power(device)]
    return [_load(facts, device) for device in devices if lives_on_house(facts, device)]


def lives_on_house(facts: Facts, device: Device) -> bool:
    """Fed by a house battery, or not wired yet and no engine start."""
    batteries = [record_of(battery) for battery in batteries_of(facts, device)]
    if batteries:
        uses = {record.use for record in batteries if isinstance(record, BatteryData)}
        return BatteryUse.HOUSE in uses
    only_starts = duties_of(facts, device)
    is_start = bool(only_starts.pop(OperatingState.ENGINE_START)) and not any(only_starts.values())
    return not is_start or (current_of(device) or 0.0) < STARTER_A


def _load(facts: Facts, device: Device) -> Load:
    efficiency = conversion_efficiency(facts, device)
    return Load(
        load_id=str(device.pk),
        label=f"{device.label} {device.name}",
        current_a=current_of(device),
        duty_by_state=_duties(facts, device),
        nominal_v=load_v(device),
        conversion_efficiency=efficiency,
    )


def _duties(facts: Facts, device: Device) -> dict[str, float | None]:
    """An inverter's record has no duties: not known until somebody enters them."""
    duties: dict[str, float | None] = dict(duties_of(facts, device))
    if device.kind == PartKind.INVERTER:
        for state in duties:
            if (device.pk, state) not in facts.duty_overrides and state != OperatingState.IDLE:
                duties[state] = None
    return duties
