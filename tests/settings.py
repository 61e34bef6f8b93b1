"""The settings of the application, with what a test must not wait for made fast.

Everything that decides what the application does stays as it is in production.
"""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

os.environ.setdefault("DEBUG", "true")
os.environ.setdefault("SECRET_KEY", "only-for-tests")

from fitout.settings import *  # noqa: F403
from fitout.settings import DATABASES

DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "testserver"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}

if "sqlite" in DATABASES["default"]["ENGINE"]:
    # A file, so that server threads and other processes see the same database as the test.
    in_memory_disk = Path("/dev/shm")  # noqa: S108
    _directory = tempfile.mkdtemp(
        prefix="fitout-test-", dir=in_memory_disk if in_memory_disk.is_dir() else None
    )
    atexit.register(shutil.rmtree, _directory, ignore_errors=True)
    DATABASES["default"]["TEST"] = {"NAME": f"{_directory}/test.sqlite3"}
