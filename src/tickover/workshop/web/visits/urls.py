"""Addresses of the bench."""

from django.urls import path

from tickover.workshop.web.visits import (
    course_views,
    drawing_views,
    exceedance_views,
    paper_views,
    start_views,
    views,
)

app_name = "visits"
urlpatterns = [
    path("visits/", views.jobs, name="jobs"),
    path("engines/<str:serial>/start-visit/", start_views.start_visit, name="start-visit"),
    path("engines/<str:serial>/start-visit/minutes/", start_views.estimate, name="estimate"),
    path("engines/<str:serial>/tasks/<str:task_id>/open-job/", views.open_job, name="open-job"),
    path("visits/<str:number>/", views.job, name="job"),
    path("visits/<str:number>/clock/", course_views.clock, name="clock"),
    path("visits/<str:number>/changes/", views.changes, name="changes"),
    path("visits/<str:number>/kit/", views.note_kit, name="note-kit"),
    path("visits/<str:number>/remark/", course_views.remark, name="remark"),
    path("visits/<str:number>/pause/", course_views.pause, name="pause"),
    path("visits/<str:number>/resume/", course_views.resume, name="resume"),
    path("visits/<str:number>/hand-over/", course_views.hand_over, name="hand-over"),
    path("visits/<str:number>/hand-back/", course_views.hand_back, name="hand-engine-back"),
    path("visits/<str:number>/more-work/", course_views.more_work, name="more-work"),
    path("visits/<str:number>/more-work/add/", course_views.add_task, name="add-task"),
    path("visits/<str:number>/more-work/drop/", course_views.drop_task, name="drop-task"),
    path("visits/<str:number>/more-work/drop-not-begun/", course_views.drop_not_begun, name="drop-not-begun"),
    path("visits/<str:number>/exceedances/", exceedance_views.exceedances, name="exceedances"),
    path("visits/<str:number>/exceedances/renewed/", exceedance_views.renew, name="renew-part"),
    path("visits/<str:number>/exceedances/decision/", exceedance_views.decide, name="decide-exceedance"),
    path("visits/<str:number>/release/", views.release, name="release"),
    path("visits/<str:number>/close/", views.close, name="close"),
    path("visits/<str:number>/work-card.pdf", paper_views.work_card, name="work-card"),
    path("visits/<str:number>/release.pdf", paper_views.release, name="release-paper"),
    path("visits/<str:number>/steps/<str:step_id>/", views.step, name="step"),
    path("visits/<str:number>/steps/<str:step_id>/reading/", views.reading, name="reading"),
    path("visits/<str:number>/steps/<str:step_id>/unmeasured/", views.unmeasured, name="unmeasured"),
    path(
        "visits/<str:number>/steps/<str:step_id>/drawings/<str:drawing_id>/",
        drawing_views.drawing,
        name="drawing",
    ),
    path("visits/<str:number>/steps/<str:step_id>/done/", views.done, name="done"),
    path("visits/<str:number>/steps/<str:step_id>/caution/", views.caution, name="caution"),
    path("visits/<str:number>/steps/<str:step_id>/reopen/", views.reopen, name="reopen"),
    path("visits/<str:number>/steps/<str:step_id>/second-check/", views.second_check, name="second-check"),
    path("engines/<str:serial>/tasks/<str:task_id>/blank-card.pdf", paper_views.blank, name="blank-card"),
    path("visits/<str:number>/hand-back.pdf", paper_views.hand_back_sheet, name="hand-back"),
]
