"""What is kept in store: things and their ledger, orders, what is fitted, places of storage."""

from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import models

__all__ = [
    "Fitted",
    "FittedKind",
    "FittedNote",
    "ItemKind",
    "MoveKind",
    "StockChange",
    "StockItem",
    "StockMove",
    "StockOrder",
    "StockRule",
    "StorageArea",
    "StorageLook",
]


def _person() -> Any:
    """Who wrote it; nobody who wrote something can be deleted."""
    return models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")


class ItemKind(models.TextChoices):
    """What a shelf holds."""

    CYLINDER = "cylinder", "Cylinders"
    ABSORBENT = "absorbent", "Absorbent, in fillings"
    CANISTER = "canister", "Charcoal canisters"
    AGENT = "agent", "Agent, in bottles"
    SEAL = "seal", "Seals of cylinder valves"
    OTHER = "other", "Something else"


class StockRule(models.Model):
    """What a site chose for its shelves; a service that nobody chose is empty."""

    site = models.OneToOneField("sites.Site", on_delete=models.CASCADE, related_name="stock_rule")
    service_share = models.FloatField(null=True, blank=True)

    def __str__(self) -> str:
        return f"Stock of {self.site}"


class StockItem(models.Model):
    """One thing in store, counted in whole pieces; an empty field means that nobody has said.

    Cylinders are counted from the rows of the supply, by gas and size.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="stock_items")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    kind = models.CharField(max_length=12, choices=ItemKind.choices)
    name = models.CharField(max_length=60)
    place = models.CharField(max_length=80, blank=True)
    gas = models.CharField(max_length=20, blank=True)
    size = models.CharField(max_length=40, blank=True)
    piece = models.CharField(max_length=20, default="piece")
    pieces = models.CharField(max_length=20, blank=True)
    usual_days = models.FloatField(null=True, blank=True)
    longest_days = models.FloatField(null=True, blank=True)
    every_days = models.FloatField(default=7.0)
    look_days = models.FloatField(default=0.0)
    pack = models.PositiveIntegerField(default=1)
    usual_per_week = models.FloatField(null=True, blank=True)
    order = models.PositiveIntegerField(default=0)
    added_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("order", "name", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=["site", "name"],
                condition=models.Q(retired_at=None),
                name="one_thing_of_a_name_per_site",
            ),
        )
        indexes = (models.Index(fields=["site", "kind"]),)

    def __str__(self) -> str:
        return self.name


class StockChange(models.Model):
    """One change of a thing, a rule or a place: who, when, before and after; never changed."""

    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=60)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    by = _person()
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["site", "subject", "-at"]),)

    def __str__(self) -> str:
        return f"{self.subject}, {self.at:%Y-%m-%d %H:%M}"


class MoveKind(models.TextChoices):
    """What happened at a shelf; a counter-move takes one back."""

    RECEIVED = "received", "Received"
    USED = "used", "Used"
    RETURNED = "returned", "Sent back full"
    EMPTIES = "empties", "Empties sent back"
    DISCARDED = "discarded", "Thrown away"
    COUNTED = "counted", "Counted"
    TAKEN_BACK = "taken_back", "Taken back"


class StockOrder(models.Model):
    """An order; what came of it stands in the moves that name it."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    item = models.ForeignKey(StockItem, on_delete=models.CASCADE, related_name="orders")
    count = models.PositiveIntegerField()
    at = models.DateTimeField()
    expected_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=120, blank=True)
    by = _person()
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_why = models.CharField(max_length=120, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("-at", "-pk")
        constraints = (
            models.CheckConstraint(condition=models.Q(count__gt=0), name="an_order_of_something"),
        )
        indexes = (models.Index(fields=["item", "-at"]),)

    def __str__(self) -> str:
        return f"{self.count} of {self.item}"


class StockMove(models.Model):
    """One line of the ledger; never changed. ``full`` and ``empty`` are what it added to each.

    A count is kept as it was seen (``counted``), with the difference that it made.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    item = models.ForeignKey(StockItem, on_delete=models.CASCADE, related_name="moves")
    kind = models.CharField(max_length=12, choices=MoveKind.choices)
    full = models.IntegerField(default=0)
    empty = models.IntegerField(default=0)
    counted = models.PositiveIntegerField(null=True, blank=True)
    at = models.DateTimeField()
    why = models.CharField(max_length=160, blank=True)
    stock_order = models.ForeignKey(
        StockOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="moves"
    )
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )
    by = _person()
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["item", "-at"]), models.Index(fields=["item", "kind"]))

    def __str__(self) -> str:
        return f"{self.item}: {self.get_kind_display()}"


class FittedKind(models.TextChoices):
    """What is fitted, watched, and changed when it is used up."""

    CANISTER = "canister", "Charcoal canister"
    ABSORBENT = "absorbent", "Filling of absorbent"


class Fitted(models.Model):
    """A canister or a filling from the day it was put in to the day it was taken out.

    ``start_kg`` is what a canister weighed when new, ``mass_kg`` what a filling holds.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="fitted")
    kind = models.CharField(max_length=12, choices=FittedKind.choices)
    name = models.CharField(max_length=60)
    machine = models.ForeignKey(
        "machines.Machine", on_delete=models.PROTECT, null=True, blank=True, related_name="fitted"
    )
    part = models.ForeignKey(
        "machines.Part", on_delete=models.PROTECT, null=True, blank=True, related_name="fitted"
    )
    item = models.ForeignKey(
        StockItem, on_delete=models.PROTECT, null=True, blank=True, related_name="fitted"
    )
    start_kg = models.FloatField(null=True, blank=True)
    limit_kg = models.FloatField(null=True, blank=True)
    mass_kg = models.FloatField(null=True, blank=True)
    hours_limit_h = models.FloatField(null=True, blank=True)
    days_limit = models.FloatField(null=True, blank=True)
    put_in_at = models.DateTimeField()
    put_in_by = _person()
    taken_out_at = models.DateTimeField(null=True, blank=True)
    taken_out_why = models.CharField(max_length=160, blank=True)
    taken_out_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ("-put_in_at", "-pk")
        indexes = (models.Index(fields=["site", "taken_out_at"]),)

    def __str__(self) -> str:
        return self.name


