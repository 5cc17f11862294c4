"""A new type, begun as a copy: its name, its figures and its builds asked on one page."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from tickover.sheets.composing import rows_for
from tickover.workshop.knowledge.tables import Place, Table, new_id
from tickover.workshop.web.type_sheets.forms import NewTypeForm
from tickover.workshop.web.type_sheets.row_form import RowForm

MORE_BUILDS = 2
NOTICE = """The maker's manual for the exact engine, carburettor and propeller comes first, then the rules of the \
place where it flies. Work that those keep for licensed people stays with them. This sheet began as a copy of \
{title}: a figure not marked as the maker's was copied, and is no authority."""
GEOMETRY, PROPELLER, BUILDS = Place("geometry"), Place("propeller"), Place("builds")


class NewType:
    """The forms of the page together. A build whose name is empty is none."""

    def __init__(self, source: Table, posted: Any = None) -> None:
        self.source = source
        self.name = NewTypeForm(posted)
        self.geometry = RowForm(GEOMETRY, source, posted, source["geometry"], prefix="geometry")
        self.propeller = RowForm(
            PROPELLER, source, posted, source["geometry"]["propeller"], prefix="propeller"
        )
        old = [*source["builds"], *({} for _ in range(MORE_BUILDS))]
        self.builds = [self._build(n, row, posted) for n, row in enumerate(old)]

    def _build(self, n: int, row: Table, posted: Any) -> RowForm:
        form = RowForm(BUILDS, self.source, posted, row, prefix=f"build{n}")
        form.use_required_attribute = False
        return form

    @property
    def given_builds(self) -> list[RowForm]:
        return [form for form in self.builds if form.data.get(form.add_prefix("title"), "").strip()]

    def is_valid(self) -> bool:
        forms = [self.name, self.geometry, self.propeller, *self.given_builds]
        good = not [form for form in forms if not form.is_valid()]
        if not self.given_builds:
            self.name.add_error(None, "A type has at least one build: give one a name.")
        return good and bool(self.given_builds)

    def data(self, taken: list[Table]) -> Table:
        """The sheet: rows that no build of the new type has are left out."""
        data = deepcopy(self.source)
        builds: list[Table] = []
        for form in self.given_builds:
            row = form.row()
            row["id"] = row.get("id") or new_id([*self.source["builds"], *builds], row["title"])
            builds.append(row)
        names = {word for build in builds for word in (build["id"], *build.get("traits", ()))}
        data = rows_for(data, names)
        data["builds"] = builds
        data["geometry"] = {**self.geometry.row(), "propeller": self.propeller.row()}
        data["notice"] = NOTICE.format(title=self.source["title"])
        data["title"] = self.name.cleaned_data["title"]
        data["id"] = new_id(taken, data["title"])
        data["version"] = 1
        return data

    def refuse(self, problems: list[tuple[str, str]]) -> None:
        """What the schema refuses, beside the field it belongs to; the rest above all of them."""
        for key, message in problems:
            form, field = self._where(key)
            form.refuse([(field, message if form is not self.name else f"{key}: {message}")])

    def _where(self, key: str) -> tuple[Any, str]:
        words = key.split(".")
        if words[0] == "geometry":
            inner = len(words) > 2 and words[1] == "propeller"
            return (self.propeller, words[-1]) if inner else (self.geometry, words[-1])
        if words[0] == "builds" and len(words) > 1:
            for form, row_id in zip(self.given_builds, self.ids, strict=True):
                if row_id == words[1]:
                    return form, words[-1]
        return self.name, ""

    @property
    def ids(self) -> list[str]:
        found: list[Table] = []
        for form in self.given_builds:
            row = form.row()
            found.append({"id": row.get("id") or new_id([*self.source["builds"], *found], row["title"])})
        return [row["id"] for row in found]
