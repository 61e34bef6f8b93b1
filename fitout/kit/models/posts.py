from django.db import models


class PostKey(models.Model):
    """The answer a form was given, kept so that the same form sent twice gets it again."""

    digest = models.CharField(max_length=64, unique=True)
    path = models.CharField(max_length=500)
    status = models.PositiveSmallIntegerField(default=0)
    headers = models.JSONField(default=dict)
    body = models.BinaryField(default=b"")
    made_at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.path} at {self.made_at:%Y-%m-%d %H:%M}"
