"""A task for the worker to be killed in: it waits the first time and finishes the second."""

import time
from pathlib import Path

from django_tasks import task


@task()
def write_down(path: str) -> str:
    notes = Path(path)
    attempt = len(notes.read_text().splitlines()) + 1 if notes.exists() else 1
    with notes.open("a") as book:
        book.write(f"started {attempt}\n")
    if attempt == 1:
        time.sleep(120)
    return f"finished at attempt {attempt}"
