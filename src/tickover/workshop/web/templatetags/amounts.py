"""The amounts of `language` as filters of every template."""

from django import template

from tickover.language import amounts

register = template.Library()
for word in (
    amounts.hours,
    amounts.hours_fine,
    amounts.reading,
    amounts.per_cent,
    amounts.day,
    amounts.amount,
    amounts.spread,
    amounts.as_sure_as,
    amounts.units,
    amounts.ended,
):
    register.filter(word)
