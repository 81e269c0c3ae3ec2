"""Tags of the pages of stock."""
