"""Addresses of the bench."""

from django.urls import path

from tickover.workshop.web.visits import course_views, exceedance_views, paper_views, start_views, views

app_name = "visits"
urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("engines/<str:serial>/start-visit/", start_views.start_visit, name="start-visit"),
    path("engines/<str:serial>/start-visit/minutes/", start_views.estimate, name="estimate"),
    path("engines/<str:serial>/tasks/<str:task_id>/open-job/", views.open_job, name="open-job"),
    path("jobs/<str:number>/", views.job, name="job"),
    path("jobs/<str:number>/kit/", views.note_kit, name="note-kit"),
    path("jobs/<str:number>/remark/", course_views.remark, name="remark"),
    path("jobs/<str:number>/pause/", course_views.pause, name="pause"),
    path("jobs/<str:number>/resume/", course_views.resume, name="resume"),
    path("jobs/<str:number>/hand-over/", course_views.hand_over, name="hand-over"),
    path("jobs/<str:number>/more-work/", course_views.more_work, name="more-work"),
    path("jobs/<str:number>/more-work/add/", course_views.add_task, name="add-task"),
    path("jobs/<str:number>/more-work/remove/", course_views.remove_task, name="remove-task"),
    path("jobs/<str:number>/exceedances/", exceedance_views.exceedances, name="exceedances"),
    path("jobs/<str:number>/exceedances/renewed/", exceedance_views.renew, name="renew-part"),
    path("jobs/<str:number>/exceedances/decision/", exceedance_views.decide, name="decide-exceedance"),
    path("jobs/<str:number>/release/", views.release, name="release"),
    path("jobs/<str:number>/close/", views.close, name="close"),
    path("jobs/<str:number>/work-card.pdf", paper_views.work_card, name="work-card"),
    path("jobs/<str:number>/release.pdf", paper_views.release, name="release-paper"),
    path("jobs/<str:number>/steps/<str:step_id>/", views.step, name="step"),
    path("jobs/<str:number>/steps/<str:step_id>/reading/", views.reading, name="reading"),
    path("jobs/<str:number>/steps/<str:step_id>/unmeasured/", views.unmeasured, name="unmeasured"),
    path("jobs/<str:number>/steps/<str:step_id>/done/", views.done, name="done"),
    path("jobs/<str:number>/steps/<str:step_id>/reopen/", views.reopen, name="reopen"),
    path("jobs/<str:number>/steps/<str:step_id>/second-check/", views.second_check, name="second-check"),
    path("engines/<str:serial>/tasks/<str:task_id>/blank-card.pdf", paper_views.blank, name="blank-card"),
    path("jobs/<str:number>/hand-back.pdf", paper_views.hand_back_sheet, name="hand-back"),
]
