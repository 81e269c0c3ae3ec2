"""Every address of the site: who may, by which method, with what, and what it refuses."""

from types import SimpleNamespace
from typing import Any
from uuid import uuid4

from tests.web.addresses.accounts_doors import ACCOUNTS_DOORS
from tests.web.addresses.audit_doors import AUDIT_DOORS
from tests.web.addresses.checks_doors import CHECKS_DOORS
from tests.web.addresses.door import Bad, Door, Typed, just
from tests.web.addresses.exposure_doors import EXPOSURE_DOORS
from tests.web.addresses.life_doors import LIFE_DOORS
from tests.web.addresses.records_doors import RECORDS_DOORS
from tests.web.addresses.running_doors import RUNNING_DOORS
from tests.web.addresses.service_doors import SERVICE_DOORS
from tests.web.addresses.stock_doors import STOCK_DOORS
from tests.web.addresses.tablet_doors import TABLET_DOORS
from tests.web.addresses.upkeep_doors import UPKEEP_DOORS

__all__ = ["DOORS", "OUTSIDE", "Bad", "Door"]


def a_day(made: SimpleNamespace) -> dict[str, Any]:
    return {"day": "2026-06-09"}


def _chain(made: SimpleNamespace) -> dict[str, Any]:
    return {"source": made.source.code}


def _reading(made: SimpleNamespace) -> Typed:
    return {"number": "70", "unit": "bar", "code": str(uuid4())}


def _case(made: SimpleNamespace) -> Typed:
    return {
        "name": "Sorrel",
        "machine": str(made.machine.pk),
        "starts": "13:30",
        "phase_1": "Procedure",
        "minutes_1": "60",
        "oxygen_l_min_1": "1.5",
    }


_PLACE = {
    "name": "Fennel Lane",
    "temperature_k": "20",
    "country": "GB",
    "time_zone": "Europe/London",
    "elevation_m": "80",
}

