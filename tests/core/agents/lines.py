"""The vapour pressure lines of the fact base on agents, section 1, for tests of the core."""

from ullage.core.agents import VapourLine

MMHG = 0.133322387415

#: Isoflurane: two labels. Sevoflurane: label equation, from memory. Desflurane: fit to the label's
#: points. Halothane and enflurane: Rodgers & Hill 1978, from memory.
LINES = {
    "isoflurane": VapourLine(a=8.056, b=-1664.58, c=273.16, unit_kpa=MMHG),
    "sevoflurane": VapourLine(a=8.086, b=-1726.68, c=273.16, unit_kpa=MMHG),
    "desflurane": VapourLine(a=8.50949, b=-1666.286, c=273.15, unit_kpa=MMHG),
    "halothane": VapourLine(a=5.89184, b=-1043.697, c=218.262),
    "enflurane": VapourLine(a=6.11225, b=-1107.84, c=213.063),
}
