"""``hazstep new product``, ``job`` and ``place``: one question at a time, and a file from the answers."""
