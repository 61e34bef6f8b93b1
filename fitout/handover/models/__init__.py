from fitout.handover.models.packs import Pack, PackStatus
from fitout.handover.models.register import RegisterItem
from fitout.handover.models.tests import Outcome, SheetKind, TestReading, TestSheet

__all__ = [
    "Outcome",
    "Pack",
    "PackStatus",
    "RegisterItem",
    "SheetKind",
    "TestReading",
    "TestSheet",
]
