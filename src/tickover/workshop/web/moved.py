"""Addresses that pages had in version 0.1: they lead to where the page is now, for one version more."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

NOW = {"sums": "calculations", "trouble": "fault-finding", "jobs": "visits"}


def moved(request: HttpRequest, old: str, rest: str) -> HttpResponse:
    """The new address. 308 keeps the method, so a form that was left open is not lost (RFC 9110, 15.4.9)."""
    rest = rest.replace("trouble.pdf", "fault-finding.pdf")
    query = f"?{request.META['QUERY_STRING']}" if request.META.get("QUERY_STRING") else ""
    return HttpResponse(status=308, headers={"Location": f"/{NOW[old]}/{rest}{query}"})
