"""The application for a production server. It refuses to start on settings that are unsafe."""

import os

from django.core.management import call_command

from exercises.serving import application as served

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
application = served.application()
call_command("check", deploy=True, fail_level="ERROR")
