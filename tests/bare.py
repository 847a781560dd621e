"""A bare idempotent POST in the same server and database: what the main path is measured against
(`tests/benchmark_main_path.py`). The addresses of a server that has it as well.
"""

import json

from django.db import connection
from django.http import JsonResponse
from django.urls import path
from django.views.decorators.csrf import csrf_exempt

from navclass.urls import urlpatterns as ours

INSERT = "INSERT INTO bare (client_id, body) VALUES (%s, %s) ON CONFLICT DO NOTHING"


@csrf_exempt
def bare(request):
    """Store what was sent once, however often it is sent."""
    sent = json.loads(request.body)
    key = sent["readings"][0]["id"]
    with connection.cursor() as cursor:
        cursor.execute(INSERT, [key, request.body.decode()])
    return JsonResponse({"kept": [key]})


urlpatterns = [path("bare/", bare), *ours]
