"""Each rule reads one source and answers what breaks it; none of them imports what it reads."""
