"""What every page shows: the workshop's name, and in the demo the people one can change to."""

from typing import Any

from django.http import HttpRequest

from tickover.workshop.people import queries


def workshop(request: HttpRequest) -> dict[str, Any]:
    shop = queries.the_workshop()
    return {"workshop": shop, "demo_people": queries.everyone() if shop.is_demo else []}
