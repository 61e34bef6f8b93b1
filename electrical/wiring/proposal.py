"""What `wire up` proposes, before anything is stored."""

from dataclasses import dataclass, field

from electrical.models import CircuitRole, Device


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """One circuit to make, from a point to the devices it feeds."""

    name: str
    role: CircuitRole
    origin: Device
    devices: tuple[Device, ...]
    nominal_v: float
    always_live: bool = False


@dataclass(frozen=True, kw_only=True)
class Gap:
    """Something the build sheet lacks, so that devices stay unwired."""

    missing: str
    message: str
    devices: tuple[Device, ...] = ()


@dataclass
class Proposals:
    circuits: list[Proposal] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)

    def add(self, proposal: Proposal) -> None:
        self.circuits.append(proposal)

    def lacks(self, missing: str, message: str, *devices: Device) -> None:
        """One gap per missing thing, however many devices wait for it."""
        for index, gap in enumerate(self.gaps):
            if gap.missing == missing:
                together = (*gap.devices, *devices)
                self.gaps[index] = Gap(missing=missing, message=gap.message, devices=together)
                return
        self.gaps.append(Gap(missing=missing, message=message, devices=devices))

    def starts_at(self, device: Device) -> int:
        return sum(proposal.origin.pk == device.pk for proposal in self.circuits)

    def reaches(self, device: Device) -> bool:
        return any(device.pk in {d.pk for d in p.devices} for p in self.circuits)
