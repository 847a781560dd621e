"""The environment of the tests, set before pytest-django reads the settings (a plugin, see
.pytest.ini).
"""

import os

os.environ.setdefault("NAVCLASS_HOTSPOT", "yes")
os.environ.setdefault(
    "NAVCLASS_SECRET_KEY", "only for tests, 0123456789 0123456789 0123456789 0123456789"
)
os.environ.setdefault(
    "DJANGO_ALLOW_ASYNC_UNSAFE", "true"
)  # the browser driver runs an event loop beside the ORM
