"""By which numbers rows are known outside this database."""

import uuid

from django.conf import settings
from django.db import models


class HandedId(models.Model):
    """The number by which a row is known in an instructor's exports, for good: an export that is
    taken in twice finds its rows by it. Each account has numbers of its own, so that a file cannot
    name a row of somebody else's.
    """

    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="handed_ids"
    )
    kind = models.CharField(max_length=20)
    row = models.BigIntegerField()
    uid = models.UUIDField(default=uuid.uuid4)

    class Meta:
        constraints = [
            models.UniqueConstraint("owner", "uid", name="handed_id_once_for_an_owner"),
            models.UniqueConstraint("owner", "kind", "row", name="handed_id_one_for_a_row"),
        ]

    def __str__(self):
        return f"{self.kind} {self.uid}"
