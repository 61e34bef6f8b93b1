"""The data backbone of a job: layout, check, drawing, changes."""
