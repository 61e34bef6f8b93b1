from django.urls import path

from fitout.workshop.views import phone, snags, tasks

app_name = "workshop"

urlpatterns = [
    path("jobs/<int:number>/tasks/", tasks.tasks_page, name="tasks"),
    path("jobs/<int:number>/tasks/generate/", tasks.generate_tasks, name="generate"),
    path("jobs/<int:number>/tasks/plan/", tasks.plan_tasks, name="plan"),
    path("jobs/<int:number>/tasks/new/", tasks.new_task, name="new_task"),
    path("jobs/<int:number>/tasks/<int:pk>/", tasks.edit_task, name="edit_task"),
    path("jobs/<int:number>/tasks/issue/", tasks.issue_work_order, name="issue"),
    path("jobs/<int:number>/time/<int:pk>/", tasks.put_time_right, name="time"),
    path("jobs/<int:number>/snags/", snags.snags_page, name="snags"),
    path("jobs/<int:number>/snags/new/", snags.new_snag, name="new_snag"),
    path("jobs/<int:number>/snags/<int:pk>/", snags.snag_page, name="snag"),
    path("jobs/<int:number>/snags/<int:pk>/close/", snags.close_snag, name="close_snag"),
    path("jobs/<int:number>/snags/<int:pk>/photo/", snags.photo, name="photo"),
    path("people/<int:pk>/skills/", tasks.skills, name="skills"),
    path("work/", phone.work, name="work"),
    path("work/<int:pk>/", phone.task_page, name="task"),
    path("work/<int:pk>/start/", phone.start_clock, name="start"),
    path("work/<int:pk>/stop/", phone.stop_clock, name="stop"),
    path("work/<int:pk>/done/", phone.task_done, name="done"),
    path("work/<int:pk>/hold/", phone.task_held, name="hold"),
    path("work/<int:pk>/parts/<int:part_id>/", phone.pick_part, name="pick"),
    path("work/<int:pk>/circuits/<int:circuit_id>/", phone.circuit_made, name="made"),
    path("work/<int:pk>/snag/", phone.raise_snag_here, name="raise"),
]
