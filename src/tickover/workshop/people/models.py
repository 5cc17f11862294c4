"""Persons of the workshop, the workshop's own card, and links that sign a person in once."""

from django.contrib.auth.models import AbstractUser
from django.db import models

from tickover.workshop.kernel.models import Amended


class Role(models.TextChoices):
    MANAGER = "manager", "manager"
    TECHNICIAN = "technician", "technician"
    INSPECTOR = "inspector", "inspector"


class Person(AbstractUser, Amended):
    """Someone who signs in. What is signed is signed with the full name and the authority."""

    role = models.CharField(max_length=20, choices=Role, default=Role.TECHNICIAN)
    authority = models.CharField(
        max_length=120,
        blank=True,
        help_text="Licence or approval by which this person releases engines, as it is to stand on paper.",
    )

    outside_the_chain = {
        "last_login": "set by each sign-in, and nothing rests on it",
        "password": "a hash that is made anew at a sign-in; it is no fact about a record",
    }

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Workshop(Amended):
    """The workshop's card: one row."""

    name = models.CharField(max_length=120)
    place = models.CharField(max_length=200, blank=True)
    is_demo = models.BooleanField(default=False)
    works_alone = models.BooleanField(
        default=False, help_text="One person works here: a timed second look may stand for a second person."
    )
    second_look_minutes = models.PositiveIntegerField(default=10)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_workshop")]

    def __str__(self) -> str:
        return self.name


class SignInLink(models.Model):
    """A link that signs one person in once. Only its SHA-256 is kept."""

    token_sha256 = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(Person, on_delete=models.CASCADE)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
