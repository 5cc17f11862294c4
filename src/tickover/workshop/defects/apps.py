"""The defects app."""

from django.apps import AppConfig


class DefectsConfig(AppConfig):
    name = "tickover.workshop.defects"
    label = "defects"

    def ready(self) -> None:
        """Have deferred defects asked at a release, and which findings they put off."""
        from tickover.workshop.defects import queries
        from tickover.workshop.defects.models import DeferredDefect
        from tickover.workshop.defects.release_check import DefectCheck
        from tickover.workshop.visits import deferred_findings
        from tickover.workshop.visits.releasing import release_checks

        release_checks.register("deferred defects", DefectCheck())
        deferred_findings.register(queries.findings_deferred, DeferredDefect)
