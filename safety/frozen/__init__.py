"""Sheets and logs that are kept for good: frozen, shown again, and held beside what today would say."""
