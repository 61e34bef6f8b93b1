"""The energy of a job over a year: what it is worked out from, the run, the page."""
