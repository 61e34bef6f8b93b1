from django.db import models


class Role(models.TextChoices):
    OWNER = "owner", "Owner"
    ESTIMATOR = "estimator", "Estimator"
    TECHNICIAN = "technician", "Technician"
