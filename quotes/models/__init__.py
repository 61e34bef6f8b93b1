from quotes.models.quotes import (
    Acceptance,
    PaymentStage,
    QuoteLine,
    Revision,
    RevisionStatus,
)
from quotes.models.terms import JobTerms, MarkUp, StandardTerms

__all__ = [
    "Acceptance",
    "JobTerms",
    "MarkUp",
    "PaymentStage",
    "QuoteLine",
    "Revision",
    "RevisionStatus",
    "StandardTerms",
]
