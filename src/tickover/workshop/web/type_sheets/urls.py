"""Addresses of the type sheets."""

from django.urls import path

from tickover.workshop.web.type_sheets import draft_views, row_views, type_views, views

app_name = "type_sheets"
TYPE = "type-sheets/<slug:sheet_id>"
STEPS = f"{TYPE}/cards/<slug:card>/steps"
urlpatterns = [
    path("type-sheets/", views.types, name="types"),
    path("type-sheets/new/", type_views.new_type, name="new-type"),
    path("type-sheets/import/", type_views.import_sheet, name="import"),
    path(f"{TYPE}/", views.type_page, name="type"),
    path(f"{TYPE}/sheet.toml", views.export, name="export"),
    path(f"{TYPE}/versions/", views.versions, name="versions"),
    path(f"{TYPE}/cards/<slug:card>/", views.card_page, name="card"),
    path(f"{TYPE}/draft/", draft_views.draft, name="draft"),
    path(f"{TYPE}/draft/sheet.toml", draft_views.draft_export, name="draft-export"),
    path(f"{TYPE}/draft/keep/", draft_views.keep, name="keep"),
    path(f"{TYPE}/draft/discard/", draft_views.discard, name="discard"),
    path(f"{TYPE}/draft/over-newest/", draft_views.over_newest, name="over-newest"),
    path(f"{TYPE}/draft/shipped/", draft_views.take_shipped, name="take-shipped"),
    path(f"{TYPE}/change/<slug:table>/add/", row_views.add_row, name="add-row"),
    path(f"{TYPE}/change/<slug:table>/<slug:row_id>/", row_views.change_row, name="change-row"),
    path(f"{TYPE}/change/<slug:table>/<slug:row_id>/remove/", row_views.remove_row, name="remove-row"),
    path(f"{STEPS}/add/", row_views.add_row, {"table": "steps"}, name="add-step"),
    path(f"{STEPS}/<slug:row_id>/", row_views.change_row, {"table": "steps"}, name="change-step"),
    path(f"{STEPS}/<slug:row_id>/remove/", row_views.remove_row, {"table": "steps"}, name="remove-step"),
    path(f"{STEPS}/<slug:row_id>/move/", row_views.move_step, name="move-step"),
]
