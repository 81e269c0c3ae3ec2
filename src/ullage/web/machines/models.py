"""Machines, the parts on them, whether each may be used, and what people found along chains."""

from uuid import uuid4

from django.conf import settings
from django.db import models

from ullage.answers.equipment import PART_KINDS, PartKind

__all__ = [
    "ChainRecord",
    "Lift",
    "Machine",
    "MachineChange",
    "Part",
    "PartChange",
    "PartMove",
    "StateChange",
    "UseState",
]


class UseState(models.TextChoices):
    """Whether a machine or a part may be used, as somebody or a check found it."""

    IN_USE = "in_use", "In use"
    IN_DOUBT = "in_doubt", "In doubt"
    OUT = "out_of_use", "Out of use"


class Lift(models.TextChoices):
    """Whose word brings a machine or a part back into use."""

    OPERATOR = "operator", "An operator, a lead or a veterinarian"
    LEAD = "lead", "A lead or a veterinarian"
    VETERINARIAN = "veterinarian", "A veterinarian alone"


class Usable(models.Model):
    """What a machine and a part share: the state they are in, why, since when, by whom.

    The rows of `StateChange` hold every state before this one.
    """

    state = models.CharField(max_length=12, choices=UseState.choices, default=UseState.IN_USE)
    state_reason = models.TextField(blank=True)
    state_lift = models.CharField(max_length=14, choices=Lift.choices, default=Lift.LEAD)
    state_at = models.DateTimeField(null=True, blank=True)
    state_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        abstract = True

    @property
    def out_of_use(self) -> str:
        """Why it is out of use by itself; empty where it is not."""
        return self.state_reason if self.state == UseState.OUT else ""


class Machine(Usable):
    """One anaesthetic machine; an empty field means that nobody has said.

    What `ullage.web.machines.carried` lists is written on a part where one is fitted; the service
    that writes the part copies it here, where the chain and the day plan read it.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="machines")
    room = models.ForeignKey(
        "sites.Room", on_delete=models.SET_NULL, null=True, blank=True, related_name="machines"
    )
    name = models.CharField(max_length=60)
    system = models.CharField(max_length=40, blank=True)
    oxygen_alarm = models.CharField(max_length=8, default="unknown")
    ventilator = models.CharField(max_length=12, default="none")
    drive_gas_factor = models.FloatField(null=True, blank=True)
    flowmeter_min_l_min = models.FloatField(null=True, blank=True)
    flowmeter_max_l_min = models.FloatField(null=True, blank=True)
    float_kind = models.CharField(max_length=8, blank=True)
    flow_sd_share = models.FloatField(null=True, blank=True)
    sampling_l_min = models.FloatField(null=True, blank=True)
    usual_flow_l_min = models.FloatField(null=True, blank=True)
    regulator = models.CharField(max_length=16, blank=True)
    hose = models.CharField(max_length=16, blank=True)
    order = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("order", "name")
        constraints = (
            models.UniqueConstraint(fields=["site", "name"], name="one_machine_of_a_name_per_site"),
        )
        indexes = (models.Index(fields=["site", "state"]),)

    def __str__(self) -> str:
        return self.name


class MachineChange(models.Model):
    """One change of a machine's facts: who, when, before and after; never changed."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="changes")
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.machine}, {self.at:%Y-%m-%d %H:%M}"


class ChainRecord(models.Model):
    """What a person found along the chain from source to flowmeter, on a date; never changed.

    ``source_code`` is the random code of the source that the chain begins at.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="chain_records")
    source_code = models.UUIDField(null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    found = models.JSONField(default=dict)
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["machine", "source_code", "-at"]),)

    def __str__(self) -> str:
        return f"{self.machine}, {self.at:%Y-%m-%d %H:%M}"


class Part(Usable):
    """One part: on a machine, or loose in store; ``facts`` hold what its kind asks for.

    The kinds and their facts are the rows of `ullage.answers.equipment`.
    """

    code = models.UUIDField(default=uuid4, unique=True, editable=False)
    site = models.ForeignKey("sites.Site", on_delete=models.CASCADE, related_name="parts")
    machine = models.ForeignKey(
        Machine, on_delete=models.RESTRICT, null=True, blank=True, related_name="parts"
    )
    kind = models.CharField(max_length=20)
    name = models.CharField(max_length=60)
    serial = models.CharField(max_length=60, blank=True)
    facts = models.JSONField(default=dict)
    made_on = models.DateField(null=True, blank=True)
    bought_on = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    order = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("order", "name", "pk")
        indexes = (
            models.Index(fields=["site", "kind", "machine"]),
            models.Index(fields=["machine", "state"]),
            models.Index(fields=["site", "state"]),
        )

    def __str__(self) -> str:
        return self.name

    @property
    def row(self) -> PartKind:
        """The row of its kind."""
        return PART_KINDS[self.kind]


class PartChange(models.Model):
    """One change of a part's facts: who, when, before and after; never changed."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="changes")
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")

    def __str__(self) -> str:
        return f"{self.part}, {self.at:%Y-%m-%d %H:%M}"


class PartMove(models.Model):
    """A part went from a machine or the store to another place; never changed."""

    part = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="moves")
    from_machine = models.ForeignKey(
        Machine, on_delete=models.RESTRICT, null=True, related_name="parts_gone"
    )
    to_machine = models.ForeignKey(
        Machine, on_delete=models.RESTRICT, null=True, related_name="parts_come"
    )
    at = models.DateTimeField()
    why = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-at", "-pk")
        indexes = (models.Index(fields=["part", "-at"]),)

    def __str__(self) -> str:
        return f"{self.part}: {self.from_machine or 'store'} to {self.to_machine or 'store'}"


class StateChange(models.Model):
    """A machine or a part came into another state: from, to, why, who may lift it; never changed.

    ``record_code`` is the random code of the check or the service it rests on, where one is.
    """

    machine = models.ForeignKey(
        Machine, on_delete=models.CASCADE, null=True, related_name="state_changes"
    )
    part = models.ForeignKey(
        Part, on_delete=models.CASCADE, null=True, related_name="state_changes"
    )
    before = models.CharField(max_length=12, choices=UseState.choices)
    after = models.CharField(max_length=12, choices=UseState.choices)
    before_reason = models.TextField(blank=True)
    reason = models.TextField(blank=True)
    before_lift = models.CharField(max_length=14, choices=Lift.choices, default=Lift.LEAD)
    lift = models.CharField(max_length=14, choices=Lift.choices, default=Lift.LEAD)
    record_code = models.UUIDField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ("-at", "-pk")
        constraints = (
            models.CheckConstraint(
                condition=models.Q(machine=None) ^ models.Q(part=None),
                name="state_of_one_thing",
            ),
        )
        indexes = (
            models.Index(fields=["machine", "-at"]),
            models.Index(fields=["part", "-at"]),
        )

    def __str__(self) -> str:
        return f"{self.machine or self.part}: {self.get_after_display()}"
