"""Numbers that may stand in a room, drawn by Hypothesis."""

from hypothesis import strategies as st

from ullage.core.gas import C0, C15, F70, Gas

PERMANENT = (Gas.OXYGEN, Gas.AIR, Gas.NITROGEN, Gas.HELIUM)
LIQUEFIED = (Gas.CARBON_DIOXIDE, Gas.NITROUS_OXIDE)
IMPOSSIBLE = (float("nan"), float("inf"), -float("inf"), -1.0)

permanent = st.sampled_from(PERMANENT)
liquefied = st.sampled_from(LIQUEFIED)
conditions = st.sampled_from((F70, C15, C0))
water_l = st.floats(0.5, 60.0)
gauges_kpa = st.floats(0.0, 30_000.0)
kelvins = st.floats(243.15, 338.15)
#: Below the critical temperature of both liquefied gases.
cool_k = st.floats(243.15, 302.0)
ambients_kpa = st.floats(70.0, 106.0)
