"""The application for a production server. It refuses to start on settings that are unsafe."""

import os

from django.core.management import call_command
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "navclass.settings")
application = get_wsgi_application()
call_command("check", deploy=True, fail_level="ERROR")
