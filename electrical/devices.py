"""Devices follow the build sheet: one per piece of a counted line whose part is electrical."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from catalogue.models import PartKind
from electrical.facts import DEVICE_KINDS
from electrical.labels import letter_for, next_label
from electrical.models import CircuitDevice, Device
from electrical.models.circuits import circuit_label
from fitout.jobs.models import Choice, Job, Line
from fitout.kit.audit import tracked
from fitout.kit.models import User

MAX_PIECES = 200
NEGATIVE_WORDS = ("negative", "return")
ALWAYS_ON_WORDS = ("always on", "always-on", "always live", "always-live")


@dataclass(frozen=True)
class Wanted:
    """One device as the build sheet has it."""

    line: Line
    ordinal: int
    pieces: int

    @property
    def key(self) -> tuple[int, int]:
        return self.line.pk, self.ordinal

    @property
    def name(self) -> str:
        if self.pieces == 1:
            return self.line.description
        suffix = f", {self.ordinal} of {self.pieces}"
        return self.line.description[: 200 - len(suffix)] + suffix

    @property
    def place(self) -> tuple[Decimal, Decimal, Decimal]:
        """Where the line was put; else the middle of its zone."""
        line, zone = self.line, self.line.zone
        return (
            _middle(line.x_m, zone.x_min_m, zone.x_max_m),
            _middle(line.y_m, zone.y_min_m, zone.y_max_m),
            _middle(line.z_m, zone.z_min_m, zone.z_max_m),
        )


def _middle(given: Decimal | None, low: Decimal, high: Decimal) -> Decimal:
    if given is not None:
        return given
    return ((low + high) / 2).quantize(Decimal("0.001"))


def wanted_devices(job: Job) -> list[Wanted]:
    lines = list(
        Line.objects.filter(job=job)
        .select_related("zone", "part", "part__loaddata", "part__switchdata", "part__datacabledata")
        .order_by("zone__position", "position", "id")
    )
    by_id = {line.pk: line for line in lines}
    return [
        Wanted(line=line, ordinal=ordinal, pieces=pieces)
        for line in lines
        if is_device(line)
        for pieces in [counted_pieces(line, by_id)]
        for ordinal in range(1, pieces + 1)
    ]


def is_device(line: Line) -> bool:
    if line.part is None or line.part.kind not in DEVICE_KINDS:
        return False
    if line.part.kind == PartKind.DATA_CABLE:
        return bool(getattr(getattr(line.part, "datacabledata", None), "is_power_feed", False))
    if line.part.kind != PartKind.SWITCH:
        return True
    data = getattr(line.part, "switchdata", None)
    return data is not None and (data.is_isolator or data.is_emergency_parallel)


def counted_pieces(line: Line, by_id: dict[int, Line]) -> int:
    """Whole pieces of a line, kits above it multiplied in; 0 for an option not taken."""
    quantity, here = line.quantity, line
    while here.parent_id is not None:
        here = by_id[here.parent_id]
        quantity *= here.quantity
    if here.choice == Choice.OPTION and not here.taken:
        return 0
    return min(int(quantity), MAX_PIECES)


def refresh_devices(job: Job, by: User | None = None) -> bool:
    """Bring devices in line with the build sheet; tells whether anything changed."""
    wanted = wanted_devices(job)
    if is_up_to_date(wanted, list(Device.objects.filter(job=job))):
        return False
    with transaction.atomic():
        # Two pages opened at once meet here; the second finds nothing left to do.
        Job.objects.select_for_update().get(pk=job.pk)
        _follow(job, wanted_devices(job), by)
    return True


def behind(job: Job, devices: Sequence[Device]) -> int:
    """How many devices are not as the build sheet has them: new, gone or changed.

    They follow by themselves whenever lines or zones change; a change to a part's own data
    is seen here.
    """
    stored = {(device.line_id, device.ordinal): device for device in devices}
    wanted = {want.key: want for want in wanted_devices(job)}
    changed = [key for key in stored.keys() & wanted.keys() if _differs(stored[key], wanted[key])]
    return len(stored.keys() ^ wanted.keys()) + len(changed)


def is_up_to_date(wanted: list[Wanted], devices: list[Device]) -> bool:
    stored = {(d.line_id, d.ordinal): d for d in devices}
    return stored.keys() == {w.key for w in wanted} and not any(
        _differs(stored[w.key], w) for w in wanted
    )


def _differs(device: Device, wanted: Wanted) -> bool:
    return (device.name, device.zone_id, device.kind, device.x_m, device.y_m, device.z_m) != (
        wanted.name,
        wanted.line.zone_id,
        _part_kind(wanted),
        *wanted.place,
    )


def _part_kind(wanted: Wanted) -> str:
    return wanted.line.part.kind if wanted.line.part else PartKind.GENERAL


def _follow(job: Job, wanted: list[Wanted], by: User | None) -> None:
    stored = {(d.line_id, d.ordinal): d for d in Device.objects.filter(job=job)}
    gone = [device.pk for key, device in stored.items() if key not in {w.key for w in wanted}]
    Device.objects.filter(pk__in=gone).delete()
    taken = {device.label for device in stored.values()}
    for want in wanted:
        device = stored.get(want.key)
        if device is None:
            label = next_label(_letter(want), taken)
            taken.add(label)
            device = Device(job=job, line=want.line, ordinal=want.ordinal, label=label)
            device.always_live = _sounds_always_live(want)
            device.is_negative = _is_negative_bar(want, stored.values())
            stored[want.key] = device
        elif not _differs(device, want):
            continue
        _copy_onto(device, want, by)


def _letter(wanted: Wanted) -> str:
    load = getattr(wanted.line.part, "loaddata", None)
    return letter_for(
        _part_kind(wanted),
        function=getattr(load, "function", ""),
        nature=getattr(load, "nature", ""),
    )


def _sounds_always_live(wanted: Wanted) -> bool:
    text = f"{wanted.line.description} {wanted.line.part}".lower()
    return any(words in text for words in ALWAYS_ON_WORDS)


def _is_negative_bar(wanted: Wanted, others: Iterable[Device]) -> bool:
    """Busbars come in pairs: the second one in a zone is taken for the negative."""
    if _part_kind(wanted) != PartKind.BUSBAR:
        return False
    if any(word in wanted.line.description.lower() for word in NEGATIVE_WORDS):
        return True
    bars = [d for d in others if d.kind == PartKind.BUSBAR and d.zone_id == wanted.line.zone_id]
    return sum(not bar.is_negative for bar in bars) > sum(bar.is_negative for bar in bars)


def _copy_onto(device: Device, wanted: Wanted, by: User | None) -> None:
    device.name = wanted.name
    device.kind = _part_kind(wanted)
    device.zone_id = wanted.line.zone_id
    device.x_m, device.y_m, device.z_m = wanted.place
    device.changed_by = by
    if device.pk:
        device.version += 1
    device.save()


def circuits_of_lines(job: Job, lines: Sequence[object]) -> dict[int, str]:
    """Labels of the circuits a line's devices are on, for the build sheet."""
    found: dict[int, list[str]] = {}
    members = CircuitDevice.objects.filter(circuit__job=job).order_by("circuit__number")
    for line_id, number in members.values_list("device__line_id", "circuit__number"):
        labels = found.setdefault(line_id, [])
        label = circuit_label(number)
        if label not in labels:
            labels.append(label)
    return {line_id: ", ".join(labels) for line_id, labels in found.items()}


TOLD = frozenset(
    {
        "held_down",
        "always_live",
        "is_negative",
        "tilt_deg",
        "facing_deg",
        "in_series_with",
        "link_is_limited",
    }
)


def tell(device: Device, *, by: User, version: int, **answers: object) -> None:
    """Store what only a person knows of a device."""
    unknown = set(answers) - TOLD
    if unknown:
        raise ValueError(f"not told of a device: {', '.join(sorted(unknown))}")
    label = f"{device.label} {device.name}"
    with tracked(actor=by, scope=device.job.scope, label=label, action="wiring.change") as change:
        change.watch(device)
        for name, value in answers.items():
            setattr(device, name, value)
        device.save_if_version(version, by=by)
