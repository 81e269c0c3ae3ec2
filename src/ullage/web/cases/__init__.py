"""Cases: one anaesthetic from ready to closed, and every line of its record."""
