"""Energy: what is used in a day, what comes back, and how long a battery lasts."""
