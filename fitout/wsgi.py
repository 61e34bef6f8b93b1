import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fitout.settings")

application = get_wsgi_application()

# What is loaded by now stays: collections look at what pages leave behind only, and so more often.
gc.collect()
gc.freeze()
gc.set_threshold(700, 5, 5)
