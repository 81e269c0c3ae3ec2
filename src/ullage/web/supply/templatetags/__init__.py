"""Tags of the pages about supplies."""
