"""The page on the shop's own tablet. Read ``live`` first: what a run of a job is, and what may be done next in it.

``live`` and ``ruling`` know no clock, no web and no database. ``engine`` asks processes of its own for what takes
time; what comes back is plain data.
"""
