"""`{% can "build_sheet.change" job.stage as may_edit %}`"""

from __future__ import annotations

from typing import Any

from django import template

from fitout.kit import access

register = template.Library()


@register.simple_tag(takes_context=True)
def can(context: template.Context, action: str, stage: Any = None) -> bool:
    user = context.get("user") or getattr(context.get("request"), "user", None)
    return access.can(user, action, stage or None)
