from ..roles import Role
from .leases import Lease
from .numbers import Counter
from .papers import Audience, Document
from .people import User
from .posts import PostKey
from .trail import AuditEntry
from .versions import StaleVersion, Versioned
from .workshop import Workshop

__all__ = [
    "Audience",
    "AuditEntry",
    "Counter",
    "Document",
    "Lease",
    "PostKey",
    "Role",
    "StaleVersion",
    "User",
    "Versioned",
    "Workshop",
]
