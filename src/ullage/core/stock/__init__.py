"""Stock: use, lead times and when to reorder."""

from ullage.core.stock.reorder import (
    cycle_service_share,
    fill_rate_share,
    mean_stock,
    order_up_to,
    reorder_point,
)
from ullage.core.stock.use import (
    LeadTime,
    Use,
    recorded_use,
    shelf_mean,
    used_mean,
    used_more_chance,
    used_sd,
    used_up_after_days,
)

__all__ = [
    "LeadTime",
    "Use",
    "cycle_service_share",
    "fill_rate_share",
    "mean_stock",
    "order_up_to",
    "recorded_use",
    "reorder_point",
    "shelf_mean",
    "used_mean",
    "used_more_chance",
    "used_sd",
    "used_up_after_days",
]
