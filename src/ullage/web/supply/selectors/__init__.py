"""Reads of the supply app: cylinders, sources, readings, stored answers, rows as things."""

from ullage.web.supply.models import (
    Cylinder,
    CylinderChange,
    CylinderEvent,
    CylinderState,
    FlowRecord,
    Reading,
    Source,
    SourceKind,
    StoredAnswer,
)
from ullage.web.supply.selectors.board import BoardCylinder, BoardRow, board_rows
from ullage.web.supply.selectors.changes import ChangeLine, change_lines, step_title
from ullage.web.supply.selectors.connected import cylinders_connected
from ullage.web.supply.selectors.curves import CurveRows, curve_rows, cylinder_history
from ullage.web.supply.selectors.find import (
    change_for,
    changes_that_choose,
    cylinder_for,
    open_change_of,
    reading_for,
    source_for,
)
from ullage.web.supply.selectors.flows import (
    FlowAssumed,
    flow_assumed,
    flow_share,
    flows_running,
    flows_since,
)
from ullage.web.supply.selectors.lists import (
    CylinderRow,
    SupplyList,
    cylinders_for_labels,
    full_ones,
    labels_list,
    latest_of,
    sources_of,
    supply_list,
)
from ullage.web.supply.selectors.pages import CylinderPage, Expected, cylinder_page, expected_at
from ullage.web.supply.selectors.readings import (
    ReadingLine,
    in_force,
    latest_reading,
    reading_lines,
    valve_said,
    waiting,
)
from ullage.web.supply.selectors.sources import SourcePage, source_page
from ullage.web.supply.selectors.store import full_l_of, store_lots
from ullage.web.supply.selectors.stored import Kept, Lasts, kept_answers, kept_by_cylinder
from ullage.web.supply.selectors.things import (
    cylinder_thing,
    flow_things,
    minutes_since,
    place_of,
    policy_of,
    reading_thing,
)
from ullage.web.supply.selectors.today import ByPlan, by_plan
from ullage.web.supply.selectors.watches import last_watch, open_watch
from ullage.web.supply.selectors.words import gas_words, kind_words, size_words

__all__ = [
    "BoardCylinder",
    "BoardRow",
    "ByPlan",
    "ChangeLine",
    "CurveRows",
    "Cylinder",
    "CylinderChange",
    "CylinderEvent",
    "CylinderPage",
    "CylinderRow",
    "CylinderState",
    "Expected",
    "FlowAssumed",
    "FlowRecord",
    "Kept",
    "Lasts",
    "Reading",
    "ReadingLine",
    "Source",
    "SourceKind",
    "SourcePage",
    "StoredAnswer",
    "SupplyList",
    "board_rows",
    "by_plan",
    "change_for",
    "change_lines",
    "changes_that_choose",
    "curve_rows",
    "cylinder_for",
    "cylinder_history",
    "cylinder_page",
    "cylinder_thing",
    "cylinders_connected",
    "cylinders_for_labels",
    "expected_at",
    "flow_assumed",
    "flow_share",
    "flow_things",
    "flows_running",
    "flows_since",
    "full_l_of",
    "full_ones",
    "gas_words",
    "in_force",
    "kept_answers",
    "kept_by_cylinder",
    "kind_words",
    "labels_list",
    "last_watch",
    "latest_of",
    "latest_reading",
    "minutes_since",
    "open_change_of",
    "open_watch",
    "place_of",
    "policy_of",
    "reading_for",
    "reading_lines",
    "reading_thing",
    "size_words",
    "source_for",
    "source_page",
    "sources_of",
    "step_title",
    "store_lots",
    "supply_list",
    "valve_said",
    "waiting",
]
