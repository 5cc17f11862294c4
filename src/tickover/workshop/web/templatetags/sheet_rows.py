"""Look a row's title up by its id."""

from collections.abc import Mapping

from django import template

register = template.Library()


@register.filter
def row(titles: Mapping[str, str], row_id: str) -> str:
    """The title of the row of this id; the id where there is no such row."""
    return titles.get(row_id, row_id)
