"""How many points or histories a test takes: a tenth here, all of them in `make soak`."""

import os


def counted(full: int) -> int:
    return full if os.environ.get("ULLAGE_SOAK") else full // 10
