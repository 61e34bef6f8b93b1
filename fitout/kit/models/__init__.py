from ..roles import Role
from .numbers import Counter
from .papers import Audience, Document
from .people import User
from .posts import PostKey
from .trail import AuditEntry
from .versions import StaleVersion, Versioned

__all__ = [
    "Audience",
    "AuditEntry",
    "Counter",
    "Document",
    "PostKey",
    "Role",
    "StaleVersion",
    "User",
    "Versioned",
]
