"""The ledger: what really came in, was used, went back and was thrown away. The only place that imports SQLAlchemy.

Read ``tables`` first, then ``entries``. ``drafts`` and ``csv_rows`` turn text into records and know no database.
"""