class FittedNote(models.Model):
    """What was seen of a canister or a filling, or what flowed to it; never changed.

    ``facts`` holds what was said, by the names of `ullage.web.stock.services.SAID`. What was asked
    about counts in no sum until somebody says that it is so.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    fitted = models.ForeignKey(Fitted, on_delete=models.CASCADE, related_name="notes")
    kind = models.CharField(max_length=12)
    facts = models.JSONField(default=dict)
    at = models.DateTimeField()
    asked = models.CharField(max_length=200, blank=True)
    said = models.CharField(max_length=160, blank=True)
    counts = models.BooleanField(default=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    by = _person()
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["fitted", "kind", "-at"]),)

    def __str__(self) -> str:
        return f"{self.fitted}: {self.kind}"


class StorageArea(models.Model):
    """One place where cylinders are stored; those of its room stand in it."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="storage_areas")
    room = models.OneToOneField("sites.Room", on_delete=models.CASCADE, related_name="storage_area")
    name = models.CharField(max_length=80)
    storage_code = models.CharField(max_length=40, blank=True)
    enclosed = models.CharField(max_length=8, default="unknown")
    added_at = models.DateTimeField()

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class StorageLook(models.Model):
    """How cylinders stood in a place of storage when somebody looked; never changed."""

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    area = models.ForeignKey(StorageArea, on_delete=models.CASCADE, related_name="looks")
    facts = models.JSONField(default=dict)
    at = models.DateTimeField()
    note = models.CharField(max_length=160, blank=True)
    by = _person()
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.area}, {self.at:%Y-%m-%d %H:%M}"
