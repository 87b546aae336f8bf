"""From a safety data sheet to the draft of a product file.

pages -> rows -> sections -> values -> checks -> draft. Everything that touches the file of a stranger runs in a process
of its own (``child``); what comes back is a plain record, and only ``written`` makes a file out of it.
"""