DOORS = (
    *ACCOUNTS_DOORS,
    *AUDIT_DOORS,
    *UPKEEP_DOORS,
    # sites
    Door(name="sites:more"),
    Door(name="sites:welcome"),
    Door(
        name="sites:choose",
        get=None,
        post=302,
        typed=lambda made: {"site": str(made.site.code)},
    ),
    Door(name="sites:settings"),
    Door(
        name="sites:section",
        what="manage",
        about=lambda made: {"name": "place"},
        post=302,
        typed=just(**_PLACE),
        bad=Bad({**_PLACE, "elevation_m": "90000"}, "must be between -450 and 5500 m"),
    ),
    Door(name="sites:rooms"),
    Door(
        name="sites:room_add",
        what="manage",
        post=302,
        typed=just(name="Theatre 9", volume_m3="60"),
        bad=Bad({"name": "Theatre 9", "volume_m3": "0"}, "must be between 1 and 100000 m³"),
    ),
    Door(
        name="sites:room",
        what="manage",
        about=lambda made: {"pk": made.room.pk},
        post=302,
        typed=just(name="Theatre 1", volume_m3="61"),
        bad=Bad({"name": "", "volume_m3": "61"}, "This field is required"),
    ),
    # machines
    Door(name="machines:list"),
    Door(
        name="machines:add",
        what="manage",
        post=302,
        typed=just(name="Robin", system="T-piece", oxygen_alarm="yes", ventilator="none"),
        bad=Bad(
            {
                "name": "Robin",
                "oxygen_alarm": "yes",
                "ventilator": "none",
                "usual_flow_l_min": "much",
            },
            "is not a flow",
        ),
    ),
    Door(name="machines:machine", thing="machine"),
    Door(
        name="machines:edit",
        what="manage",
        thing="machine",
        post=302,
        typed=just(name="Wren", system="Circle", oxygen_alarm="yes", ventilator="none"),
        bad=Bad(
            {"name": "", "system": "Own make", "oxygen_alarm": "yes", "ventilator": "none"},
            "This field is required",
        ),
    ),
    Door(
        name="machines:out",
        what="operate",
        thing="machine",
        post=302,
        typed=just(to="out_of_use", reason="The bobbin sticks.", lift="lead"),
        bad=Bad({"to": "out_of_use", "reason": "  ", "lift": "lead"}, "This field is required"),
    ),
    Door(name="machines:back", what="manage", thing="machine", get=None, post=302),
    Door(name="machines:chain", thing="machine", about=_chain),
    Door(
        name="machines:look",
        what="operate",
        thing="machine",
        about=lambda made: {**_chain(made), "part": "seal"},
        get=None,
        post=302,
        typed=just(**{"seal-count": "1", "seal-new": "yes"}),
        bad=Bad({"seal-count": "77"}, "less than or equal to 20"),
    ),
    Door(name="machines:undo", what="operate", thing="machine", get=None, post=302),
    Door(name="machines:labels"),
    Door(name="machines:labels_pdf", get=302),
    # parts of machines
    Door(name="machines:parts", asked="?kind=hose&where=store"),
    Door(name="machines:part_kinds", what="manage"),
    Door(
        name="machines:part_add",
        what="manage",
        about=lambda made: {"kind": "flowmeter"},
        post=302,
        typed=just(name="Oxygen tube", gas="oxygen", lowest_l_min="0.2", highest_l_min="10"),
        bad=Bad({"name": "Oxygen tube", "highest_l_min": "999"}, "must be between 0 and 200"),
    ),
    Door(name="machines:part", thing="part"),
    Door(
        name="machines:part_edit",
        what="manage",
        thing="part",
        post=302,
        typed=just(name="Oxygen hose", gas="oxygen", rated_kpa="14", replace_by="2031-05-01"),
        bad=Bad({"name": "Oxygen hose", "replace_by": "2031-02-31"}, "Enter a valid date"),
    ),
    Door(
        name="machines:part_move",
        what="operate",
        thing="part",
        post=302,
        typed=just(to="store", why="It is cleaned."),
        bad=Bad({"to": "nowhere"}, "Select a valid choice", dropped=("nowhere",)),
    ),
    Door(name="machines:part_move_back", what="operate", thing="part", get=None, post=302),
    Door(
        name="machines:part_out",
        what="operate",
        thing="part",
        post=302,
        typed=just(to="out_of_use", reason="It is cracked.", lift="veterinarian"),
        bad=Bad({"to": "out_of_use", "reason": "  ", "lift": "lead"}, "This field is required"),
    ),
    Door(name="machines:part_back", what="manage", thing="part", get=None, post=302),
    Door(name="machines:part_undo", what="operate", thing="part", get=None, post=302),
    Door(
        name="machines:part_retire",
        what="manage",
        thing="part",
        post=302,
        typed=just(reason="Its thread is worn."),
        bad=Bad({"reason": " "}, "This field is required"),
    ),
    Door(name="machines:part_restore", what="manage", thing="part", get=None, post=302),
    # the lists of supply
    Door(name="supply:list"),
    Door(name="supply:scan"),
    Door(
        name="supply:receive",
        what="operate",
        post=302,
        typed=just(name="Rowan", gas="oxygen", capacity_known="stamp", water_capacity="4.7"),
        bad=Bad(
            {"name": "Rowan", "gas": "oxygen", "capacity_known": "stamp", "water_capacity": "-4"},
            "must be between 0.1 and 2000 L",
        ),
    ),
    Door(name="supply:identify", asked="?water_capacity=4.7"),
    Door(name="supply:labels"),
    Door(name="supply:labels_pdf", get=302),
    # supply, one cylinder
    Door(name="supply:cylinder", thing="on"),
    Door(name="supply:answers", thing="on"),
    Door(
        name="supply:read",
        what="operate",
        thing="on",
        get=None,
        post=302,
        typed=_reading,
        bad=Bad({"number": "3,0,0", "unit": "bar", "code": str(uuid4())}, "is not a pressure"),
    ),
    Door(
        name="supply:valve",
        what="operate",
        thing="on",
        get=None,
        post=302,
        typed=just(valve="closed"),
        bad=Bad({"valve": "ajar"}, "Choose closed, open or not sure", dropped=("ajar",)),
    ),
    Door(
        name="supply:watch",
        what="operate",
        thing="on",
        get=None,
        post=302,
        typed=just(number="70", unit="bar"),
        bad=Bad({"number": "seventyish", "unit": "bar"}, "is not a pressure"),
    ),
    Door(name="supply:chart", thing="on"),
    Door(name="supply:history", thing="on"),
    Door(
        name="supply:correct",
        what="operate",
        thing="stored",
        post=302,
        typed=just(
            name="Hazel",
            gas="oxygen",
            capacity_known="stamp",
            size="E",
            water_capacity="4.6",
            reason="Read again.",
        ),
        bad=Bad(
            {
                "name": "Hazel",
                "gas": "oxygen",
                "capacity_known": "stamp",
                "water_capacity": "4.6",
                "reason": "",
            },
            "Say why; the old value stays readable",
        ),
    ),
    Door(
        name="supply:connect",
        what="operate",
        thing="stored",
        post=302,
        typed=lambda made: {"place": f"{made.manifold.code}B"},
        bad=Bad({"place": "nowhere"}, "Select a valid choice", dropped=("nowhere",)),
    ),
    Door(
        name="supply:move",
        what="operate",
        thing="stored",
        get=None,
        post=302,
        typed=lambda made: {"room": str(made.room.pk)},
        bad=Bad({"room": "999999"}, "", dropped=("999999",)),
    ),
    Door(
        name="supply:round",
        what="operate",
        thing="stored",
        about=lambda made: {"step": "quarantine"},
        get=None,
        post=302,
        typed=just(reason="Its label is torn."),
        bad=Bad({"reason": ""}, "say why Hazel is moved on"),
    ),
    # supply, one reading
    Door(
        name="supply:amend",
        what="operate",
        thing="reading",
        post=302,
        typed=lambda made: {**_reading(made), "reason": "Read the wrong dial."},
        bad=Bad(
            {"number": "9999", "unit": "bar", "code": str(uuid4()), "reason": "Read again."},
            "no more than 207 bar",
        ),
    ),
    Door(
        name="supply:note",
        what="operate",
        thing="reading",
        get=None,
        post=302,
        typed=just(reason="Another cylinder."),
        bad=Bad({"reason": ""}, "Say why it is used in no sum"),
    ),
    Door(
        name="supply:said",
        what="operate",
        thing="reading",
        get=None,
        post=302,
        typed=just(choice="right"),
        bad=Bad({"choice": "perhaps"}, "Choose what fits best", dropped=("perhaps",)),
    ),
    # supply, one change
    Door(name="supply:change", thing="change"),
    Door(name="supply:change_back", what="operate", thing="change", get=None, post=302),
    Door(
        name="supply:change_end",
        what="operate",
        thing="change",
        get=None,
        post=302,
        typed=lambda made: {"end-reason": "The yoke is bent."},
        bad=Bad({"end-reason": ""}, "Say why the change ends here"),
    ),
    Door(
        name="supply:change_take",
        what="operate",
        thing="change",
        get=None,
        post=302,
        typed=lambda made: {"cylinder": str(made.stored.code)},
    ),
    Door(
        name="supply:change_step",
        what="operate",
        thing="change",
        about=lambda made: {"name": "animal"},
        get=None,
        post=302,
        typed=just(how="self-inflating bag"),
        bad=Bad({"how": ""}, "The animal comes first"),
    ),
    # supply, one source
    Door(
        name="supply:source_add",
        what="manage",
        post=302,
        typed=just(kind="pipeline", name="Outlet", gas="oxygen", line_gauge="4"),
        bad=Bad(
            {"kind": "pipeline", "name": "Outlet", "gas": "oxygen", "line_gauge": "400"},
            "must be between 0.05 and 15 bar",
        ),
    ),
    Door(name="supply:source", thing="source"),
    Door(
        name="supply:source_edit",
        what="manage",
        thing="source",
        post=302,
        typed=just(name="On Wren now", gas="oxygen"),
        bad=Bad(
            {"name": "On Wren", "gas": "oxygen", "fall_limit": "5"},
            "Write in how many minutes",
        ),
    ),
    Door(
        name="supply:flow",
        what="operate",
        thing="source",
        get=None,
        post=302,
        typed=just(flow="1.5", why="Clover"),
        bad=Bad({"flow": "-1", "why": "Clover"}, "must be between 0.01 and 200 L/min"),
    ),
    Door(
        name="supply:duty",
        what="operate",
        thing="manifold",
        get=None,
        post=302,
        typed=just(bank="B"),
    ),
    Door(
        name="supply:source_retire",
        what="manage",
        thing="manifold",
        get=None,
        post=302,
    ),
    Door(
        name="supply:source_restore",
        what="manage",
        thing="manifold",
        get=None,
        post=302,
    ),
    Door(
        name="supply:change_begin",
        what="operate",
        thing="manifold",
        get=None,
        post=302,
        typed=just(bank="A"),
    ),
    # days
    Door(name="days:today"),
    Door(name="days:plan", get=302),
    Door(name="days:day", about=a_day),
    Door(name="days:pdf", about=a_day),
    Door(
        name="days:add",
        what="operate",
        about=a_day,
        post=302,
        typed=_case,
        bad=Bad({"name": "Sorrel", "starts": "13:30", "minutes_1": "-5"}, "must be between 0"),
    ),
    Door(
        name="days:copy",
        what="operate",
        about=a_day,
        post=302,
        typed=just(day="2026-06-08"),
        bad=Bad({"day": "2026-02-31"}, "Enter a valid date"),
    ),
    Door(
        name="days:case",
        what="operate",
        thing="case",
        post=302,
        typed=_case,
        bad=Bad({"name": "Sorrel", "starts": "25:00", "minutes_1": "60"}, "Enter a valid time"),
    ),
    Door(
        name="days:plan_new",
        what="operate",
        about=a_day,
        post=302,
        typed=_case,
        bad=Bad({"name": "Sorrel", "starts": "13:30", "weight_kg": "-5"}, "must be between 0.0005"),
    ),
    Door(
        name="days:plan_case",
        what="operate",
        thing="case",
        post=302,
        typed=lambda made: {**_case(made), "agent": "isoflurane", "no_drugs": "on"},
        bad=Bad({"name": "Sorrel", "minutes_1": "60", "dead_space_l": "9 bar"}, "9 bar"),
    ),
    Door(name="days:case_answers", what="operate", asked="?species=cat&weight_kg=4"),
    Door(name="days:case_changes", what="operate", asked="?species=cat&weight_kg=4"),
    Door(name="days:case_air", what="operate", asked="?species=cat&weight_kg=4"),
    Door(name="days:compare", what="operate", asked="?other_agent=sevoflurane"),
    Door(name="days:sheet", what="operate", asked="?species=cat"),
    Door(name="days:case_sheet", thing="case"),
    Door(name="days:move", what="operate", thing="case", get=None, post=302),
    Door(
        name="days:take",
        what="operate",
        thing="case",
        get=None,
        post=302,
        typed=lambda made: {"machine": str(made.machine.code)},
    ),
    Door(name="days:again", what="operate", thing="case", get=None, post=302),
    Door(name="days:cancel", what="operate", thing="case", get=None, post=302),
    Door(name="days:restore", what="operate", thing="case", get=None, post=302),
    Door(name="days:begin", what="operate", thing="case", get=None, post=302),
    Door(name="days:end", what="operate", thing="case", get=None, post=302),
    # catalogue
    Door(name="catalogue:home"),
    Door(name="catalogue:formula", about=lambda made: {"name": "contents_l"}),
    Door(name="catalogue:values", asked="?q=oxygen"),
    Door(name="catalogue:disagree"),
    # service
    *CHECKS_DOORS,
    *SERVICE_DOORS,
    *EXPOSURE_DOORS,
    *STOCK_DOORS,
    *RECORDS_DOORS,
    *RUNNING_DOORS,
    *LIFE_DOORS,
    *TABLET_DOORS,
)

#: Addresses outside every site: the door, the lock, second factors and one's own sessions; their
#: tests stand with the accounts.
OUTSIDE = {
    "account_login",
    "account_logout",
    "account_inactive",
    "account_reauthenticate",
    "account_change_password",
    "account_set_password",
    "account_reset_password",
    "accounts:first_run",
    # programs are answered in JSON; tests/web/api/test_addresses.py asks the same of these
    "api:api-root",
    "api:epoch",
    "api:lines",
    "api:now",
    "api:openapi-json",
    "api:queue",
    "api:record",
    "api:records",
    "api:tablet",
    "api:ticket",
    "accounts:lock",
    "accounts:locked",
    "accounts:other",
    "accounts:touch",
    "accounts:end",
    "pad:away",
    "pad:worker",
    "mfa_activate_totp",
    "mfa_add_webauthn",
    "mfa_authenticate",
    "mfa_deactivate_totp",
    "mfa_edit_webauthn",
    "mfa_generate_recovery_codes",
    "mfa_index",
    "mfa_list_webauthn",
    "mfa_login_webauthn",
    "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn",
    "mfa_remove_webauthn",
    "mfa_view_recovery_codes",
    "service:feed",
}
