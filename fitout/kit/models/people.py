from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q

from ..roles import Role
from .versions import Versioned

sign_in_name = RegexValidator(
    r"^[\w.-]+\Z", "Sign-in name: letters, digits, dots, hyphens and underscores only."
)


class UserQuerySet(models.QuerySet["User"]):
    def active(self) -> UserQuerySet:
        return self.filter(is_active=True)

    def technicians(self) -> UserQuerySet:
        return self.active().filter(role=Role.TECHNICIAN)

    def owners(self) -> UserQuerySet:
        return self.active().filter(role=Role.OWNER)


class UserManager(BaseUserManager.from_queryset(UserQuerySet)):  # type: ignore[misc]
    use_in_migrations = False

    def create_user(self, username: str, password: str | None = None, **fields: Any) -> User:
        user: User = self.model(username=self.model.normalize_username(username).lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, username: str, password: str | None = None, **fields: Any) -> User:
        fields["role"] = Role.OWNER
        return self.create_user(username, password, **fields)


class User(Versioned, AbstractBaseUser):
    """A person who signs in. What they may do follows from the role alone."""

    username = models.CharField(
        max_length=60,
        unique=True,
        validators=[sign_in_name],
        error_messages={"unique": "Sign-in name: somebody already has this one."},
        verbose_name="sign-in name",
    )
    display_name = models.CharField(max_length=80, verbose_name="name")
    role = models.CharField(max_length=12, choices=Role, default=Role.TECHNICIAN)
    email = models.EmailField(blank=True, verbose_name="email")
    phone = models.CharField(max_length=40, blank=True)
    is_active = models.BooleanField(default=True, verbose_name="may sign in")
    hours_per_day = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        default=Decimal("8.00"),
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(24))],
        verbose_name="hours per day",
    )
    joined_at = models.DateTimeField(auto_now_add=True)

    objects: ClassVar[UserManager] = UserManager()

    audit_hidden = frozenset({"password", "last_login"})

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["display_name"]

    class Meta(Versioned.Meta):
        abstract = False
        ordering = ("display_name", "username")
        verbose_name = "person"
        verbose_name_plural = "people"
        constraints = (
            models.CheckConstraint(
                condition=Q(role__in=[role.value for role in Role]), name="user_role_is_known"
            ),
            models.CheckConstraint(
                condition=Q(hours_per_day__gte=0, hours_per_day__lte=24),
                name="user_hours_per_day_in_a_day",
            ),
        )

    def __str__(self) -> str:
        return self.display_name or self.username

    @property
    def sees_money(self) -> bool:
        return self.role in (Role.OWNER, Role.ESTIMATOR)

    @property
    def is_owner(self) -> bool:
        return self.role == Role.OWNER

    @property
    def is_last_owner(self) -> bool:
        return self.is_owner and not User.objects.owners().exclude(pk=self.pk).exists()
