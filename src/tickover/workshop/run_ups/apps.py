"""The app `run_ups`. Its tables keep the label they were made under."""

from django.apps import AppConfig


class RunUpsConfig(AppConfig):
    name = "tickover.workshop.run_ups"
    label = "runs"

    def ready(self) -> None:
        """Have the run-ups of a job asked at its release."""
        from tickover.workshop.run_ups.release_check import RunUpCheck
        from tickover.workshop.visits.releasing import release_checks

        release_checks.register("run-ups", RunUpCheck())
