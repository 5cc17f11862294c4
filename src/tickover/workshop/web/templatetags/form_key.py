"""What every form that posts begins with."""

from __future__ import annotations

from typing import Any

from django import template
from django.template.defaulttags import CsrfTokenNode
from django.utils.html import format_html
from django.utils.safestring import SafeString

from tickover.workshop.kernel import idempotency

register = template.Library()


@register.simple_tag(takes_context=True)
def csrf_token(context: template.Context) -> SafeString:
    """Django's own token, and the key by which a form is saved once: no form can have one without the other."""
    token: Any = CsrfTokenNode().render(context)
    return format_html('{}<input type="hidden" name="form_key" value="{}">', token, idempotency.new_key())
