from fitout.jobs.models import Stage
from fitout.kit.access import OFFICE, STAFF, Rule

BUILDING = frozenset({Stage.ACCEPTED, Stage.IN_BUILD, Stage.TRIALS})
WORKING = frozenset({Stage.ACCEPTED, Stage.IN_BUILD, Stage.TRIALS, Stage.HANDED_OVER})

ACTIONS = {
    "tasks.view": Rule(STAFF),
    "tasks.plan": Rule(OFFICE, BUILDING),
    "work.do": Rule(STAFF, WORKING),
    "time.put_right": Rule(OFFICE),
    "snags.view": Rule(STAFF),
    "snags.raise": Rule(STAFF, WORKING),
    "snags.close": Rule(STAFF, WORKING),
}

URLS = {
    "workshop:tasks": "tasks.view",
    "workshop:generate": "tasks.plan",
    "workshop:plan": "tasks.plan",
    "workshop:new_task": "tasks.plan",
    "workshop:edit_task": "tasks.plan",
    "workshop:issue": "tasks.plan",
    "workshop:time": "time.put_right",
    "workshop:skills": "time.put_right",
    "workshop:snags": "snags.view",
    "workshop:snag": "snags.view",
    "workshop:new_snag": "snags.raise",
    "workshop:close_snag": "snags.close",
    "workshop:photo": "snags.view",
    "workshop:work": "work.do",
    "workshop:task": "work.do",
    "workshop:start": "work.do",
    "workshop:stop": "work.do",
    "workshop:done": "work.do",
    "workshop:hold": "work.do",
    "workshop:pick": "work.do",
    "workshop:made": "work.do",
    "workshop:raise": "snags.raise",
}
